// hand.js -- what is said of the shots in the hand: place, subject, distance, value, caption, in the report or not.
//
// The same panel stands below the plan and in the viewer. Where several shots differ, a field says so and stays empty
// until it is written.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, plural, say } from './dom.js';
import { held } from './held.js';
import { recorded } from './recorded.js';
import { store } from './store.js';

const DISTANCES = [
    ['overview', 'Overview', 'o'],
    ['mid-range', 'Mid-range', 'm'],
    ['close-up', 'Close-up', 'c'],
];
const SEVERAL = Symbol('several');
let serial = 0;

export class Hand {
    constructor(root, doors, facts = null) {
        // doors: { place(), subject(), take(), back() }; facts: where the shot's own facts stand, else below
        this.root = root;
        this.doors = doors;
        const id = `hand${serial++}`;
        this.title = h('h3', { class: 'hand-title' });
        this.belief = h(
            'div',
            { class: 'belief-box' },
            (this.beliefText = h('p')),
            h(
                'button',
                { type: 'button', class: 'belief', onclick: () => doors.take() },
                (this.takeText = h('span')),
                h('kbd', { text: 'y' }),
            ),
        );
        this.place = h('button', { type: 'button', class: 'choose', id: `${id}p`, onclick: () => doors.place() });
        this.subject = h('button', { type: 'button', class: 'choose', id: `${id}s`, onclick: () => doors.subject() });
        this.distances = DISTANCES.map(([word, name, key]) =>
            h(
                'button',
                {
                    type: 'button',
                    'aria-pressed': 'false',
                    data: { word },
                    onclick: () => this.distance(word),
                },
                name,
                h('kbd', { text: key }),
            ),
        );
        this.value = h('input', { type: 'text', id: `${id}v`, autocomplete: 'off', 'aria-describedby': `${id}h` });
        this.hint = h('span', { class: 'soft hint', id: `${id}h` });
        this.caption = h('textarea', { id: `${id}c`, rows: 2 });
        this.left = h('input', { type: 'checkbox', onchange: () => this.leaveOut(this.left.checked) });
        this.facts = h('dl', { class: 'shot-facts' });
        this.form = h(
            'div',
            { class: 'hand-form' },
            h(
                'div',
                { class: 'field f-place' },
                h('span', { class: 'name' }, 'Place ', h('kbd', { text: 'p' })),
                this.place,
            ),
            this.belief,
            h(
                'div',
                { class: 'field f-subject' },
                h('span', { class: 'name' }, 'Subject ', h('kbd', { text: 't' })),
                this.subject,
            ),
            h(
                'div',
                { class: 'field f-distance' },
                h('span', { class: 'name', text: 'Distance' }),
                h('div', { class: 'trio', role: 'group', 'aria-label': 'Distance' }, ...this.distances),
            ),
            h(
                'div',
                { class: 'field f-value' },
                h('label', { for: this.value.id }, 'Value ', h('kbd', { text: 'v' })),
                this.value,
                this.hint,
            ),
            h(
                'div',
                { class: 'field f-caption' },
                h('label', { for: this.caption.id }, 'Caption ', h('kbd', { text: 'e' })),
                this.caption,
            ),
            h('label', { class: 'line f-out' }, this.left, 'Leave out ', h('kbd', { text: 'x' })),
        );
        // Two shots of one moment tell how one camera's clock stands to the other's.
        this.pair = h(
            'p',
            { class: 'pair', hidden: true },
            'These are of two cameras. ',
            h('button', {
                type: 'button',
                text: 'Taken at the same moment',
                onclick: () => {
                    const [shot, other] = held.list();
                    const paired = store.info.pairs?.find((one) => one.shot === shot);
                    store.send('/api/clock', { shot, other, was: { other: paired?.other ?? null } });
                },
            }),
        );
        (facts ?? this.form).append(this.facts, this.pair);
        this.empty = h('p', {
            class: 'soft',
            text: 'Nothing in hand. Press a photo; with Shift, all up to it; or draw a frame around several.',
        });
        root.append(this.title, this.empty, this.form);
        this.#writes(this.value, 'value');
        this.#writes(this.caption, 'caption');
    }

    // A text field: what it says goes to the shots that were in hand, as they were seen, when the writing began.
    #writes(input, name) {
        input.addEventListener('focus', () => {
            input.began = input.value;
            input.numbers = held.list();
            input.seen = store.look(input.numbers);
        });
        const keep = () => {
            if (!input.numbers?.length || input.value === input.began) return;
            const text = input.value.trim();
            input.began = input.value;
            store.tag(input.numbers, { [name]: text || null }, input.seen);
            input.seen = store.look(input.numbers);
        };
        input.addEventListener('blur', () => {
            keep();
            input.numbers = null;
            this.update();
        });
        input.addEventListener('keydown', (event) => {
            if (event.key === 'Enter' && !event.shiftKey) {
                event.preventDefault();
                keep();
                this.doors.back?.();
            }
            if (event.key === 'Escape') {
                event.stopPropagation();
                event.preventDefault();
                input.value = input.began;
                this.doors.back?.();
            }
        });
    }

    distance(word) {
        const numbers = held.list();
        if (!numbers.length) return;
        const all = numbers.every((number) => store.shot(number).distance === word);
        store.tag(numbers, { distance: all ? null : word });
    }
    leaveOut(out) {
        if (held.numbers.size) store.tag(held.list(), { left_out: out });
    }
    toggleOut() {
        this.leaveOut(!held.list().every((number) => store.shot(number)?.left_out));
    }

    update() {
        const shots = held
            .list()
            .map((number) => store.shot(number))
            .filter(Boolean);
        const one = shots.length === 1 ? shots[0] : null;
        say(
            this.title,
            one ? `Shot ${one.number}` : shots.length ? `${plural(shots.length, 'photo')} in hand` : 'In hand',
        );
        this.empty.hidden = shots.length > 0;
        this.form.hidden = !shots.length;
        if (!shots.length) return this.#tell(null);
        const common = (of) => shots.reduce((was, shot) => (was === of(shot) ? was : SEVERAL), of(shots[0]));
        const place = common((shot) => shot.place),
            subject = common((shot) => shot.subject);
        const name = (value, known, nothing) => (value === SEVERAL ? 'several' : value ? known(value) : nothing);
        say(
            this.place,
            name(place, (id) => store.placeTitle(id), 'none yet'),
        );
        say(
            this.subject,
            name(subject, (id) => store.subject(id)?.name ?? id, 'none yet'),
        );
        this.place.classList.toggle('open', !place);
        this.subject.classList.toggle('open', !subject);
        this.place.setAttribute('aria-label', `Place: ${this.place.textContent}`);
        this.subject.setAttribute('aria-label', `Subject: ${this.subject.textContent}`);
        const said = common((shot) => shot.distance),
            shown = common((shot) => shot.distance_shown);
        for (const button of this.distances) {
            button.setAttribute('aria-pressed', said === button.dataset.word);
            button.classList.toggle('usual', said !== button.dataset.word && shown === button.dataset.word);
            button.title = button.classList.contains('usual') ? 'what this subject usually is' : '';
        }
        const kind = subject && subject !== SEVERAL ? store.subject(subject) : null;
        this.#show(
            this.value,
            common((shot) => shot.value),
        );
        if (document.activeElement !== this.value) this.value.disabled = Boolean(kind && !kind.value);
        say(this.hint, kind ? (kind.value ? (kind.value_hint ?? '') : `${kind.name} carries no value.`) : '');
        this.#show(
            this.caption,
            common((shot) => shot.caption),
        );
        if (common((shot) => shot.caption) !== SEVERAL)
            this.caption.placeholder =
                common((shot) => shot.caption_shown) === SEVERAL ? 'composed for each' : (one?.caption_shown ?? '');
        const out = common((shot) => Boolean(shot.left_out));
        this.left.checked = out === true;
        this.left.indeterminate = out === SEVERAL;
        const beliefs = shots.map((shot) => [shot, store.suggestion(shot)]).filter(([, suggestion]) => suggestion);
        this.belief.hidden = !beliefs.length;
        say(this.takeText, beliefs.length > 1 ? 'Take them' : 'Take it');
        if (beliefs.length === 1) {
            const [, s] = beliefs[0];
            say(this.beliefText, `${store.placeTitle(s.place)}? ${Math.floor(s.confidence * 100)} % sure: ${s.reason}`);
        } else if (beliefs.length)
            say(
                this.beliefText,
                `${beliefs.length} of these have a suggestion, the least sure ${Math.floor(Math.min(...beliefs.map(([, s]) => s.confidence)) * 100)} %.`,
            );
        this.#tell(one, shots);
    }

    #show(input, value) {
        if (document.activeElement === input && input.numbers) return; // never under the user's fingers
        input.value = value === SEVERAL ? '' : (value ?? '');
        input.placeholder = value === SEVERAL ? 'several' : '';
    }

    #tell(shot, shots = []) {
        this.pair.hidden = shots.length !== 2 || shots[0].camera === shots[1].camera;
        if (!shot) return void this.facts.replaceChildren();
        const rows = [
            ['File', shot.file],
            [
                'Taken',
                [shot.taken, shot.reading && shot.reading !== shot.taken ? `(camera said ${shot.reading})` : '']
                    .filter(Boolean)
                    .join(' '),
            ],
            ['Clock', shot.clock],
            ['Camera', shot.camera],
            [
                'Looks',
                shot.heading_deg !== undefined
                    ? `${Math.round(shot.heading_deg)}° ${shot.heading_ref === 'M' ? 'magnetic' : 'true'}`
                    : '',
            ],
            ['Quality', shot.weak],
            ['Remark', shot.remark],
            ['Doubt', shot.doubt],
            ...recorded.notesOf(shot.number).map((note) => ['Note', note.text]),
            ...recorded
                .findingsOf(shot.number)
                .map((one) => ['Proves', `finding ${one.finding}: ${one.component_name}`]),
            ['Damaged', shot.damaged ? 'the file is only partly readable' : ''],
        ];
        this.facts.replaceChildren(
            ...rows
                .filter(([, text]) => text)
                .map(([name, text]) => h('div', {}, h('dt', { text: name }), h('dd', { text }))),
        );
    }
}

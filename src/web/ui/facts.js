// facts.js -- what is known of a place: facts, test squares, notes. The place is chosen on the plan, by its key, or by
// name.
//
// A fact is one line: what it is, its value, how it is known, and once there is a value its note and the photos that
// prove it. What photos say by themselves, and what holds for the roof or the structure, stands beside it: nobody types
// a thing twice.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, say } from './dom.js';
import { Field, Form, ShotsField, placeOptions, refill, select, text } from './fields.js';
import { Notes } from './notes.js';
import { shotsText } from './numbers.js';
import { recorded } from './recorded.js';
import { Squares } from './squares.js';
import { store } from './store.js';

const HINTS = {
    pitch: '6/12, 7 1/2:12, 32 deg',
    length: '10\'4", 10 ft 4 in, 3.15 m',
    count: 'a whole number',
    layers: 'a whole number, 1 to 9',
    years: '12 years, 12-15 years, over 20, under 5',
    number: '2, 1 1/2',
};

class FactLine {
    constructor(kind, view) {
        Object.assign(this, { kind, view });
        const { words } = recorded.data,
            choice = kind.type === 'choice';
        this.value = new Field(
            'value',
            kind.name,
            choice
                ? select(
                      kind.choices.map(({ word }) => word),
                      'not recorded',
                  )
                : text(),
        );
        this.how = new Field('how', 'How it is known', select(words.hows));
        this.note = new Field('note', 'Note', text());
        this.shots = new ShotsField(view.doors);
        this.plain = h('p', { class: 'soft plain-word', text: kind.plain });
        this.told = h('p', { class: 'fact-told' });
        this.back = h('button', {
            type: 'button',
            class: 'bare',
            text: 'Take back',
            'aria-label': `Take back: ${kind.name}`,
            onclick: () => this.#drop(),
        });
        const more = h('div', { class: 'fact-more' }, this.how.root, this.note.root, this.shots.root);
        this.form = new Form([this.value, this.how, this.note, this.shots], {
            button: 'Keep',
            send: () => this.#keep(),
            again: () => recorded.want().then(() => this.update(true)),
            more: [this.back],
            body: h(
                'div',
                { class: 'fact-body' },
                h('div', { class: 'fact-value' }, this.value.root, this.told),
                more,
                this.plain,
            ),
        });
        this.root = h('li', { class: 'fact' }, this.form.root);
        this.root.addEventListener('input', () => this.#state());
        this.root.addEventListener('change', () => this.#state());
    }

    get fields() {
        return [this.value, this.how, this.note, this.shots];
    }
    get fact() {
        return recorded.fact(this.view.place, this.kind);
    }

    // What is recorded, unless somebody is writing here: then `seen` stays what it was when the writing began.
    update(anew = false) {
        if (!anew && this.form.changed && this.value.shown !== undefined) return;
        const { fact } = this,
            known = recorded.known(this.view.place, this.kind);
        this.seen = fact;
        this.value.put(
            fact?.value,
            this.kind.type === 'choice' ? (fact ? (known?.choice ?? fact.value) : '') : fact?.value,
        );
        this.how.put(fact?.how, fact?.how ?? this.kind.how);
        this.note.put(fact?.note);
        this.shots.put(fact?.shots, shotsText(fact?.shots ?? []));
        say(this.told, this.#words(fact, known));
        this.told.className = known?.against.length ? 'fact-told differs' : 'fact-told';
        this.#state();
    }

    // What it means, what proves it, and what says otherwise.
    #words(fact, known) {
        if (!known) return '';
        const says = (list) => `${shots(list)} ${list.length === 1 ? 'says' : 'say'}`;
        const words = known.against.length ? [`▲ ${says(known.against)} something else.`] : [];
        const means = known.means && known.means !== (fact ?? known).value ? known.means : '';
        if (fact) {
            if (means) words.push(`= ${means}.`);
            if (!fact.shots.length && known.shots.length) words.push(`Proved by ${shots(known.shots)}.`);
        } else {
            const home = store.info.places.find(({ label }) => label === known.place)?.title ?? known.place;
            const how = known.recorded ? known.how : `${says(known.shots)} so`;
            const whose = known.place === this.view.place.label ? '' : `, ${home}`;
            words.push(`${known.value}${means ? ` (${means})` : ''}: ${how}${whose}.`);
        }
        return words.join(' ');
    }

    #state() {
        const { kind, fact } = this,
            typed = this.value.read();
        this.root.classList.toggle('open', Boolean(fact || typed));
        this.root.classList.toggle('recorded', Boolean(fact));
        this.form.button.disabled = !this.form.changed;
        this.back.hidden = !fact;
        this.value.hint(
            kind.type === 'choice'
                ? kind.choices.find(({ word }) => word === typed)?.meaning
                : fact && !this.value.changed
                  ? ''
                  : HINTS[kind.type],
        );
        this.form.button.setAttribute('aria-label', `Keep: ${kind.name}`);
    }

    get #was() {
        if (!this.seen) return {};
        const { value, how, note = null, shots: proof } = this.seen;
        return { value, how, note, shots: proof };
    }

    async #keep() {
        const { place } = this.view,
            body = { place: place.label, kind: this.kind.id, was: this.#was };
        for (const field of this.fields) if (field.changed) body[field.name] = field.read();
        if (this.seen && !this.value.read()) return this.seen.value ? this.#drop() : undefined;
        const answer = await this.form.post('/api/fact', body);
        this.#state();
        if (!answer) return undefined;
        this.form.accept();
        await recorded.after(answer);
        return this.update(true);
    }

    async #drop() {
        const answer = await this.form.post('/api/fact', {
            place: this.view.place.label,
            kind: this.kind.id,
            drop: true,
            was: this.#was,
        });
        if (!answer) return;
        await recorded.after(answer);
        this.update(true);
        this.value.input.focus({ preventScroll: true });
    }
}

const shots = (list) => `${list.length === 1 ? 'shot' : 'shots'} ${shotsText(list)}`;

export class Facts {
    name = 'Facts';
    #chosen = 0; // place id; 0: none chosen yet
    #lines = new Map(); // "place kind" -> FactLine: what was begun in one place is still there when one comes back

    constructor(doors) {
        // { look(number, order), choose(place) }
        this.doors = doors;
        this.squares = new Squares(doors, this);
        this.notes = new Notes(doors, this);
    }

    get place() {
        return store.place(this.#chosen);
    }

    mount(root) {
        this.root = root;
        this.which = h('select', { id: 'facts-place', onchange: () => this.open(Number(this.which.value)) });
        this.sum = h('p', { class: 'soft' });
        this.title = h('h3', {});
        this.list = h('ul', { class: 'fact-list' });
        this.none = h('p', { class: 'soft', text: 'Nothing in the list of facts belongs here.' });
        root.append(
            h(
                'div',
                { class: 'page wide-page' },
                h(
                    'div',
                    { class: 'row place-row' },
                    h('label', { for: 'facts-place', text: 'Place' }),
                    this.which,
                    h('span', { class: 'soft', text: 'or press it on the plan' }),
                    (this.toSquares = h('button', {
                        type: 'button',
                        class: 'bare',
                        text: 'To its test squares',
                        onclick: () => this.squares.enter(),
                    })),
                    h('button', {
                        type: 'button',
                        class: 'bare',
                        text: 'To its notes',
                        onclick: () => this.notes.enter(),
                    }),
                ),
                h('section', {}, this.title, this.sum, this.list, this.none),
                this.squares.root,
                this.notes.root,
            ),
        );
        this.update();
        recorded.want();
    }

    open(id) {
        this.#chosen = id;
        this.update();
        this.doors.choose(id);
    }

    update() {
        if (!this.root?.isConnected || !recorded.data) return;
        if (!this.place)
            this.#chosen =
                [...store.places.values()].find(({ kind }) => kind === 'roof')?.id ?? store.places.keys().next().value;
        const { place } = this;
        refill(this.which, placeOptions());
        this.which.value = String(place.id);
        const kinds = recorded.data.words.fact_kinds.filter(({ where }) => where.includes(place.kind));
        say(this.title, `Facts: ${place.title}`);
        say(
            this.sum,
            kinds.length
                ? `${kinds.filter((kind) => recorded.known(place, kind)).length} of ${kinds.length} known. ` +
                      'What is said of the roof holds for its slopes, what is said of a structure for its parts.'
                : '',
        );
        this.none.hidden = kinds.length > 0;
        const lines = kinds.map((kind) => this.#line(place, kind));
        if (lines.length !== this.list.children.length || lines.some((line, i) => line.root !== this.list.children[i]))
            this.list.replaceChildren(...lines.map(({ root }) => root));
        for (const line of lines) line.update();
        this.squares.update();
        this.toSquares.hidden = this.squares.root.hidden;
        this.notes.update();
    }

    #line(place, kind) {
        const key = `${place.id} ${kind.id}`;
        if (!this.#lines.has(key))
            this.#lines.set(
                key,
                new FactLine(kind, {
                    doors: this.doors,
                    get place() {
                        return store.place(place.id);
                    },
                }),
            );
        return this.#lines.get(key);
    }

    hold() {
        if (!this.root?.isConnected) return;
        for (const line of this.#lines.values()) line.form.hold();
        this.squares.hold();
        this.notes.hold();
    }

    // What is begun and not kept: the browser asks before the window goes.
    get begun() {
        return [...this.#lines.values()].some(({ form }) => form.changed) || this.squares.begun || this.notes.begun;
    }
}

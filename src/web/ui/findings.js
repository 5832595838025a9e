// findings.js -- what is damaged, by what, what is to be done and how much of it: written from the photos in the hand.
//
// While nothing is typed, the form follows the hand: its photos, the place they agree on, the component that their
// subject usually shows.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, plural, say } from './dom.js';
import { Field, Form, ShotsField, area, options, placeOptions, refill, renew, select, text } from './fields.js';
import { held } from './held.js';
import { shotsText } from './numbers.js';
import { recorded } from './recorded.js';
import { store } from './store.js';

const wasOf = ({ place, component, cause = null, action = null, quantity = null, note = null, shots }) => ({
    place,
    component,
    cause,
    action,
    quantity,
    note,
    shots,
});

export class Findings {
    name = 'Findings';
    #editing = null; // the finding in the form as it was seen; null: a new one

    constructor(doors) {
        this.doors = doors;
    } // { look(number, order), take(numbers) }

    #make() {
        const { words } = recorded.data;
        this.shots = new ShotsField(this.doors);
        this.place = new Field('place', 'Place', h('select', {}));
        this.component = new Field('component', 'Component', h('select', {}));
        this.cause = new Field('cause', 'Cause', select(words.causes, 'not said yet'));
        this.action = new Field('action', 'What is to be done', select(words.actions, 'not said yet'));
        this.quantity = new Field('quantity', 'Quantity', text());
        // Choosing writes the quantity and moves nothing: who goes through a list by arrow keys chooses each entry on
        // the way.
        this.follows = h('select', {
            id: 'follows',
            onchange: () => {
                this.quantity.write(this.follows.value);
                this.quantity.tell('');
            },
        });
        this.quantity.input.addEventListener('input', () => this.#followed());
        this.quantity.root.append(
            h('label', { for: 'follows', class: 'unseen', text: 'Let the quantity follow a measurement of the roof' }),
            this.follows,
        );
        this.note = new Field('note', 'Note', area(2));
        this.other = h('button', { type: 'button', text: 'Write a new one instead', onclick: () => this.#fresh() });
        this.out = h('button', {
            type: 'button',
            class: 'bare',
            text: 'Take out',
            onclick: () => this.#drop(this.#editing),
        });
        this.form = new Form(
            [this.shots, this.place, this.component, this.cause, this.action, this.quantity, this.note],
            {
                button: 'Write it down',
                send: () => this.#keep(),
                again: () => this.#again(),
                more: [this.other, this.out],
                label: 'Finding',
            },
        );
        this.component.input.addEventListener('change', () => this.#hints());
    }

    mount(root) {
        this.root = root;
        this.title = h('h3', {});
        this.box = h('div', {});
        this.sum = h('p', { class: 'soft' });
        this.list = h('div', { class: 'finding-groups' });
        root.append(
            h(
                'div',
                { class: 'page wide-page' },
                h('section', {}, this.title, this.box),
                h('section', {}, h('h3', { text: 'Findings, along the walk' }), this.sum, this.list),
                h('p', {
                    class: 'soft',
                    text: 'A finding says what the person who looked says. gablebook puts no price on anything and judges nothing.',
                }),
            ),
        );
        this.update();
        recorded.want();
    }

    update() {
        if (!this.root?.isConnected || !recorded.data) return;
        if (!this.form) this.#make();
        if (!this.form.root.isConnected) this.box.replaceChildren(this.form.root);
        const { words, findings } = recorded.data;
        refill(
            this.place.input,
            placeOptions(() => true, 'as the photos tell'),
        );
        refill(
            this.component.input,
            options(
                words.components.map(({ id, name }) => [id, name]),
                'as the photos tell',
            ),
        );
        refill(
            this.follows,
            options(
                words.roof_quantities.map(({ word, unit }) => [`= ${word}`, `= ${word} (${unit})`]),
                'a number, as typed above',
            ),
        );
        if (this.#editing) {
            const now = recorded.finding(this.#editing.finding);
            if (!now) this.#fresh();
            else if (!this.form.changed) this.#fill(now);
        } else this.#follow();
        this.#head();
        say(
            this.sum,
            findings.length
                ? `${plural(findings.length, 'finding')}.`
                : 'None yet. Take the photos of one damage into the hand, then write down here what it is.',
        );
        const groups = new Map();
        for (const one of findings) groups.set(one.place, [...(groups.get(one.place) ?? []), one]);
        renew(
            this.list,
            [...groups].map(([place, list]) =>
                h(
                    'section',
                    {},
                    h('h4', { text: store.placeTitle(place) || 'a place that is gone' }),
                    h('ul', {}, ...list.map((one) => this.#line(one))),
                ),
            ),
        );
    }

    #head() {
        say(this.title, this.#editing ? `Finding ${this.#editing.finding}` : 'Write down a finding');
        say(this.form.button, this.#editing ? 'Keep the finding' : 'Write it down');
        this.other.hidden = this.out.hidden = !this.#editing;
        this.#hints();
    }

    #followed() {
        const typed = this.quantity.read();
        this.follows.value = [...this.follows.options].some(({ value }) => value === typed) ? typed : '';
    }

    #hints() {
        this.#followed();
        const component = recorded.component(this.component.read());
        const plain = component ? `A plain number is in ${component.unit}. ` : '';
        const usual = component?.measure ? `; usually = ${component.measure}` : '';
        this.quantity.hint(`${plain}12 LF, 3 1/2 sq, 10'4"${usual}`);
    }

    // From the photos in the hand.
    #follow() {
        const shots = held
            .list()
            .map((number) => store.shot(number))
            .filter(Boolean);
        const common = (of) =>
            shots.length && shots.every((shot) => of(shot) && of(shot) === of(shots[0])) ? of(shots[0]) : undefined;
        const place = common((shot) => shot.place),
            subject = common((shot) => shot.subject);
        const component = subject && recorded.data.words.components.find(({ seen }) => seen.includes(subject));
        this.shots.show(held.list(), shotsText(held.list()));
        this.shots.hold();
        this.place.show(place, place ? String(place) : '');
        this.component.show(component?.id);
        for (const field of [this.cause, this.action, this.quantity, this.note])
            if (field.shown === undefined) field.put('');
        this.#hints();
    }

    #line(one) {
        const key = String(one.finding),
            what = `finding ${one.finding}, ${one.component_name}, ${store.placeTitle(one.place)}`;
        return h(
            'li',
            { class: one.finding === this.#editing?.finding ? 'finding current' : 'finding' },
            h('span', { class: 'number soft', text: String(one.finding) }),
            h(
                'div',
                { class: 'finding-what' },
                h('button', {
                    type: 'button',
                    class: 'bare lead',
                    data: { key, does: 'open' },
                    text: one.component_name,
                    'aria-label': `Open ${what}: takes its photos into the hand`,
                    onclick: () => this.open(one.finding),
                }),
                h('span', { text: [one.cause, one.action].filter(Boolean).join('; ') }),
                one.lacks ? h('span', { class: 'lacks', text: `▲ ${one.lacks}` }) : null,
                one.note ? h('p', { class: 'soft', text: one.note }) : null,
            ),
            h('span', { class: 'number finding-much', text: one.quantity_shown ?? '' }),
            h(
                'div',
                { class: 'row' },
                one.shots.length
                    ? h('button', {
                          type: 'button',
                          class: 'bare',
                          data: { key, does: 'take' },
                          text: plural(one.shots.length, 'photo'),
                          'aria-label': `Show its ${plural(one.shots.length, 'photo')}: ${what}`,
                          onclick: () => this.doors.take(one.shots),
                      })
                    : h('span', { class: 'lacks', text: '▲ no photo' }),
                h('button', {
                    type: 'button',
                    class: 'bare',
                    data: { key, does: 'drop' },
                    text: 'Take out',
                    'aria-label': `Take out ${what}`,
                    onclick: () => this.#drop(one),
                }),
            ),
        );
    }

    // Into the form, and its photos into the hand.
    open(number) {
        const finding = recorded.finding(number);
        if (!finding) return;
        const there = finding.shots.filter((shot) => store.shot(shot));
        held.take(there, { cursor: there[0] ?? null, anchor: there[0] ?? null });
        this.#fill(finding);
        this.update();
        this.root.scrollTop = 0;
        this.cause.input.focus({ preventScroll: true });
    }

    #fill(finding) {
        this.#editing = finding;
        this.shots.put(finding.shots, shotsText(finding.shots));
        this.place.put(finding.place, String(finding.place));
        this.component.put(finding.component);
        for (const field of [this.cause, this.action, this.quantity, this.note]) field.put(finding[field.name]);
    }

    // Somebody else had changed it, and it was left so.
    async #again() {
        await recorded.want();
        const now = this.#editing && recorded.finding(this.#editing.finding);
        if (now) this.#fill(now);
        else this.#fresh();
    }

    #fresh() {
        this.#editing = null;
        for (const field of this.form.fields.values()) field.put('');
        this.#follow();
        this.#head();
        if (this.root.isConnected && recorded.data)
            for (const line of this.list.querySelectorAll('.finding.current')) line.classList.remove('current');
    }

    async #keep() {
        const finding = this.#editing,
            body = {};
        for (const [name, field] of this.form.fields) {
            const typed = field.read();
            if (finding ? field.changed : typed)
                body[name] = name === 'place' ? (store.place(Number(typed))?.label ?? '') : typed;
        }
        if (finding) {
            if (!Object.keys(body).length) return this.form.blame('Nothing was changed.');
            Object.assign(body, { finding: finding.finding, was: wasOf(finding) });
        }
        const answer = await this.form.post('/api/finding', body);
        if (!answer) return undefined;
        this.form.accept();
        await recorded.after(answer);
        this.#fresh();
        this.update();
        return this.shots.input.focus({ preventScroll: true });
    }

    async #drop(finding) {
        const answer = await this.form.post('/api/finding', {
            finding: finding.finding,
            drop: true,
            was: wasOf(finding),
        });
        if (!answer) return;
        if (this.#editing?.finding === finding.finding) this.#fresh();
        await recorded.after(answer);
        this.update();
    }

    get begun() {
        return Boolean(this.form?.changed);
    }

    hold() {
        if (!this.root?.isConnected || !this.form) return;
        if (!this.#editing) this.#follow();
        this.form.hold();
    }
}

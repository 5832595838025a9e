// squares.js -- test squares: hits counted on a marked piece of a slope, or why none was marked. No verdict: a number
// that matters is somebody's.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, say } from './dom.js';
import { Field, Form, ShotsField, goTo, placeOptions, refill, renew, text } from './fields.js';
import { shotsText } from './numbers.js';
import { recorded } from './recorded.js';
import { store } from './store.js';

const wasOf = (square) => {
    if (!square) return {};
    const { size = null, hits = null, not_drawn: why = null, note = null, shots } = square;
    return { size, hits, not_drawn: why, note, shots };
};
const wasOfLimit = (threshold) => (threshold ? { hits: threshold.hits, source: threshold.source } : {});
const isSlope = (place) => place.kind === 'slope';

export class Squares {
    constructor(doors, view) {
        // view.place: the place that is looked at
        Object.assign(this, { doors, view });
        this.where = new Field('place', 'Slope', h('select', {}));
        this.number = new Field(
            'number',
            'Which square',
            h('select', {}, ...'123456789'.split('').map((n) => h('option', { value: n, text: n }))),
        );
        this.hits = new Field('hits', 'Hits counted', text({ inputmode: 'numeric' }));
        this.size = new Field('size', 'Size', text()).hint('10 x 10 ft, 5 x 20 ft');
        this.why = new Field('not_drawn', 'Not drawn, because', text()).hint(
            'obvious: hits on every shingle; too steep to stand on',
        );
        this.note = new Field('note', 'Note', text());
        this.shots = new ShotsField(doors);
        this.form = new Form([this.where, this.number, this.hits, this.size, this.why, this.note, this.shots], {
            button: 'Keep the square',
            send: () => this.#keep(),
            again: () =>
                recorded.want().then(() => {
                    this.form.accept();
                    this.#recall();
                }),
            label: 'Test square',
        });
        this.table = h('tbody', {});
        this.scroll = h(
            'div',
            { class: 'scrolls', tabindex: '0', role: 'group', 'aria-label': 'Test squares, slope by slope' },
            h(
                'table',
                {},
                h(
                    'thead',
                    {},
                    h(
                        'tr',
                        {},
                        ...['Slope', 'No', 'Size', 'Hits', 'Photos', 'Note', ''].map((word) =>
                            h('th', { scope: 'col' }, word || h('span', { class: 'unseen', text: 'Change' })),
                        ),
                    ),
                ),
                this.table,
            ),
        );
        this.matters = h('p', {});
        this.threshold = new Field('threshold', 'Hits', text({ inputmode: 'numeric' }));
        this.source = new Field('source', 'Who says so', text({ placeholder: 'the carrier’s guide' }));
        this.limit = new Form([this.threshold, this.source], {
            button: 'Keep',
            send: () => this.#limit(),
            again: () => recorded.want().then(() => this.#showLimit()),
            label: 'How many hits matter',
        });
        this.root = h(
            'section',
            {},
            h('h3', { text: 'Test squares' }),
            this.scroll,
            this.form.root,
            h(
                'details',
                { class: 'more' },
                h('summary', { text: 'How many hits matter, as somebody says' }),
                h('p', {
                    class: 'soft',
                    text: 'That differs from carrier to carrier. A number set here is shown as theirs; nothing is measured against it.',
                }),
                this.matters,
                this.limit.root,
            ),
            h('p', {
                class: 'soft care',
                text:
                    'Mark and count only where it is safe to stand. Steep, wet, icy, mossy or in gusts: ' +
                    'from the ladder, the ground or a pole, or not at all, with the reason. Local codes and licensed practice decide.',
            }),
        );
        this.number.put(1, '1');
        for (const field of [this.where, this.number]) field.input.addEventListener('change', () => this.#recall());
    }

    get #square() {
        const place = store.place(Number(this.where.read()));
        return place && recorded.squares(place).find(({ number }) => String(number) === this.number.read());
    }

    update() {
        const { place } = this.view,
            { structures } = store.info;
        this.root.hidden =
            !['slope', 'roof', 'whole'].includes(place.kind) || ![...store.places.values()].some(isSlope);
        if (this.root.hidden) return;
        refill(this.where.input, placeOptions(isSlope));
        if (this.last !== place.id && !this.begun) {
            // the form follows the place
            this.last = place.id;
            const slope = isSlope(place)
                ? place
                : [...store.places.values()].find((one) => isSlope(one) && one.structure === place.structure);
            this.where.put(slope?.id, String(slope?.id ?? this.where.input.options[0].value));
            this.number.put(1, '1');
        }
        this.#recall(false);
        const of = (label) => [...store.places.values()].find((one) => one.label === label),
            many = structures.length > 1;
        const rows = recorded.data.known.squares.map((square) => {
            const where = of(square.place),
                key = `${where?.id} ${square.number}`;
            const hits = square.hits === null ? `not drawn: ${square.not_drawn ?? ''}` : String(square.hits);
            return h(
                'tr',
                {},
                h('th', { scope: 'row', text: many ? where?.title : square.place }),
                h('td', { class: 'number', text: String(square.number) }),
                h('td', { text: square.size ?? '' }),
                h('td', {
                    class: 'number',
                    text: `${hits}${square.recorded ? '' : ' (a photo says so)'}${square.against?.length ? `; ▲ ${shotsText(square.against)} differs` : ''}`,
                }),
                h('td', { text: shotsText(square.shots) }),
                h('td', { text: square.note ?? '' }),
                h(
                    'td',
                    {},
                    h(
                        'div',
                        { class: 'row' },
                        h('button', {
                            type: 'button',
                            class: 'bare',
                            data: { key, does: 'change' },
                            text: square.recorded ? 'Change' : 'Record',
                            'aria-label': `${square.recorded ? 'Change' : 'Record'}: test square ${square.number}, ${where?.title}`,
                            onclick: () => this.#open(where, square),
                        }),
                        square.recorded
                            ? h('button', {
                                  type: 'button',
                                  class: 'bare',
                                  data: { key, does: 'drop' },
                                  text: 'Take out',
                                  'aria-label': `Take out: test square ${square.number}, ${where?.title}`,
                                  onclick: () => this.#drop(where, square.number),
                              })
                            : null,
                    ),
                ),
            );
        });
        renew(
            this.table,
            rows.length ? rows : [h('tr', {}, h('td', { colspan: '7', class: 'soft', text: 'None yet.' }))],
        );
        const { threshold } = recorded.data;
        say(
            this.matters,
            threshold
                ? `${threshold.hits} hits, says ${threshold.source}; set by ${threshold.who}.`
                : 'No number is set.',
        );
        if (!this.limit.changed || this.threshold.value === undefined) this.#showLimit();
    }

    // Number and source belong together: what stands in both fields was seen together.
    #showLimit() {
        const { threshold } = recorded.data;
        this.seenLimit = threshold;
        this.threshold.put(threshold?.hits, threshold ? String(threshold.hits) : '');
        this.source.put(threshold?.source);
    }

    // The square that slope and number name, into the fields. What somebody is writing stays, and is then for the
    // square that is chosen.
    #recall(asked = true) {
        const { begun } = this;
        if (begun && !asked) return;
        const square = this.#square;
        this.seen = square;
        const put = (field, value, written = value) => {
            if (begun) {
                field.value = value ?? null;
                field.shown = written ?? '';
            } else field.put(value, written);
        };
        put(this.hits, square?.hits, square?.hits === undefined ? '' : String(square.hits));
        put(this.size, square?.size);
        put(this.why, square?.not_drawn);
        put(this.note, square?.note);
        put(this.shots, square?.shots, shotsText(square?.shots ?? []));
        this.size.input.placeholder = recorded.data.words.usual_square;
        this.number.hint(
            square
                ? `Recorded: ${square.hits === undefined ? 'not drawn' : `${square.hits} hits on ${square.size}`}. Keep changes it.`
                : '',
        );
    }

    #open(place, square) {
        this.where.put(place.id, String(place.id));
        this.number.put(square.number, String(square.number));
        this.form.accept();
        this.#recall();
        if (!square.recorded) {
            this.hits.write(String(square.hits ?? ''));
            this.size.write(square.size ?? '');
            this.shots.write(shotsText(square.shots));
            this.shots.hold();
        }
        this.hits.input.focus();
    }

    async #keep() {
        const place = store.place(Number(this.where.read()));
        const body = { place: place.label, number: this.number.read(), was: wasOf(this.seen) };
        for (const field of [this.hits, this.size, this.why, this.note, this.shots])
            if (field.changed) body[field.name] = field.read() || null;
        if (body.not_drawn) {
            delete body.hits;
            delete body.size;
        } else if (body.hits) delete body.not_drawn;
        const answer = await this.form.post('/api/square', body);
        if (!answer) return;
        this.form.accept();
        await recorded.after(answer);
        this.#recall();
    }

    async #drop(place, number) {
        const square = recorded.squares(place).find((one) => one.number === number);
        const answer = await this.form.post('/api/square', {
            place: place.label,
            number: String(number),
            drop: true,
            was: wasOf(square),
        });
        if (!answer) return;
        this.form.accept();
        await recorded.after(answer);
        this.#recall();
    }

    async #limit() {
        const hits = this.threshold.read();
        const answer = await this.limit.post('/api/square', {
            threshold: hits || null,
            ...(hits ? { source: this.source.read() } : {}),
            was: wasOfLimit(this.seenLimit),
        });
        if (!answer) return;
        this.limit.accept();
        await recorded.after(answer);
    }

    get begun() {
        const said = [this.hits, this.size, this.why, this.note, this.shots];
        return said.some((field) => field.shown !== undefined && field.changed);
    }

    enter() {
        goTo(this.root, this.hits.input);
    }

    hold() {
        this.form.hold();
    }
}

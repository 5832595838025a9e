// records.js -- what was recorded beside the photos: findings, facts, test squares, notes, roof measurements. Lists,
// and one form for each.
//
// Every kind is a small table of fields: what it is called, how it is asked for, what it shows. The form sends what
// was changed, and what the user saw of it; a field that is emptied is taken back.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { dialog } from './ask.js';
import { h, plural, say } from './dom.js';
import { held } from './held.js';
import { store } from './store.js';

const numbers = (shots) => (shots ?? []).join(', ');
const option = (value, label = value) => ({ value, label });
const title = (id) => store.placeTitle(id) || 'The claim';
const places = (kinds) =>
    [...store.places.values()]
        .filter((one) => !kinds || kinds.includes(one.kind))
        .map((one) => option(one.id, one.title));
const label = (id) => store.place(Number(id))?.label ?? null;

let serial = 0;

// Asks for the fields; resolves with { name: text or null } of those that were changed, { drop: true }, or null.
//   fields  [{ name, label, options?, long?, check?, hint?, fixed? }]; values: as they stand; checks come as booleans
//   offers  what stands in an empty field of a new one: it is sent unless it is taken out
function form(heading, fields, values, { drops = false, about = '', offers = {} } = {}) {
    return dialog(heading, (close) => {
        const inputs = fields.map((field) => {
            const id = `record${serial++}`,
                value = values[field.name] ?? offers[field.name] ?? '';
            let input;
            if (field.check) input = h('input', { type: 'checkbox', id, checked: Boolean(value) });
            else if (field.options) {
                input = h(
                    'select',
                    { id },
                    field.required ? null : h('option', { value: '', text: '(not said)' }),
                    ...field.options.map((one) => h('option', { value: one.value, text: one.label })),
                );
                if (value !== '' && ![...input.options].some((one) => one.value === String(value)))
                    input.append(h('option', { value, text: value }));
                input.value = value;
            } else
                input = h(field.long ? 'textarea' : 'input', {
                    id,
                    rows: field.long ? 3 : undefined,
                    type: field.long ? undefined : 'text',
                    autocomplete: 'off',
                    value: String(value),
                });
            if (field.fixed) input.disabled = true;
            return input;
        });
        const read = () => {
            const said = {};
            fields.forEach((field, i) => {
                if (field.fixed) return;
                const now = field.check ? inputs[i].checked : inputs[i].value.trim(),
                    before = field.check ? Boolean(values[field.name]) : String(values[field.name] ?? '');
                if (now !== before) said[field.name] = now === '' ? null : now;
            });
            return said;
        };
        inputs[fields.findIndex(({ fixed }) => !fixed)]?.setAttribute('data-first', '');
        return h(
            'form',
            {
                method: 'dialog',
                onsubmit: (event) => {
                    event.preventDefault();
                    close(read());
                },
            },
            h('h2', { text: heading }),
            about ? h('p', { class: 'soft', text: about }) : null,
            h(
                'div',
                { class: 'record-fields' },
                ...fields.map((field, i) =>
                    field.check
                        ? h('label', { class: 'line' }, inputs[i], field.label)
                        : h(
                              'div',
                              { class: field.long ? 'field long' : 'field' },
                              h('label', { for: inputs[i].id, text: field.label }),
                              inputs[i],
                              field.hint ? h('span', { class: 'soft hint', text: field.hint }) : null,
                          ),
                ),
            ),
            h(
                'div',
                { class: 'row' },
                h('button', { type: 'submit', class: 'first', text: 'Keep' }),
                h('button', { type: 'button', text: 'Leave it', onclick: () => close(null) }),
                drops
                    ? h('button', { type: 'button', text: 'Take it out', onclick: () => close({ drop: true }) })
                    : null,
            ),
        );
    });
}

export class Records {
    name = 'Records';
    #version = -1;

    constructor(doors) {
        this.doors = doors;
    } // { take(numbers) }

    mount(root) {
        this.root = root;
        const section = (name, about, add, key) => {
            const list = h('div', { class: 'scrolls', tabindex: '0', role: 'group', 'aria-label': name });
            return [
                h(
                    'section',
                    {},
                    h(
                        'div',
                        { class: 'row spread' },
                        h('h3', { text: name }),
                        h('button', { type: 'button', onclick: add, text: key }),
                    ),
                    about ? h('p', { class: 'soft', text: about }) : null,
                    list,
                ),
                list,
            ];
        };
        const [findings, findingList] = section(
            'Findings',
            'What is damaged, what did it, what is to be done, how much of it there is, and the photos that prove it.',
            () => this.finding(),
            'Add a finding',
        );
        const [facts, factList] = section('Facts', '', () => this.fact(), 'Add a fact');
        const [squares, squareList] = section('Test squares', '', () => this.square(), 'Add a test square');
        const [notes, noteList] = section('Notes', '', () => this.note(), 'Add a note');
        const [roof, roofList] = section('Roof, measured', '', () => this.measure(), 'Add a measurement');
        Object.assign(this, {
            findingList,
            factList,
            squareList,
            noteList,
            roofList,
            threshold: h('p', { class: 'soft' }),
            roofSum: h('div', {}),
            caution: h('p', { class: 'care' }),
        });
        squares.append(
            h(
                'div',
                { class: 'row' },
                this.threshold,
                h('button', { type: 'button', text: 'Threshold', onclick: () => this.#threshold() }),
            ),
        );
        roof.append(this.roofSum, this.caution);
        root.append(h('div', { class: 'page wide-page' }, findings, facts, squares, notes, roof));
        this.update();
    }

    update() {
        if (!this.root?.isConnected || !store.recorded) return;
        if (this.#version === store.recorded.version && this.findingList.children.length) return;
        this.#version = store.recorded.version;
        const focused = document.activeElement?.dataset?.record;
        const { words, findings, facts, squares, notes, roof, threshold } = store.recorded;
        const photos = (shots) =>
            shots?.length
                ? h('button', {
                      type: 'button',
                      class: 'bare',
                      text: plural(shots.length, 'photo'),
                      onclick: () => this.doors.take(shots),
                  })
                : h('span', { class: 'lacks', text: 'no photo' });
        const change = (key, name, run) =>
            h('button', { type: 'button', class: 'bare lead', data: { record: key }, text: name, onclick: run });
        const table = (root, heads, rows, none) =>
            root.replaceChildren(
                rows.length
                    ? h(
                          'table',
                          {},
                          h('thead', {}, h('tr', {}, ...heads.map((text) => h('th', { scope: 'col', text })))),
                          h(
                              'tbody',
                              {},
                              ...rows.map((row) =>
                                  h(
                                      'tr',
                                      {},
                                      ...row.map((cell, i) =>
                                          h(i ? 'td' : 'th', i ? {} : { scope: 'row' }, cell ?? ''),
                                      ),
                                  ),
                              ),
                          ),
                      )
                    : h('p', { class: 'soft', text: none }),
            );
        table(
            this.findingList,
            ['What', 'Where', 'Cause', 'Action', 'How much', 'Proof', 'Note'],
            findings.map((one) => [
                change(`finding ${one.finding}`, one.component_name, () => this.finding(one)),
                title(one.place),
                one.cause,
                one.action,
                h(
                    'span',
                    {},
                    one.quantity_shown ?? '',
                    one.lacks ? h('span', { class: 'lacks', text: ` ▲ ${one.lacks}` }) : null,
                ),
                photos(one.shots),
                one.note,
            ]),
            'None yet.',
        );
        const kind = (id) => words.fact_kinds.find((one) => one.id === id);
        table(
            this.factList,
            ['What', 'Where', 'Value', 'How known', 'Photos', 'Note'],
            facts.map((one) => [
                change(`fact ${one.place} ${one.kind}`, kind(one.kind)?.name ?? one.kind, () => this.fact(one)),
                title(one.place),
                one.value,
                one.how,
                one.shots?.length ? photos(one.shots) : '',
                one.note,
            ]),
            'None yet.',
        );
        table(
            this.squareList,
            ['Where', 'Size', 'Hits', 'Photos', 'Note'],
            squares.map((one) => [
                change(
                    `square ${one.place} ${one.number}`,
                    `${title(one.place)}${one.number > 1 ? `, ${one.number}` : ''}`,
                    () => this.square(one),
                ),
                one.size,
                one.not_drawn ? `not drawn: ${one.not_drawn}` : String(one.hits ?? ''),
                one.shots?.length ? photos(one.shots) : '',
                one.note,
            ]),
            'None yet.',
        );
        say(
            this.threshold,
            threshold
                ? `Threshold, as ${threshold.source ?? threshold.who ?? 'said'}: ${plural(threshold.hits, 'hit')}. gablebook judges nothing by it.`
                : 'No threshold is recorded.',
        );
        table(
            this.noteList,
            ['Note', 'About', 'In the report', 'By'],
            notes.map((one) => [
                change(`note ${one.note}`, one.text, () => this.note(one)),
                one.shot ? `shot ${one.shot}` : title(one.place),
                one.in_report ? 'yes' : 'no',
                one.who,
            ]),
            'None yet.',
        );
        table(
            this.roofList,
            ['Where', 'Shape', 'Given'],
            roof.entries.map((one) => [
                change(
                    `roof ${one.entry}`,
                    `${one.where}${one.section && one.section !== 'main' ? `, ${one.section}` : ''}`,
                    () => this.measure(one),
                ),
                `${one.shape}${one.cut_out ? ', cut out' : ''}`,
                Object.entries(one.given)
                    .map(([name, { typed }]) => `${name} ${typed}`)
                    .join(', '),
            ]),
            'Nothing is measured yet.',
        );
        this.roofSum.replaceChildren(
            ...roof.structures.map((one) =>
                h(
                    'div',
                    {},
                    h('p', {
                        text: `${one.name}: ${Object.entries(one.quantities ?? {})
                            .map(([name, { amount, unit }]) => `${name} ${Math.round(amount * 100) / 100} ${unit}`)
                            .join(', ')}`,
                    }),
                    ...(one.contradictions ?? []).map((text) => h('p', { class: 'error', text: `▲ ${text}` })),
                ),
            ),
        );
        say(this.caution, roof.caution ?? '');
        this.caution.hidden = !roof.caution;
        if (focused)
            [...this.root.querySelectorAll('[data-record]')]
                .find(({ dataset }) => dataset.record === focused)
                ?.focus({ preventScroll: true });
    }

    async #send(path, body) {
        const answer = await store.send(path, body);
        if (answer) await store.caughtUp(answer.version);
    }

    // A finding; of the photos in the hand where there are any.
    async finding(old = null) {
        if (!store.recorded) await store.askRecorded();
        const { words } = store.recorded;
        const shots = old ? old.shots : held.list().sort((a, b) => a - b),
            place = old?.place ?? store.shot(shots[0])?.place;
        const fields = [
            {
                name: 'component',
                label: 'What is damaged',
                options: words.components.map((one) =>
                    option(one.id, `${one.name}${one.unit ? ` (${one.unit})` : ''}`),
                ),
            },
            { name: 'place', label: 'Where', options: places() },
            { name: 'cause', label: 'What did it', options: words.causes.map((one) => option(one)) },
            { name: 'action', label: 'What is to be done', options: words.actions.map((one) => option(one)) },
            { name: 'quantity', label: 'How much', hint: '3, 12 LF, 2 1/2 sq; or = to follow the roof’s measure' },
            { name: 'shots', label: 'Photos that prove it', hint: '3, 7-12' },
            { name: 'note', label: 'Note', long: true },
        ];
        const shown = { place: place ?? '', shots: numbers(shots) };
        const said = await form(old ? `Finding ${old.finding}` : 'A finding', fields, old ? { ...old, ...shown } : {}, {
            drops: Boolean(old),
            offers: old ? {} : shown,
        });
        if (!said) return;
        if (said.place) said.place = label(said.place);
        if (old)
            await this.#send('/api/finding', {
                finding: old.finding,
                ...said,
                was: (({ place: p, component, cause, action, quantity, note, shots: s }) => ({
                    place: p,
                    component,
                    cause,
                    action,
                    quantity,
                    note,
                    shots: s,
                }))(old),
            });
        else
            await this.#send(
                '/api/finding',
                Object.fromEntries(Object.entries(said).filter(([, value]) => value !== null)),
            );
    }

    async fact(old = null) {
        if (!store.recorded) await store.askRecorded();
        const { words } = store.recorded;
        let kind = old && words.fact_kinds.find((one) => one.id === old.kind);
        if (!old) {
            const first = await form(
                'A fact',
                [
                    {
                        name: 'kind',
                        label: 'Which',
                        options: words.fact_kinds.map((one) => option(one.id, one.name)),
                        required: true,
                    },
                    { name: 'place', label: 'Where', options: places(), required: true },
                ],
                {},
            );
            if (!first?.kind || !first.place) return;
            kind = words.fact_kinds.find((one) => one.id === first.kind);
            const there = store.recorded.facts.find((one) => one.kind === kind.id && one.place === Number(first.place));
            if (there) return void this.fact(there);
            return void this.#fact(kind, Number(first.place), null);
        }
        await this.#fact(kind, old.place, old);
    }
    async #fact(kind, place, old) {
        const { words } = store.recorded;
        const fields = [
            kind.choices?.length
                ? {
                      name: 'value',
                      label: kind.name,
                      options: kind.choices.map((one) =>
                          option(one.word, one.meaning ? `${one.word}: ${one.meaning}` : one.word),
                      ),
                  }
                : { name: 'value', label: kind.name },
            { name: 'how', label: 'How is it known', options: words.hows.map((one) => option(one)) },
            { name: 'shots', label: 'Photos of it', hint: '3, 7-12' },
            { name: 'note', label: 'Note', long: true },
        ];
        const said = await form(
            `${kind.name}: ${title(place)}`,
            fields,
            old ? { ...old, shots: numbers(old.shots) } : {},
            { drops: Boolean(old), about: kind.plain, offers: old ? {} : { how: kind.how } },
        );
        if (!said || !Object.keys(said).length) return;
        const was = old ? { value: old.value, how: old.how, note: old.note, shots: old.shots } : {};
        await this.#send('/api/fact', { place: label(place), kind: kind.id, ...said, was });
    }

    async square(old = null) {
        if (!store.recorded) await store.askRecorded();
        const fields = [
            { name: 'place', label: 'Slope', options: places(['slope']), required: true, fixed: Boolean(old) },
            { name: 'number', label: 'Number on that slope', fixed: Boolean(old) },
            { name: 'hits', label: 'Hits counted' },
            { name: 'size', label: 'Size', hint: `usually ${store.recorded.words.usual_square}` },
            { name: 'not_drawn', label: 'Or: not drawn, because' },
            { name: 'shots', label: 'Photos of it', hint: '3, 7-12' },
            { name: 'note', label: 'Note', long: true },
        ];
        const values = old ? { ...old, shots: numbers(old.shots) } : {};
        const said = await form(old ? `Test square: ${title(old.place)}` : 'A test square', fields, values, {
            drops: Boolean(old),
            offers: old ? {} : { number: '1' },
            about: 'Count from where it is safe to stand. Nobody has to go up for it: say instead why it was not drawn.',
        });
        if (!said) return;
        const place = old?.place ?? Number(said.place ?? 0),
            number = String(old?.number ?? said.number ?? '1');
        if (!place) return;
        const was = old
            ? { size: old.size, hits: old.hits, not_drawn: old.not_drawn, note: old.note, shots: old.shots }
            : {};
        await this.#send('/api/square', { ...said, place: label(place), number, was });
    }
    async #threshold() {
        if (!store.recorded) await store.askRecorded();
        const { threshold } = store.recorded;
        const said = await form(
            'Threshold of hits',
            [
                { name: 'threshold', label: 'Hits in a square' },
                { name: 'source', label: 'Whose threshold it is' },
            ],
            { threshold: threshold?.hits, source: threshold?.source },
        );
        if (said && Object.keys(said).length)
            await this.#send(
                '/api/square',
                'threshold' in said ? said : { threshold: String(threshold?.hits ?? ''), ...said },
            );
    }

    async note(old = null, about = null) {
        // about: { shot } or { place }
        const fields = [
            { name: 'text', label: 'Note', long: true },
            ...(old || about?.shot ? [] : [{ name: 'place', label: 'About', options: places() }]),
            { name: 'in_report', label: 'Stands in the report', check: true },
        ];
        const said = await form(about?.shot ? `Note on shot ${about.shot}` : 'A note', fields, old ?? {}, {
            drops: Boolean(old),
        });
        if (!said || !Object.keys(said).length) return;
        if (old)
            return void this.#send('/api/note', {
                note: old.note,
                ...said,
                was: { text: old.text, in_report: Boolean(old.in_report) },
            });
        if (!said.text) return;
        if (said.place) said.place = label(said.place);
        await this.#send('/api/note', { ...said, ...(about?.shot ? { shot: about.shot } : {}) });
    }

    async measure(old = null) {
        if (!store.recorded) await store.askRecorded();
        const { words } = store.recorded;
        const where = [
            ...new Set([
                ...store.info.structures.map(({ name }) => name),
                ...[...store.places.values()].filter(({ kind }) => kind === 'slope').map((one) => one.label),
            ]),
        ];
        const given = Object.fromEntries(Object.entries(old?.given ?? {}).map(([name, { typed }]) => [name, typed]));
        const fields = [
            {
                name: 'where',
                label: 'Slope, or a whole structure',
                options: where.map((one) => option(one)),
                required: true,
            },
            { name: 'section', label: 'Section', hint: 'main, wing, porch ...' },
            { name: 'shape', label: 'Shape', options: words.roof_shapes.map((one) => option(one)), required: true },
            {
                name: 'ridge_runs',
                label: 'The ridge runs',
                options: ['along the street', 'front to rear'].map((one) => option(one)),
            },
            ...words.roof_givens.map((name) => ({
                name: `given ${name}`,
                label: name[0].toUpperCase() + name.slice(1),
            })),
            { name: 'cut_out', label: 'Cut out of another (an opening, or another roof over it)', check: true },
        ];
        const values = {
            ...old,
            ...Object.fromEntries(Object.entries(given).map(([name, typed]) => [`given ${name}`, typed])),
        };
        const said = await form(old ? `Measured: ${old.where}` : 'A roof measurement', fields, values, {
            drops: Boolean(old),
            about: 'Fill in what you measured, from the ground, a gauge at the rake or a drawing: 40 ft, 12\'6", 6/12. No measure is worth a fall.',
        });
        if (!said || !Object.keys(said).length) return;
        const body = { given: {} };
        for (const [name, value] of Object.entries(said))
            if (name.startsWith('given ')) body.given[name.slice(6)] = value;
            else body[name] = value;
        if (!Object.keys(body.given).length) delete body.given;
        if (old)
            await this.#send('/api/roof', {
                entry: old.entry,
                ...body,
                was: { where: old.where, section: old.section, shape: old.shape, given },
            });
        else if (said.where && said.shape)
            await this.#send(
                '/api/roof',
                Object.fromEntries(Object.entries(body).filter(([, value]) => value !== null)),
            );
    }
}

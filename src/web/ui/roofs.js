// roofs.js -- roof measurements: a slope, or a whole roof on a rectangle; and what follows: areas, lengths, what does
// not fit together, a drawing.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, say } from './dom.js';
import { Field, Form, TickField, options, placeOptions, refill, renew, select, text } from './fields.js';
import { areaText, lengthText, pitchText, quantityText } from './numbers.js';
import { recorded } from './recorded.js';
import { store } from './store.js';

// What is asked of each shape, in the order in which it is measured.
const ASKS = {
    rectangle: ['eave', 'up', 'run', 'pitch'],
    triangle: ['eave', 'ridge', 'up', 'run', 'pitch', 'left', 'right'],
    trapezoid: ['eave', 'ridge', 'up', 'run', 'pitch', 'left', 'right'],
    parallelogram: ['eave', 'up', 'run', 'pitch', 'left', 'right'],
    gable: ['width', 'depth', 'pitch', 'overhang', 'rake overhang'],
    hip: ['width', 'depth', 'pitch', 'overhang'],
    'dutch gable': ['width', 'depth', 'pitch', 'overhang', 'gablet'],
};
const WHOLE = ['gable', 'hip', 'dutch gable'];
const NAMES = {
    eave: ['Eave', 'the lower edge'],
    ridge: ['Ridge', 'the upper edge; a triangle has one of the two'],
    up: ['Up the slope', 'along the surface, square to the eave'],
    run: ['Run', 'in place of it: the same, level; wants the pitch'],
    width: ['Width', 'the walls along the street'],
    depth: ['Depth', 'the walls from front to rear'],
    pitch: ['Pitch', '6/12, 7 1/2:12, 32 deg'],
    left: ['Left side', 'where it was taped; left as you look at it from outside'],
    right: ['Right side', 'where it was taped'],
    overhang: ['Overhang', 'beyond the walls, level'],
    'rake overhang': ['Overhang of the rakes', 'where it is another'],
    gablet: ['To the small gable', 'from the end eave in to its wall, level'],
};
const SIDES = [
    ['left_side', 'Left side is', ['rake', 'hip', 'valley', 'wall']],
    ['right_side', 'Right side is', ['rake', 'hip', 'valley', 'wall']],
    ['top', 'Upper edge is', ['ridge', 'break', 'wall', 'high edge']],
    ['bottom', 'Lower edge is', ['eave', 'break', 'wall']],
];
const typed = (entry) =>
    Object.fromEntries(Object.entries(entry.given).map(([name, { typed: words }]) => [name, words]));
const wasOf = (entry) => {
    const was = { where: entry.where, section: entry.section, shape: entry.shape, given: typed(entry) };
    if (WHOLE.includes(entry.shape)) return { ...was, ridge_runs: entry.ridge_runs };
    for (const [name] of SIDES) was[name] = entry[name];
    return { ...was, cut_out: entry.cut_out };
};

export class Roofs {
    name = 'Roof';
    #editing = null; // the entry in the form as it was seen

    constructor(doors) {
        this.doors = doors;
    }

    #make() {
        const { words } = recorded.data;
        this.shape = new Field(
            'shape',
            'Shape',
            h(
                'select',
                {},
                h(
                    'optgroup',
                    { label: 'A whole roof on a rectangle' },
                    ...options(words.roof_shapes.filter((one) => WHOLE.includes(one))),
                ),
                h(
                    'optgroup',
                    { label: 'One slope' },
                    ...options(words.roof_shapes.filter((one) => !WHOLE.includes(one))),
                ),
            ),
        );
        this.where = new Field('where', 'Where', h('select', {}));
        this.given = Object.keys(NAMES).map((name) => new Field(name, NAMES[name][0], text()).hint(NAMES[name][1]));
        this.runs = new Field(
            'ridge_runs',
            'The ridge runs',
            select(['along the street', 'front to rear'], 'along the longer walls'),
        );
        this.section = new Field('section', 'Part of the roof', text({ placeholder: 'main' })).hint(
            'a word of your own that keeps the parts of a roof apart: wing, porch',
        );
        this.sides = SIDES.map(
            ([name, label, can]) =>
                new Field(
                    name,
                    label,
                    select(
                        words.roof_edges.filter((word) => can.includes(word)),
                        'as is usual for the shape',
                    ),
                ),
        );
        this.cut = new TickField('cut_out', 'Not roof, but cut out of it: where a wing or a skylight stands');
        const all = [this.shape, this.where, ...this.given, this.runs, this.section, ...this.sides, this.cut];
        this.more = h(
            'details',
            { class: 'more' },
            (this.moreName = h('summary', {})),
            h('div', { class: 'form-fields' }, this.section.root, ...this.sides.map(({ root }) => root)),
            this.cut.root,
        );
        this.other = h('button', { type: 'button', text: 'Enter a new one instead', onclick: () => this.#fresh() });
        this.form = new Form(all, {
            button: 'Enter it',
            send: () => this.#keep(),
            again: () => this.#again(),
            more: [this.other],
            label: 'Roof measurement',
            body: h(
                'div',
                { class: 'form-rows' },
                h('div', { class: 'form-fields' }, this.shape.root, this.where.root, this.runs.root),
                h('div', { class: 'form-fields' }, ...this.given.map(({ root }) => root)),
                this.more,
            ),
        });
        this.shape.input.addEventListener('change', () => this.#fit());
        for (const field of all) field.put('');
        this.shape.put('', 'gable');
        this.waste = new Field('waste', 'Waste, in per cent', text({ inputmode: 'decimal' })).hint(
            'your own; without one nothing is said of waste',
        );
        this.steep = new Field('steep', 'Called steep', text({ placeholder: 'over 4/12' })).hint(
            'over 4/12; or 7/12, 10/12: that and steeper',
        );
        this.settings = new Form([this.waste, this.steep], {
            button: 'Keep',
            send: () => this.#set(),
            again: () => recorded.want().then(() => this.#showSettings(true)),
            label: 'Waste, and what is called steep',
        });
    }

    mount(root) {
        this.root = root;
        this.title = h('h3', {});
        this.box = h('div', {});
        this.entries = h('tbody', {});
        this.results = h('div', { class: 'roofs' });
        this.setBox = h('div', {});
        root.append(
            h(
                'div',
                { class: 'page wide-page' },
                h('p', {
                    class: 'care',
                    text:
                        'A fall from a roof can kill. Nothing here asks anyone to climb: ' +
                        'what can’t be reached safely is measured from the ground, taken from plans, or left out. ' +
                        'Steep, wet, icy or mossy roofs want fall protection and the training for it; local codes and licensed practice decide.',
                }),
                h(
                    'section',
                    {},
                    this.title,
                    h('p', { class: 'soft', text: 'Lengths want their unit: 40 ft, 16\'9", 16 ft 9 1/2 in, 5.1 m.' }),
                    this.box,
                ),
                this.results,
                h(
                    'section',
                    {},
                    h('h3', { text: 'As entered' }),
                    h(
                        'div',
                        { class: 'scrolls', tabindex: '0', role: 'group', 'aria-label': 'Entries' },
                        h(
                            'table',
                            {},
                            h(
                                'thead',
                                {},
                                h(
                                    'tr',
                                    {},
                                    ...['Entry', 'Where', 'Shape', 'Measured'].map((word) =>
                                        h('th', { scope: 'col', text: word }),
                                    ),
                                    h('th', { scope: 'col' }, h('span', { class: 'unseen', text: 'Change' })),
                                ),
                            ),
                            this.entries,
                        ),
                    ),
                ),
                h('section', {}, h('h3', { text: 'Waste, and what is called steep' }), this.setBox),
            ),
        );
        this.update();
        recorded.want();
    }

    update() {
        if (!this.root?.isConnected || !recorded.data) return;
        if (!this.form) this.#make();
        if (!this.form.root.isConnected) {
            this.box.replaceChildren(this.form.root);
            this.setBox.replaceChildren(this.settings.root);
        }
        const { roof } = recorded.data;
        if (this.#editing) {
            const now = recorded.roofEntry(this.#editing.entry);
            if (!now) this.#fresh();
            else if (!this.form.changed) this.#fill(now);
        }
        this.#fit();
        this.#head();
        this.#showSettings();
        renew(
            this.entries,
            roof.entries.length
                ? roof.entries.map((entry) => this.#entry(entry))
                : [h('tr', {}, h('td', { colspan: '5', class: 'soft', text: 'Nothing is measured yet.' }))],
        );
        this.results.replaceChildren(
            ...roof.structures.map((one) => this.#structure(one, roof)),
            ...(roof.caution ? [h('p', { class: 'care', text: roof.caution })] : []),
        );
    }

    // anew: also over what somebody has written there.
    #showSettings(anew = false) {
        const { waste_percent: waste, steep_pitches: steep } = recorded.data.roof,
            how = anew ? 'put' : 'show';
        this.waste[how](waste, waste === undefined ? '' : String(waste));
        this.steep[how](steep, steep.join(', '));
    }

    #head() {
        say(this.title, this.#editing ? `Change entry ${this.#editing.entry}` : 'Enter a slope, or a whole roof');
        say(this.form.button, this.#editing ? 'Keep the entry' : 'Enter it');
        this.other.hidden = !this.#editing;
    }

    // The fields that this shape has.
    #fit() {
        const shape = this.shape.read(),
            whole = WHOLE.includes(shape);
        for (const field of this.given) field.root.hidden = !ASKS[shape].includes(field.name);
        this.runs.root.hidden = !whole;
        for (const field of [...this.sides, this.cut]) field.root.hidden = whole;
        say(this.moreName, whole ? 'Which part of the roof' : 'Its edges, cut-outs, parts of a roof');
        refill(
            this.where.input,
            whole
                ? options(store.info.structures.map(({ name }) => name))
                : placeOptions((place) => place.kind === 'slope'),
        );
        if (!this.where.input.value) this.where.input.selectedIndex = 0;
        if (!this.#editing) this.where.shown = this.where.read(); // what stands there by itself is no writing
    }

    #fill(entry) {
        this.#editing = entry;
        this.shape.put(entry.shape);
        this.#fit();
        const place = [...store.places.values()].find(({ kind, label }) => kind === 'slope' && label === entry.where);
        this.where.put(entry.where, WHOLE.includes(entry.shape) ? entry.where : String(place?.id ?? ''));
        const words = typed(entry);
        for (const field of this.given) field.put(words[field.name]);
        this.runs.put(entry.ridge_runs);
        this.section.put(entry.section);
        for (const field of this.sides) field.put(entry[field.name]);
        this.cut.put(entry.cut_out, entry.cut_out ? 'yes' : '');
        if (entry.unusual || entry.cut_out || entry.section !== 'main') this.more.open = true;
    }

    // Somebody else had changed it, and it was left so.
    async #again() {
        await recorded.want();
        const now = this.#editing && recorded.roofEntry(this.#editing.entry);
        if (now) this.#fill(now);
        else this.#fresh();
    }

    #fresh() {
        this.#editing = null;
        for (const field of [...this.given, this.runs, this.section, ...this.sides, this.cut]) field.put('');
        this.shape.shown = this.shape.read();
        this.#fit();
        this.#head();
        this.form.blame(null);
    }

    get begun() {
        return Boolean(this.given?.some((field) => field.changed));
    }

    async #keep() {
        const entry = this.#editing,
            shape = this.shape.read(),
            body = { given: {} };
        for (const field of this.given) {
            const words = ASKS[shape].includes(field.name) ? field.read() : '';
            if (words !== (field.shown ?? '')) body.given[field.name] = words || null;
        }
        const where = WHOLE.includes(shape) ? this.where.read() : store.place(Number(this.where.read()))?.label;
        if (!entry || this.where.changed || this.shape.changed) Object.assign(body, { where, shape });
        for (const field of [this.runs, this.section, ...this.sides])
            if (!field.root.closest('[hidden]') && field.changed && (entry || field.read()))
                body[field.name] = field.read() || null; // null: as is usual again
        if (this.cut.changed && !WHOLE.includes(shape)) body.cut_out = Boolean(this.cut.read());
        if (entry) Object.assign(body, { entry: entry.entry, was: wasOf(entry) });
        const answer = await this.form.post('/api/roof', body);
        if (!answer) return;
        this.form.accept();
        await recorded.after(answer);
        this.#fresh();
        this.update();
        this.shape.input.focus({ preventScroll: true });
    }

    async #drop(entry) {
        const answer = await this.form.post('/api/roof', { entry: entry.entry, drop: true, was: wasOf(entry) });
        if (!answer) return;
        if (this.#editing?.entry === entry.entry) this.#fresh();
        await recorded.after(answer);
    }

    async #set() {
        const body = { was: {} };
        for (const [field, name] of [
            [this.waste, 'waste_percent'],
            [this.steep, 'steep_pitches'],
        ]) {
            if (!field.changed) continue;
            body[field.name] = field.read() || null;
            body.was[name] = field.value;
        }
        if (!Object.keys(body.was).length) return this.settings.blame('Nothing was changed.');
        const answer = await this.settings.post('/api/roof', body);
        if (!answer) return undefined;
        this.settings.accept();
        return recorded.after(answer);
    }

    #entry(entry) {
        const key = String(entry.entry),
            what = `entry ${entry.entry}, ${entry.where}`;
        return h(
            'tr',
            {},
            h('td', { class: 'number', text: key }),
            h('th', {
                scope: 'row',
                text: entry.section === 'main' ? entry.where : `${entry.where} (${entry.section})`,
            }),
            h('td', {
                text: `${entry.shape}${WHOLE.includes(entry.shape) ? ' roof' : ''}${entry.cut_out ? ', cut out' : ''}`,
            }),
            h('td', {
                text: [...Object.entries(typed(entry)).map(([name, words]) => `${name} ${words}`), entry.unusual]
                    .filter(Boolean)
                    .join(', '),
            }),
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
                        text: 'Change',
                        'aria-label': `Change ${what}`,
                        onclick: () => this.#open(entry),
                    }),
                    h('button', {
                        type: 'button',
                        class: 'bare',
                        data: { key, does: 'drop' },
                        text: 'Take out',
                        'aria-label': `Take out ${what}`,
                        onclick: () => this.#drop(entry),
                    }),
                ),
            ),
        );
    }

    #open(entry) {
        this.#fill(entry);
        this.#head();
        this.form.blame(null);
        this.root.scrollTop = 0;
        this.given.find(({ root }) => !root.hidden).input.focus({ preventScroll: true });
    }

    #structure(one, roof) {
        const name = `Roof of the ${one.name}`,
            cell = (words, number = true) => h('td', { class: number ? 'number' : '', text: words });
        const quantities = Object.entries(one.quantities).filter(([, { amount }]) => amount > 0);
        return h(
            'section',
            { class: 'roof' },
            h('h3', { text: name }),
            one.contradictions.length
                ? h(
                      'div',
                      { class: 'faults' },
                      h('p', { text: 'Does not fit together yet:' }),
                      h('ul', {}, ...one.contradictions.map((words) => h('li', { text: `▲ ${words}` }))),
                  )
                : null,
            h(
                'div',
                { class: 'roof-parts' },
                h(
                    'div',
                    { class: 'roof-plan' },
                    h('img', {
                        src: `/api/roof-plan/${one.structure}?version=${recorded.data.version}`,
                        alt: `${name}, drawn from above; the table has the same numbers`,
                        loading: 'lazy',
                    }),
                ),
                h(
                    'dl',
                    { class: 'totals' },
                    ...quantities.map(([word, quantity]) =>
                        h(
                            'div',
                            {},
                            h('dt', { text: word }),
                            h('dd', { class: 'number', text: quantityText(quantity) }),
                        ),
                    ),
                    ...one.steep.map(({ pitch, area_sqft: sqft }) =>
                        h(
                            'div',
                            {},
                            h('dt', { text: `steep, ${pitch}` }),
                            h('dd', { class: 'number', text: areaText(sqft) }),
                        ),
                    ),
                ),
            ),
            h(
                'div',
                { class: 'scrolls', tabindex: '0', role: 'group', 'aria-label': `Slopes: ${name}` },
                h(
                    'table',
                    {},
                    h(
                        'thead',
                        {},
                        h(
                            'tr',
                            {},
                            ...[
                                'No',
                                'Slope',
                                'Entry',
                                'Pitch',
                                'Up',
                                'Area',
                                'Edges, from the lower one to the right',
                            ].map((word) => h('th', { scope: 'col', text: word })),
                        ),
                    ),
                    h(
                        'tbody',
                        {},
                        ...one.slopes.map((slope, i) =>
                            h(
                                'tr',
                                {},
                                cell(String(i + 1)),
                                h('th', { scope: 'row', text: slope.label }),
                                cell(String(slope.entry)),
                                cell(
                                    slope.rise_in_12 === undefined
                                        ? 'not known'
                                        : `${pitchText(slope.rise_in_12)}${slope.steep ? ' steep' : ''}`,
                                ),
                                cell(lengthText(slope.up_in)),
                                cell(`${slope.cut_out ? '-' : ''}${areaText(slope.area_sqft)}`),
                                cell(
                                    slope.edges
                                        .map(({ kind, length_in: inches }) => `${kind} ${lengthText(inches)}`)
                                        .join(', '),
                                    false,
                                ),
                            ),
                        ),
                    ),
                ),
            ),
        );
    }
}

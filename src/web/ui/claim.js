// claim.js -- the facts of the claim, its structures and its cameras' clocks, as forms.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, say } from './dom.js';
import { BoxField, Field, select } from './fields.js';
import { store } from './store.js';

const FACTS = [
    ['insured', 'Insured'],
    ['number', 'Claim number'],
    ['address', 'Address'],
    ['loss_date', 'Date of loss', 'date'],
    ['inspection_date', 'Date of inspection', 'date'],
    ['adjuster', 'Inspected by'],
];
const FACES = ['front', 'right', 'rear', 'left'];
let serial = 0;

export class ClaimForms {
    name = 'Claim';
    constructor(doors) {
        this.doors = doors;
    }

    mount(root) {
        this.root = root;
        const { words } = store.info;
        this.facts = FACTS.map(
            ([name, label, type]) => new Field(name, label, h('input', { type: type ?? 'text', autocomplete: 'off' })),
        );
        this.facts.push(
            new BoxField('cause', 'Cause of loss', words.causes),
            new Field('checklist', 'Checklist', select(words.checklists, 'the one that fits the cause')),
            new Field(
                'front_azimuth',
                'The front faces (degrees true, or a compass point)',
                h('input', { type: 'text', autocomplete: 'off' }),
            ),
        );
        const form = h(
            'form',
            {
                class: 'claim-facts',
                onsubmit: (event) => {
                    event.preventDefault();
                    this.#saveFacts();
                },
            },
            ...this.facts.map((field) => field.root),
            h('div', { class: 'row' }, h('button', { type: 'submit', class: 'first', text: 'Keep the facts' })),
        );
        this.structures = h('div', { class: 'structures' });
        this.cameras = h('div', { class: 'camera-list' });
        this.caution = h('p', { class: 'soft' });
        root.append(
            h(
                'div',
                { class: 'page' },
                h('section', {}, h('h3', { text: 'Facts of the claim' }), form),
                h('section', {}, h('h3', { text: 'Structures and their parts' }), this.structures),
                h('section', {}, h('h3', { text: 'Cameras and their clocks' }), this.cameras, this.caution),
                h(
                    'section',
                    {},
                    h('h3', { text: 'The end of the work' }),
                    h('p', {
                        class: 'soft',
                        text: 'Everything is saved as it is done. gablebook ends by itself when it has not been used for a while, or now:',
                    }),
                    h(
                        'div',
                        { class: 'row' },
                        h('button', { type: 'button', text: 'End gablebook', onclick: () => this.doors.end() }),
                    ),
                ),
            ),
        );
        this.rows = new Map();
        this.added = this.#structureForm(null);
        this.update();
    }

    update() {
        if (!this.root?.isConnected) return;
        const { claim, structures, cameras } = store.info;
        for (const field of this.facts) {
            if (field.name === 'front_azimuth')
                field.show(
                    claim.front_azimuth_deg,
                    claim.front_azimuth_deg === undefined ? '' : String(claim.front_azimuth_deg),
                );
            else field.show(claim[field.name]);
        }
        for (const id of this.rows.keys())
            if (!structures.some((one) => one.id === id)) {
                this.rows.get(id).root.remove();
                this.rows.delete(id);
            }
        for (const structure of structures) {
            if (!this.rows.has(structure.id)) this.rows.set(structure.id, this.#structureForm(structure));
            const row = this.rows.get(structure.id);
            row.title.textContent = structure.name;
            for (const field of row.fields) {
                const value = structure[field.name];
                field.show(
                    value,
                    ['elevations', 'slopes', 'rooms'].includes(field.name) && value === 'none' ? '' : value,
                );
            }
        }
        const wanted = [...structures.map(({ id }) => this.rows.get(id).root), this.added.root];
        if (
            wanted.length !== this.structures.children.length ||
            wanted.some((one, i) => one !== this.structures.children[i])
        )
            this.structures.replaceChildren(...wanted);
        this.#clocks(cameras ?? []);
        say(this.caution, store.caution);
    }

    async #saveFacts() {
        const body = {},
            was = {};
        for (const field of this.facts) {
            if (!field.changed) continue;
            body[field.name] = field.read() || null;
            was[field.name === 'front_azimuth' ? 'front_azimuth_deg' : field.name] = field.value;
        }
        if (!Object.keys(body).length) return store.emit('told', { text: 'Nothing was changed.' });
        const answer = await store.send('/api/edit', { ...body, was });
        if (!answer) return;
        for (const field of this.facts)
            if (field.name in body) {
                field.value = undefined;
                field.shown = field.read();
            }
        await store.caughtUp(answer.version);
        this.update();
    }

    #structureForm(structure) {
        const { words } = store.info;
        const fields = [
            new Field('kind', 'Kind', select(words.structure_kinds, structure ? null : 'as its name says')),
            new BoxField('elevations', 'Walls', FACES),
            new BoxField('slopes', 'Roof slopes', FACES),
            new Field('rooms', 'Rooms, with commas between', h('input', { type: 'text', autocomplete: 'off' })),
        ];
        const name = structure
            ? null
            : new Field('name', 'Name', h('input', { type: 'text', autocomplete: 'off', required: true }));
        const title = h('legend', { text: structure?.name ?? 'Add a structure' });
        const root = h(
            'form',
            { class: 'structure' },
            h(
                'fieldset',
                {},
                title,
                h('div', { class: 'structure-fields' }, name?.root, ...fields.map((field) => field.root)),
                h(
                    'div',
                    { class: 'row' },
                    h('button', {
                        type: 'submit',
                        text: structure ? 'Keep' : 'Add',
                        'aria-label': structure ? `Keep ${structure.name}` : 'Add the structure',
                    }),
                    structure && structure.kind !== 'dwelling'
                        ? h('button', {
                              type: 'button',
                              class: 'bare',
                              text: 'Take out',
                              'aria-label': `Take out ${structure.name}`,
                              onclick: () => this.#drop(structure.id),
                          })
                        : null,
                ),
            ),
        );
        const row = { root, title, fields, name };
        root.addEventListener('submit', (event) => {
            event.preventDefault();
            this.#saveStructure(structure?.id, row);
        });
        if (!structure) for (const field of fields) field.show('', '');
        return row;
    }

    async #saveStructure(id, row) {
        const structure = store.info.structures.find((one) => one.id === id);
        const body = { name: structure ? structure.name : row.name.read() },
            was = {};
        for (const field of row.fields) {
            if (!field.changed) continue;
            const value = field.read();
            body[field.name] = field.name === 'kind' ? value || undefined : value || 'none';
            if (structure) was[field.name] = field.value;
        }
        if (structure && Object.keys(body).length === 1) return store.emit('told', { text: 'Nothing was changed.' });
        const answer = await store.send('/api/structure', { ...body, was });
        if (!answer) return;
        if (!structure) {
            row.name.write('');
            for (const field of row.fields) field.write('');
        } else
            for (const field of row.fields) {
                field.value = undefined;
                field.shown = field.read();
            }
        await store.caughtUp(answer.version);
        this.update();
    }

    #drop(id) {
        const { name, kind, elevations, slopes, rooms } = store.info.structures.find((one) => one.id === id);
        return store.send('/api/structure', { drop: name, was: { kind, elevations, slopes, rooms } });
    }

    // What is refused stays where it was typed; what is kept is shown anew, with the focus where it was.
    async #sayClock(camera, input) {
        const said = input.value.trim() || null;
        const answer = await store.send('/api/clock', { camera: camera.name, said, was: { said: camera.said ?? null } });
        if (!answer) return;
        await store.caughtUp(answer.version);
        const there = this.cameras.contains(document.activeElement);
        if (there) document.activeElement.blur(); // while somebody writes there, nothing is shown anew
        this.update();
        if (there)
            this.cameras
                .querySelector(`[data-camera="${input.dataset.camera}"]`)
                ?.focus({ preventScroll: true });
    }

    #clocks(cameras) {
        if (this.cameras.contains(document.activeElement)) return;
        this.cameras.replaceChildren(
            ...cameras.map((camera, i) => {
                const input = h('input', {
                    type: 'text',
                    id: `clock${serial++}`,
                    data: { camera: i },
                    value: camera.said ?? '',
                    placeholder: '67 min slow',
                    autocomplete: 'off',
                });
                return h(
                    'form',
                    {
                        class: 'camera-row',
                        onsubmit: (event) => {
                            event.preventDefault();
                            this.#sayClock(camera, input);
                        },
                    },
                    h(
                        'div',
                        {},
                        h('b', { text: camera.name || 'Unknown camera' }),
                        h('span', {
                            class: 'soft',
                            text: ` ${camera.shots} photos; its clock: ${camera.clock ?? 'as it is'}`,
                        }),
                    ),
                    h(
                        'div',
                        { class: 'row' },
                        h('label', { for: input.id, text: 'You know that it was' }),
                        input,
                        h('button', {
                            type: 'submit',
                            text: 'Keep',
                            'aria-label': `Keep what you say of the clock of ${camera.name}`,
                        }),
                    ),
                );
            }),
        );
        if (!cameras.length) this.cameras.replaceChildren(h('p', { class: 'soft', text: 'No photos yet.' }));
    }
}

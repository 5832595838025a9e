// notes.js -- free words on the claim, a place, a shot; in the report where somebody says so.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { dialog } from './ask.js';
import { h, plural, say } from './dom.js';
import { Field, Form, TickField, area, freshId, goTo, options, refill, renew } from './fields.js';
import { held } from './held.js';
import { recorded } from './recorded.js';
import { store } from './store.js';
import { holds } from './words.js';

const onWhat = (note) => (note.shot ? `shot ${note.shot}` : note.place ? store.placeTitle(note.place) : 'the claim');
const wasOf = ({ text, in_report: told = false }) => ({ text, in_report: told });

const fields = () => [new Field('text', 'Note', area(2)), new TickField('in_report', 'In the report')];
const said = (form) => ({ text: form.read('text'), in_report: form.read('in_report') === 'yes' });

// A small dialog that changes a note, or writes one on a shot.
export function noteDialog(title, { note = null, on = {} }) {
    return dialog(title, (close) => {
        const [text, told] = fields(),
            form = new Form([text, told], {
                button: 'Keep',
                label: title,
                more: [h('button', { type: 'button', text: 'Leave it', onclick: () => close(null) })],
                send: async () => {
                    const answer = await form.post(
                        '/api/note',
                        note ? { note: note.note, ...said(form), was: wasOf(note) } : { ...on, ...said(form) },
                    );
                    if (answer) {
                        close(answer);
                        recorded.after(answer);
                    }
                },
            });
        text.put(note?.text);
        told.put(note?.in_report, note?.in_report ? 'yes' : '');
        text.input.dataset.first = '';
        text.input.addEventListener('keydown', (event) => {
            if (event.key === 'Enter' && event.ctrlKey) {
                event.preventDefault();
                form.root.requestSubmit();
            }
        });
        const others = on.shot ? recorded.notesOf(on.shot) : [];
        return h(
            'div',
            { class: 'body' },
            h('h2', { text: title }),
            others.length ? h('ul', {}, ...others.map((one) => h('li', { class: 'soft', text: one.text }))) : null,
            form.root,
        );
    });
}

export class Notes {
    #all = false;

    constructor(doors, view) {
        // view.place: the place that is looked at
        Object.assign(this, { doors, view });
        const [text, told] = fields();
        this.text = text;
        this.on = new Field('on', 'On', h('select', {}));
        this.form = new Form([text, this.on, told], {
            button: 'Write the note',
            send: () => this.#add(),
            label: 'A new note',
        });
        text.input.addEventListener('keydown', (event) => {
            if (event.key === 'Enter' && event.ctrlKey) {
                event.preventDefault();
                this.form.root.requestSubmit();
            }
        });
        const find = freshId('notes'),
            all = h('input', {
                type: 'checkbox',
                onchange: () => {
                    this.#all = all.checked;
                    this.update();
                },
            });
        this.words = h('input', { type: 'search', id: find, autocomplete: 'off', oninput: () => this.update() });
        this.list = h('ul', { class: 'notes' });
        this.sum = h('p', { class: 'soft', role: 'status' });
        this.root = h(
            'section',
            { id: 'notes' },
            h('h3', { text: 'Notes' }),
            this.form.root,
            h(
                'div',
                { class: 'row note-find' },
                h('label', { for: find, text: 'Search all notes' }),
                this.words,
                h('label', { class: 'line' }, all, 'Show all notes of the claim'),
            ),
            this.sum,
            this.list,
        );
    }

    get begun() {
        return this.text.changed;
    }

    enter() {
        goTo(this.root, this.text.input);
    }

    update() {
        const { place } = this.view,
            words = this.words.value.trim();
        this.hold();
        const here = (note) => note.place === place.id || (note.shot && store.shot(note.shot)?.place === place.id);
        const shown = recorded.data.notes.filter((note) =>
            words
                ? holds(words, `${note.text} ${onWhat(note)}`)
                : this.#all || here(note) || (!note.place && !note.shot),
        );
        say(
            this.sum,
            words
                ? `${plural(shown.length, 'note')} with “${words}”.`
                : this.#all
                  ? ''
                  : `${plural(shown.length, 'note')} here and on the claim as a whole; ${recorded.data.notes.length} in all.`,
        );
        renew(
            this.list,
            shown.map((note) => this.#line(note)),
        );
    }

    #line(note) {
        const key = String(note.note),
            what = `note ${note.note}, on ${onWhat(note)}`;
        const button = (does, text, onclick) =>
            h('button', {
                type: 'button',
                class: 'bare',
                data: { key, does },
                text,
                'aria-label': `${text}: ${what}`,
                onclick,
            });
        return h(
            'li',
            { class: 'note' },
            h(
                'div',
                {},
                h('p', { class: 'note-text', text: note.text }),
                h(
                    'p',
                    { class: 'soft' },
                    `On ${onWhat(note)}; ${note.in_report ? 'in the report' : 'not in the report'}; ${note.who ?? 'someone'}`,
                ),
            ),
            h(
                'div',
                { class: 'row' },
                note.shot && store.shot(note.shot)
                    ? button('look', 'Look', () => this.doors.look(note.shot, [note.shot]))
                    : null,
                button('report', note.in_report ? 'Not in the report' : 'In the report', () =>
                    this.#send({ note: note.note, in_report: !note.in_report, was: wasOf(note) }),
                ),
                button('change', 'Change', () => noteDialog(`Note on ${onWhat(note)}`, { note })),
                button('drop', 'Take out', () => this.#send({ note: note.note, drop: true, was: wasOf(note) })),
            ),
        );
    }

    async #send(body) {
        const answer = await store.send('/api/note', body);
        if (answer) await recorded.after(answer);
    }

    async #add() {
        const on = this.on.read(),
            { place } = this.view;
        const where =
            on === 'place' ? { place: place.label } : on.startsWith('shot') ? { shot: Number(on.slice(4)) } : {};
        const answer = await this.form.post('/api/note', { ...where, ...said(this.form) });
        if (!answer) return;
        this.text.put('');
        this.form.field('in_report').put(false, '');
        await recorded.after(answer);
    }

    hold() {
        if (!this.view.place) return;
        const one = held.numbers.size === 1 ? held.list()[0] : null;
        refill(
            this.on.input,
            options([
                ['place', this.view.place.title],
                ['claim', 'the claim as a whole'],
                ...(one ? [[`shot${one}`, `shot ${one}, in hand`]] : []),
            ]),
        );
        if (!this.on.input.value) this.on.input.value = 'place';
    }
}

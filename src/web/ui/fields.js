// fields.js -- the fields of forms: labelled, left alone while somebody writes in them, with what is wrong said beside
// them.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h, say } from './dom.js';
import { held } from './held.js';
import { shotsOf, shotsText } from './numbers.js';
import { store } from './store.js';

let serial = 0;
export const freshId = (name = 'field') => `${name}${serial++}`;

// A field that is left alone while the user writes in it, and remembers what it showed.
export class Field {
    constructor(
        name,
        label,
        input,
        read = () => input.value.trim(),
        write = (value) => {
            input.value = value ?? '';
        },
    ) {
        input.id ||= freshId();
        Object.assign(this, { name, label, input, read, write, shown: undefined });
        this.fault = h('p', { class: 'error', id: `${input.id}-fault`, hidden: true });
        this.note = h('p', { class: 'soft hint', id: `${input.id}-hint`, hidden: true });
        this.root = h(
            'div',
            { class: `field f-${name}` },
            h('label', { for: input.id, text: label }),
            input,
            this.note,
            this.fault,
        );
    }
    get changed() {
        return this.read() !== (this.shown ?? '');
    }
    show(value, text = value) {
        // value: for `was`; text: as written in the field
        if (this.value !== undefined && this.changed) return;
        this.put(value, text);
    }
    put(value, text = value) {
        // whatever stands there
        this.value = value ?? null;
        this.shown = text ?? '';
        this.write(text ?? '');
        this.tell('');
    }
    hint(text) {
        say(this.note, text ?? '');
        this.note.hidden = !text;
        this.#describe();
        return this;
    }
    tell(fault) {
        if (!fault && this.fault.hidden) return;
        say(this.fault, fault);
        this.fault.hidden = !fault;
        if (fault) this.input.setAttribute('aria-invalid', 'true');
        else this.input.removeAttribute('aria-invalid');
        this.#describe();
    }
    #describe() {
        const ids = [this.note, this.fault]
            .filter(({ hidden }) => !hidden)
            .map(({ id }) => id)
            .join(' ');
        if (ids) this.input.setAttribute('aria-describedby', ids);
        else this.input.removeAttribute('aria-describedby');
    }
}

// A set of words to tick.
export class BoxField extends Field {
    constructor(name, label, words) {
        const inputs = words.map((word) => h('input', { type: 'checkbox', value: word }));
        const list = (text) => (text && text !== 'none' ? text.split(', ') : []);
        super(
            name,
            label,
            h('input', { type: 'hidden' }),
            () =>
                inputs
                    .filter(({ checked }) => checked)
                    .map(({ value }) => value)
                    .join(', '),
            (text) => {
                for (const input of inputs) input.checked = list(text).includes(input.value);
            },
        );
        this.root = h(
            'fieldset',
            { class: 'field' },
            h('legend', { class: 'name', text: label }),
            h(
                'div',
                { class: 'row boxes' },
                ...inputs.map((input, i) => h('label', { class: 'line' }, input, words[i])),
            ),
        );
    }
}

// Yes or no: its text is "yes" or "".
export class TickField extends Field {
    constructor(name, label) {
        const input = h('input', { type: 'checkbox' });
        super(
            name,
            label,
            input,
            () => (input.checked ? 'yes' : ''),
            (text) => {
                input.checked = text === 'yes';
            },
        );
        this.root = h('label', { class: `line f-${name}` }, input, label);
    }
}

export const text = (more = {}) => h('input', { type: 'text', autocomplete: 'off', ...more });
export const area = (rows = 2) => h('textarea', { rows });
// words: texts, or [value, text]; empty: what stands for none.
export const select = (words, empty) => h('select', {}, ...options(words, empty));
export function options(words, empty) {
    return [
        ...(empty ? [h('option', { value: '', text: empty })] : []),
        ...words.map((word) =>
            Array.isArray(word)
                ? h('option', { value: word[0], text: word[1] })
                : h('option', { value: word, text: word }),
        ),
    ];
}
// Other words for a select; what was chosen stays where it still is one.
export function refill(input, made) {
    const wanted = JSON.stringify(made.map((one) => [one.label, one.value, one.textContent]));
    if (input.dataset.made === wanted) return;
    const { value } = input;
    input.dataset.made = wanted;
    input.replaceChildren(...made);
    input.value = value;
    if (input.value !== value) input.value = '';
}

// The places that a person may choose, by structure, in the order of the walk.
export function placeOptions(fits = () => true, empty = null) {
    const groups = new Map();
    for (const place of store.places.values())
        if (fits(place))
            groups.set(place.structure_name || 'the property', [
                ...(groups.get(place.structure_name || 'the property') ?? []),
                place,
            ]);
    return [
        ...(empty ? [h('option', { value: '', text: empty })] : []),
        ...[...groups].map(([name, places]) =>
            h(
                'optgroup',
                { label: name },
                ...places.map((place) => h('option', { value: String(place.id), text: place.title })),
            ),
        ),
    ];
}

// The photos that prove something: by their numbers, or those in the hand.
export class ShotsField extends Field {
    constructor(doors, label = 'Photos that prove it') {
        // doors: { look(number, order) }
        super('shots', label, text({ inputmode: 'numeric', placeholder: '3, 7-12' }));
        this.take = h('button', {
            type: 'button',
            class: 'bare',
            onclick: () => {
                this.write(shotsText(held.list()));
                this.input.dispatchEvent(new Event('input', { bubbles: true }));
            },
        });
        this.look = h('button', {
            type: 'button',
            class: 'bare',
            text: 'Look',
            'aria-label': `Look at: ${label}`,
            onclick: () => {
                const list = this.list().filter((number) => store.shot(number));
                doors.look(list[0], list);
            },
        });
        this.root.append(h('div', { class: 'row shots-row' }, this.take, this.look));
        this.input.addEventListener('input', () => this.hold());
        this.hold();
    }
    list() {
        return shotsOf(this.read());
    }
    put(value, shown) {
        super.put(value, shown);
        this.hold();
    }
    hold() {
        const n = held.numbers.size;
        say(this.take, n ? `Use ${n === 1 ? `shot ${held.list()[0]}` : `the ${n}`} in hand` : 'None in hand');
        this.take.disabled = !n;
        this.look.disabled = !this.list().some((number) => store.shot(number));
    }
}

// A form: its fields, one button, and what the server could not take, beside the field that it speaks of.
export class Form {
    //   send(form)  what its button does; may be asynchronous
    //   again()     shows anew what is recorded: somebody else had changed it, and the user left it so
    constructor(fields, { button, send, again = () => {}, more = [], label = null, body = null }) {
        this.again = again;
        this.fields = new Map(fields.map((field) => [field.name, field]));
        this.fault = h('p', { class: 'error', role: 'alert', hidden: true });
        this.button = h('button', { type: 'submit', class: 'first', text: button });
        this.root = h(
            'form',
            {
                class: 'form',
                novalidate: true,
                'aria-label': label,
                onsubmit: (event) => {
                    event.preventDefault();
                    send(this);
                },
            },
            body ?? h('div', { class: 'form-fields' }, ...fields.map((field) => field.root)),
            this.fault,
            h('div', { class: 'row' }, this.button, ...more),
        );
        this.root.addEventListener('input', () => this.blame(null));
    }
    field(name) {
        return this.fields.get(name);
    }
    read(name) {
        return this.fields.get(name).read();
    }
    get changed() {
        return [...this.fields.values()].some((field) => field.changed);
    }
    hold() {
        for (const field of this.fields.values()) field.hold?.();
    }
    accept() {
        for (const field of this.fields.values()) {
            field.value = undefined;
            field.shown = field.read();
        }
    }

    // The server's sentence names the word it could not take: it is shown with the field where that was written.
    blame(message) {
        const all = [...this.fields.values()],
            said = (field) => field.read();
        const guilty =
            message &&
            all
                .filter(
                    (field) =>
                        said(field).length > 0 && field.input.tagName !== 'SELECT' && message.includes(said(field)),
                )
                .sort((a, b) => said(b).length - said(a).length)[0];
        for (const field of all) field.tell(field === guilty ? message : '');
        this.fault.hidden = !message || Boolean(guilty);
        say(this.fault, guilty ? '' : (message ?? ''));
        if (guilty) guilty.input.focus();
    }

    // -> the answer, or null: then it was said here why, or both versions were shown and the other one was left.
    async post(path, body) {
        this.button.disabled = true;
        let settled;
        const asked = new Promise((resolve) => {
            settled = resolve;
        });
        let answer = await store.send(path, body, { refused: (error) => this.blame(error.message), settled });
        const stale = answer === undefined;
        if (stale) answer = await asked;
        this.button.disabled = false;
        if (answer) this.blame(null);
        else if (stale) this.again();
        return answer;
    }
}

// Scrolls the view to a part of it, and nothing else: scrollIntoView would move the frame of the page as well.
export function goTo(part, input) {
    const view = part.closest('.view');
    view.scrollTop += part.getBoundingClientRect().top - view.getBoundingClientRect().top;
    input.focus({ preventScroll: true });
}

// Keeps the focus where it was while a list is made anew: on the button with the same data-key and data-does.
export function renew(root, children) {
    const { key, does } = root.contains(document.activeElement) ? document.activeElement.dataset : {};
    root.replaceChildren(...children);
    if (key)
        [...root.querySelectorAll('[data-key]')]
            .find(({ dataset }) => dataset.key === key && dataset.does === does)
            ?.focus({ preventScroll: true });
}

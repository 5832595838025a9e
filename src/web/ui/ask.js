// ask.js -- small dialogs: choosing a word by typing, a sentence to write, and two versions of an edit.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { h } from './dom.js';
import { matches } from './words.js';

// Shows a dialog and resolves with what `close(answer)` was given; null when it was left by Esc.
export function dialog(title, make, { wide = false } = {}) {
    return new Promise((resolve) => {
        const before = document.activeElement;
        const root = h('dialog', { class: wide ? 'wide' : '', 'aria-label': title });
        // All at once: the browser's own close event comes later, when the next key may have been pressed already.
        const close = (given) => {
            if (!root.isConnected) return;
            const told = root.querySelector('#told'); // sentences shown over the dialog outlive it
            if (told) document.body.append(told);
            root.close();
            root.remove();
            if (before?.isConnected) before.focus({ preventScroll: true });
            resolve(given ?? null);
        };
        root.append(...[make(close, root)].flat());
        root.addEventListener('close', () => close(null)); // Esc
        root.addEventListener('pointerdown', (event) => {
            if (event.target === root) close(null);
        }); // beside it
        document.body.append(root);
        root.showModal();
        root.querySelector('[data-first]')?.focus();
    });
}

// Choose one entry by typing. entries: [{ label, detail?, key?, value }]. Resolves with its value; undefined when left.
export async function choose(title, entries, { none } = {}) {
    const all = none ? [...entries, { label: none, value: null, last: true }] : entries;
    const chosen = await dialog(title, (close) => {
        let shown = all,
            at = 0;
        const list = h('div', { role: 'listbox', id: 'choices', class: 'choices', 'aria-label': title });
        const input = h('input', {
            type: 'text',
            role: 'combobox',
            autocomplete: 'off',
            spellcheck: 'false',
            'aria-expanded': 'true',
            'aria-controls': 'choices',
            'aria-autocomplete': 'list',
            'aria-label': title,
            'data-first': '',
            placeholder: 'first letters of its words',
        });
        const mark = () => {
            [...list.children].forEach((option, i) => option.setAttribute('aria-selected', i === at));
            const option = list.children[at];
            if (option?.id) {
                input.setAttribute('aria-activedescendant', option.id);
                option.scrollIntoView({ block: 'nearest' });
            } else input.removeAttribute('aria-activedescendant');
        };
        const fill = () => {
            shown = matches(input.value, all);
            at = 0;
            list.replaceChildren(
                ...shown.map((entry, i) =>
                    h(
                        'div',
                        {
                            role: 'option',
                            id: `choice-${i}`,
                            class: entry.last ? 'choice last' : 'choice',
                            data: { at: i },
                        },
                        h('span', { text: entry.label }),
                        entry.key ? h('kbd', { text: entry.key }) : null,
                        entry.detail ? h('span', { class: 'soft', text: entry.detail }) : null,
                    ),
                ),
            );
            if (!shown.length)
                list.replaceChildren(
                    h('div', { role: 'option', class: 'choice soft', 'aria-disabled': 'true', text: 'No such word.' }),
                );
            mark();
        };
        input.addEventListener('input', fill);
        input.addEventListener('keydown', (event) => {
            const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 8, PageUp: -8 }[event.key];
            if (step) {
                at = Math.min(Math.max(at + step, 0), shown.length - 1);
                mark();
                event.preventDefault();
            }
            if (event.key === 'Enter' && shown[at]) {
                event.preventDefault();
                close({ value: shown[at].value });
            }
        });
        list.addEventListener('click', (event) => {
            const option = event.target.closest('[data-at]');
            if (option) close({ value: shown[option.dataset.at].value });
        });
        fill();
        return h('div', { class: 'body picker' }, h('h2', { text: title }), input, list);
    });
    return chosen ? chosen.value : undefined;
}

// Ask for a sentence. Resolves with the text, null when left.
export function sentence(title, { label, value = '', hint = '', button = 'Keep', long = false, required = true }) {
    return dialog(title, (close) => {
        const input = long
            ? h('textarea', { rows: 3, id: 'sentence', 'data-first': '', value })
            : h('input', { type: 'text', id: 'sentence', 'data-first': '', value });
        if (required) input.required = true;
        const form = h(
            'form',
            {
                method: 'dialog',
                onsubmit: (event) => {
                    event.preventDefault();
                    close(input.value.trim());
                },
            },
            h('h2', { text: title }),
            h('div', { class: 'field' }, h('label', { for: 'sentence', text: label }), input),
            hint ? h('p', { class: 'soft', text: hint }) : null,
            h(
                'div',
                { class: 'row' },
                h('button', { type: 'submit', class: 'first', text: button }),
                h('button', { type: 'button', text: 'Leave it', onclick: () => close(null) }),
            ),
        );
        input.addEventListener('keydown', (event) => {
            if (event.key === 'Enter' && (!long || event.ctrlKey)) {
                event.preventDefault();
                form.requestSubmit();
            }
        });
        return form;
    });
}

// Both versions of something that was changed meanwhile. rows: [{ what, saw, now, wish }]. Resolves true to put the
// wish over it.
export function bothVersions(message, rows) {
    const cell = (text) => h('td', { text: text || '(nothing)' });
    return dialog('Changed meanwhile', (close) =>
        h(
            'form',
            { method: 'dialog' },
            h('h2', { text: 'Changed meanwhile, from another window or program' }),
            h('p', { text: message }),
            h(
                'div',
                { class: 'scrolls', tabindex: '0', role: 'group', 'aria-label': 'Both versions' },
                h(
                    'table',
                    {},
                    h(
                        'thead',
                        {},
                        h(
                            'tr',
                            {},
                            ...['', 'You saw', 'It is now', 'You wanted'].map((text) =>
                                h('th', { scope: 'col', text }),
                            ),
                        ),
                    ),
                    h(
                        'tbody',
                        {},
                        ...rows.map((row) =>
                            h(
                                'tr',
                                {},
                                h('th', { scope: 'row', text: row.what }),
                                cell(row.saw),
                                cell(row.now),
                                cell(row.wish),
                            ),
                        ),
                    ),
                ),
            ),
            h(
                'div',
                { class: 'row' },
                h('button', {
                    type: 'button',
                    class: 'first',
                    'data-first': '',
                    text: 'Leave it as it is now',
                    onclick: () => close(false),
                }),
                h('button', { type: 'button', text: 'Put what I wanted over it', onclick: () => close(true) }),
            ),
        ),
    );
}

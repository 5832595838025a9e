// keys.js -- one table of all keys: what the page listens to, and what the help overlay shows, can't differ.
//
// A command: { key, name, group, run, when?, ctrl?, shift?, plain? }. `key` is what KeyboardEvent.key says. Single
// keys work only outside of fields, and can be switched off (WCAG 2.1.4: some people speak to their machine, and
// every word is letters).
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { dialog } from './ask.js';
import { h, writing } from './dom.js';

const SWITCH = 'gablebook-single-keys';
let single = localStorage.getItem(SWITCH) !== 'off';

export function listen(commands, context) {
    // context(): 'sheet', 'viewer', 'draw', 'page', or null while a dialog asks
    document.addEventListener('keydown', (event) => {
        if (event.defaultPrevented || event.altKey || event.isComposing) return;
        const where = context(),
            ctrl = event.ctrlKey || event.metaKey;
        if (!where || (!ctrl && (writing(event.target) || !single))) return;
        if (ctrl && writing(event.target) && event.key.toLowerCase() === 'z') return; // the field's own undo
        const key = event.key.length === 1 && !event.shiftKey ? event.key.toLowerCase() : event.key;
        const found = commands.find(
            (command) =>
                command.key === key &&
                Boolean(command.ctrl) === ctrl &&
                (!command.shift || event.shiftKey) &&
                (!command.when || command.when.includes(where)),
        );
        if (!found) return;
        event.preventDefault();
        found.run(key, event);
    });
}

// The overlay: every command in its group, and the keys of the parts of the plan.
export function help(commands) {
    return dialog(
        'Keys',
        (close) => {
            const groups = new Map();
            for (const command of commands)
                if (command.name) groups.set(command.group, [...(groups.get(command.group) ?? []), command]);
            const box = h('input', {
                type: 'checkbox',
                checked: single,
                onchange: () => {
                    single = box.checked;
                    localStorage.setItem(SWITCH, single ? 'on' : 'off');
                },
            });
            return h(
                'div',
                { class: 'body help' },
                h(
                    'div',
                    { class: 'row spread' },
                    h('h2', { text: 'Keys' }),
                    h('button', { type: 'button', 'data-first': '', text: 'Close', onclick: () => close() }),
                ),
                h('label', { class: 'line' }, box, 'Single keys are commands (switch off when you dictate)'),
                h(
                    'div',
                    { class: 'help-groups' },
                    ...[...groups].map(([group, list]) =>
                        h(
                            'section',
                            {},
                            h('h3', { text: group }),
                            h(
                                'dl',
                                {},
                                ...list.map((command) =>
                                    h(
                                        'div',
                                        {},
                                        h('dt', {}, h('kbd', { text: command.shown ?? command.key })),
                                        h('dd', { text: command.name }),
                                    ),
                                ),
                            ),
                        ),
                    ),
                ),
            );
        },
        { wide: true },
    );
}

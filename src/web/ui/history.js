// history.js -- what was done, by whom and when; undo and redo.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { get } from './api.js';
import { h } from './dom.js';
import { store } from './store.js';

const SHOWN = 200;

export class History {
    name = 'History';
    #version = -1;

    mount(root) {
        this.root = root;
        this.undo = h(
            'button',
            { type: 'button', onclick: () => store.undo('undo') },
            'Undo ',
            h('kbd', { text: 'Ctrl Z' }),
        );
        this.redo = h(
            'button',
            { type: 'button', onclick: () => store.undo('redo') },
            'Redo ',
            h('kbd', { text: 'Ctrl Shift Z' }),
        );
        this.list = h('ol', { class: 'entries' });
        this.more = h('button', {
            type: 'button',
            class: 'bare',
            text: 'Show older ones',
            hidden: true,
            onclick: () => {
                this.shown += SHOWN;
                this.#fill();
            },
        });
        this.shown = SHOWN;
        this.#version = -1;
        root.append(
            h('div', { class: 'page' }, h('div', { class: 'row' }, this.undo, this.redo), this.list, this.more),
        );
        this.update();
    }

    async update() {
        if (!this.root?.isConnected) return;
        this.undo.disabled = !store.info.undo;
        this.redo.disabled = !store.info.redo;
        if (this.#version === store.version) return;
        this.#version = store.version;
        try {
            this.entries = (await get('/api/history')).entries;
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
            return;
        }
        this.#fill();
    }

    #fill() {
        const open = new Set([...this.list.querySelectorAll('details[open]')].map(({ dataset }) => dataset.entry));
        this.list.replaceChildren(
            ...this.entries.slice(0, this.shown).map((entry) => this.#entry(entry, open.has(String(entry.entry)))),
        );
        if (!this.entries.length) this.list.replaceChildren(h('li', { text: 'Nothing has been done yet.' }));
        this.more.hidden = this.entries.length <= this.shown;
    }

    #entry(entry, open) {
        const values = h('div', { class: 'values' });
        const details = h(
            'details',
            {
                data: { entry: entry.entry },
                ontoggle: () => {
                    if (details.open && !values.children.length) this.#values(entry.entry, values);
                },
            },
            h(
                'summary',
                {},
                h('span', {
                    class: 'entry-state',
                    text: entry.state === 'done' ? '' : entry.state === 'undone' ? 'undone ' : 'undone for good ',
                }),
                h('span', { text: entry.summary }),
                h('span', { class: 'soft number', text: ` ${entry.who}, ${new Date(entry.at_utc).toLocaleString()}` }),
            ),
            values,
        );
        if (open) details.open = true;
        return h('li', { class: entry.state }, details);
    }

    async #values(number, root) {
        try {
            const { values } = await get(`/api/history/${number}`);
            root.replaceChildren(
                values.length
                    ? h(
                          'table',
                          {},
                          h(
                              'thead',
                              {},
                              h(
                                  'tr',
                                  {},
                                  ...['What', 'Before', 'After'].map((text) => h('th', { scope: 'col', text })),
                              ),
                          ),
                          h(
                              'tbody',
                              {},
                              ...values
                                  .slice(0, 300)
                                  .map((value) =>
                                      h(
                                          'tr',
                                          {},
                                          h('th', {
                                              scope: 'row',
                                              text: `${value.table} ${value.row}${value.column ? `: ${value.column}` : ''}`,
                                          }),
                                          h('td', { text: value.before ?? '(nothing)' }),
                                          h('td', { text: value.after ?? '(nothing)' }),
                                      ),
                                  ),
                          ),
                      )
                    : h('p', { text: 'No single values.' }),
            );
            if (values.length > 300) root.append(h('p', { class: 'soft', text: `and ${values.length - 300} more` }));
        } catch (error) {
            root.textContent = error.message;
        }
    }
}

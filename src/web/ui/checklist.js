// checklist.js -- the check as a list along the walk. Each line leads to the place that would fill it, or is waived
// with a reason.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { get } from './api.js';
import { sentence } from './ask.js';
import { h, plural, say } from './dom.js';
import { lackText } from './plan.js';
import { store } from './store.js';

const STATES = {
    missing: ['▲', 'missing'],
    weak: ['▲', 'weak'],
    advised: ['○', 'advised'],
    waived: ['◇', 'waived'],
    there: ['●', 'there'],
};

export class CheckList {
    name = 'Check';
    all = false;
    leaving = false; // the short list before driving away, in place of the whole check

    constructor(doors) {
        this.doors = doors;
    } // { lead(line), take(numbers), open(view) }

    mount(root) {
        this.root = root;
        this.sum = h('p', { class: 'check-sum' });
        this.list = h('div', { class: 'check-groups' });
        const all = h('input', {
            type: 'checkbox',
            checked: this.all,
            onchange: () => {
                this.all = all.checked;
                this.update();
            },
        });
        this.points = h('section', { class: 'points' });
        this.switches = [
            [false, 'All of the check'],
            [true, 'Before leaving'],
        ].map(([leaving, text]) =>
            h('button', {
                type: 'button',
                text,
                onclick: () => {
                    this.leaving = leaving;
                    this.update();
                },
            }),
        );
        this.allLine = h('label', { class: 'line' }, all, 'Show also what is there');
        this.print = h('button', { type: 'button', text: 'Print', onclick: () => window.print() });
        this.go = h('div', { class: 'leaving' });
        root.append(
            h(
                'div',
                { class: 'page' },
                h(
                    'div',
                    { class: 'row spread no-print' },
                    h('div', { class: 'row', role: 'group', 'aria-label': 'Which list' }, ...this.switches),
                    this.allLine,
                    this.print,
                ),
                this.sum,
                this.go,
                this.list,
                this.points,
                h('p', {
                    class: 'soft care',
                    text: 'No photo is worth a fall. Ladders, steep, wet or mossy roofs, power lines, dogs, lightning: photograph from the ground, a window or a pole, and waive the line with its reason. Local codes and licensed practice come first.',
                }),
            ),
        );
        this.update();
    }

    update() {
        if (!this.root?.isConnected) return;
        const { check } = store.info;
        this.switches.forEach((button, i) => button.setAttribute('aria-pressed', Boolean(i) === this.leaving));
        this.allLine.hidden = this.list.hidden = this.points.hidden = this.leaving;
        this.print.hidden = this.go.hidden = !this.leaving;
        if (this.leaving) this.#leave();
        this.#points(check.points ?? []);
        say(
            this.sum,
            `${check.checklist}: ${lackText(check)}, ${check.there} there, ${check.advised} advised, ${check.waived} waived` +
                `${check.unplaced ? `; ${plural(check.unplaced, 'photo')} without a place` : ''}${check.unnamed ? `; ${check.unnamed} without a subject` : ''}.`,
        );
        const focused = document.activeElement?.dataset?.key,
            which = document.activeElement?.dataset?.does;
        this.list.replaceChildren(
            ...check.groups
                .map((group) => {
                    const lines = group.lines.filter((line) => this.all || line.state !== 'there');
                    if (!lines.length) return null;
                    return h(
                        'section',
                        {},
                        h('h3', { text: group.title }),
                        h('ul', {}, ...lines.map((line) => this.#line(line))),
                    );
                })
                .filter(Boolean),
        );
        if (!this.list.children.length) this.list.replaceChildren(h('p', { text: 'Nothing is lacking.' }));
        if (focused)
            [...this.list.querySelectorAll('[data-key]')]
                .find(({ dataset }) => dataset.key === focused && dataset.does === which)
                ?.focus({ preventScroll: true });
    }

    // What contradicts itself, and what has no proof: a person decides.
    #points(points) {
        this.points.replaceChildren(
            ...(points.length
                ? [
                      h('h3', { text: 'To look at' }),
                      h(
                          'ul',
                          {},
                          ...points.map((point) =>
                              h(
                                  'li',
                                  { class: 'point' },
                                  h('span', {
                                      class: point.contradiction ? 'lacks' : 'soft',
                                      text: point.contradiction ? '▲ differs' : '○ unproven',
                                  }),
                                  h('span', { text: point.text }),
                                  point.shots.length
                                      ? h('button', {
                                            type: 'button',
                                            class: 'bare',
                                            'aria-label': `Show its ${plural(point.shots.length, 'photo')}: ${point.text}`,
                                            text: plural(point.shots.length, 'photo'),
                                            onclick: () => this.doors.take(point.shots),
                                        })
                                      : null,
                              ),
                          ),
                      ),
                  ]
                : []),
        );
    }

    // The list to stand in the driveway with.
    async #leave() {
        let list;
        try {
            list = await get('/api/leaving');
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
            return;
        }
        if (!this.root.isConnected || !this.leaving) return;
        const { address, insured } = store.info.claim;
        this.go.replaceChildren(
            h('h3', { text: `Before leaving: ${address ?? insured ?? store.info.folder}` }),
            ...list.stops.map((stop) =>
                h(
                    'section',
                    {},
                    h('h3', { text: stop.title }),
                    stop.on_roof
                        ? h('p', {
                              class: 'soft',
                              text: 'Only where it is safe. Steep, wet, in gusts, thunder: from the ladder or the ground, or waive it with the reason.',
                          })
                        : null,
                    h(
                        'ul',
                        {},
                        ...stop.todo.map((todo) =>
                            h(
                                'li',
                                { class: 'todo' },
                                h('span', { class: 'box', 'aria-hidden': 'true' }),
                                h('span', { text: todo.text }),
                                todo.required ? null : h('span', { class: 'soft', text: 'advised' }),
                            ),
                        ),
                    ),
                ),
            ),
            h('p', {
                class: list.ready ? 'ready-word' : 'ready-word not',
                role: 'status',
                text: `Ready to leave: ${list.ready ? 'yes' : 'no'}`,
            }),
        );
    }

    #line(line) {
        const [sign, word] = STATES[line.state];
        const leads = line.state !== 'there';
        return h(
            'li',
            { class: `check-line ${line.state}` },
            h('span', { class: 'check-state' }, h('span', { 'aria-hidden': 'true', text: sign }), ` ${word}`),
            h(
                'div',
                { class: 'check-what' },
                h('button', {
                    type: 'button',
                    class: 'bare lead',
                    data: { key: line.key, does: 'lead' },
                    text: line.label,
                    onclick: () => this.doors.lead(line),
                }),
                h('span', { class: 'lacks', text: line.lacks ?? '' }),
                h('p', { class: 'soft', text: line.what }),
                line.state === 'waived'
                    ? h('p', { text: `Waived by ${line.waived_who ?? 'someone'}: ${line.waived_why}` })
                    : null,
            ),
            h(
                'div',
                { class: 'row check-does' },
                line.shots?.length
                    ? h('button', {
                          type: 'button',
                          class: 'bare',
                          data: { key: line.key, does: 'take' },
                          'aria-label': `Take its ${plural(line.shots.length, 'photo')} into the hand: ${line.label}`,
                          text: plural(line.shots.length, 'photo'),
                          onclick: () => this.doors.take(line.shots),
                      })
                    : null,
                leads
                    ? h('button', {
                          type: 'button',
                          class: 'bare',
                          data: { key: line.key, does: 'waive' },
                          'aria-label': `${line.state === 'waived' ? 'Take the waiver back' : 'Waive'}: ${line.label}`,
                          text: line.state === 'waived' ? 'Take back' : 'Waive',
                          onclick: () => this.#waive(line),
                      })
                    : null,
            ),
        );
    }

    async #waive(line) {
        const saw = line.waived_why ?? null;
        let why = null;
        if (line.state !== 'waived') {
            why = await sentence(`Waive: ${line.label}`, {
                label: 'Why is it not possible?',
                hint: 'It stands in the report with your name and the time.',
                button: 'Waive it',
                long: true,
            });
            if (!why) return;
        }
        await store.send('/api/waive', { requirement: line.key, why, was: { why: saw } });
    }
}

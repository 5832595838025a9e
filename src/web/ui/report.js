// report.js -- build the report, look at it, take it along.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { get, post } from './api.js';
import { h, say } from './dom.js';
import { Handover } from './handover.js';
import { size } from './numbers.js';
import { store } from './store.js';

// What there is to build, as the contract says it.
const builds = [
    { name: 'photo report', text: 'photo report, for the file', ask: { what: 'photo report', reader: 'file' }, photos: true },
    { name: 'reviewer', text: 'sheet for the reviewer', ask: { what: 'photo report', reader: 'reviewer' } },
    { name: 'insured', text: 'summary for the insured', ask: { what: 'photo report', reader: 'insured' }, photos: true },
    { name: 'scope sheet', text: 'scope sheet, to price the work', ask: { what: 'scope sheet' }, tables: true },
    { name: 'brief', text: 'brief, one page before the visit', ask: { what: 'brief' }, pageOnly: true },
];

export class Report {
    name = 'Report';

    mount(root) {
        this.root = root;
        this.state = h('p', { role: 'status' });
        this.bar = h('progress', { 'aria-label': 'Building the report', hidden: true });
        this.build = h('button', { type: 'button', class: 'first', text: 'Build it', onclick: () => this.#build() });
        this.what = this.#choice(
            'report-what',
            'What',
            builds.map(({ name, text }) => [name, text]),
        );
        this.format = this.#choice('report-format', 'Format', [
            ['page', 'page, for any browser'],
            ['PDF', 'PDF'],
        ]);
        this.paper = this.#choice('report-paper', 'Paper', [
            ['', 'as in the settings'],
            ['letter', 'letter'],
            ['A4', 'A4'],
        ]);
        this.locale = this.#choice('report-locale', 'Days and numbers', [['', 'as in the settings']]);
        this.perPage = this.#choice(
            'per-page',
            'Photos on a page',
            [2, 1, 3, 4, 6].map((n) => [n, n]),
        );
        this.width = this.#choice('picture-px', 'Pictures', [
            [1280, 'for reading on a screen (1280 px)'],
            [2048, 'for printing large (2048 px)'],
            [800, 'small, to send (800 px)'],
        ]);
        this.budget = this.#choice('budget', 'At most', [
            [0, 'any size'],
            [5e6, '5 MB'],
            [10e6, '10 MB'],
            [20e6, '20 MB'],
        ]);
        this.tables = h(
            'span',
            { class: 'choice' },
            'or take it along',
            ...[
                ['csv', '/api/scope.csv'],
                ['json', '/api/scope'],
            ].map(([kind, href]) =>
                h('a', {
                    class: 'button',
                    href,
                    download: `scope-sheet.${kind}`,
                    text: `as ${kind.toUpperCase()}`,
                    'aria-label': `Take the scope sheet along as ${kind.toUpperCase()}`,
                }),
            ),
        );
        this.warnings = h('ul', { class: 'messages' });
        this.list = h('ul', { class: 'reports' });
        this.handover ??= new Handover();
        this.frame = h('iframe', { title: 'Report preview', class: 'preview', hidden: true });
        root.append(
            h(
                'div',
                { class: 'page report-page' },
                h(
                    'div',
                    { class: 'row' },
                    this.what.field,
                    this.format.field,
                    this.paper.field,
                    this.locale.field,
                    this.perPage.field,
                    this.width.field,
                    this.budget.field,
                    this.build,
                    this.tables,
                ),
                this.state,
                this.warnings,
                this.bar,
                this.list,
                this.frame,
                this.handover.root,
            ),
        );
        this.#fit();
        this.update();
        this.#listAll();
        this.handover.look();
    }

    // A select with its label: hidden together.
    #choice(id, label, options) {
        const select = h(
            'select',
            { id, onchange: () => this.#fit() },
            ...options.map(([value, text]) => h('option', { value, text })),
        );
        return { select, field: h('span', { class: 'choice' }, h('label', { for: id, text: label }), select) };
    }

    get #wanted() {
        return builds.find(({ name }) => name === this.what.select.value);
    }

    // Only what matters for the choice is shown.
    #fit() {
        const { pageOnly, photos, tables } = this.#wanted;
        const pdf = !pageOnly && this.format.select.value === 'PDF';
        this.format.field.hidden = Boolean(pageOnly);
        this.paper.field.hidden = !pdf;
        this.locale.field.hidden = Boolean(pageOnly);
        this.perPage.field.hidden = !pdf || !photos;
        this.tables.hidden = !tables;
        this.width.field.hidden = this.budget.field.hidden = !photos;
    }

    #ask() {
        const { ask } = this.#wanted;
        const chosen = (choice) => (choice.field.hidden ? '' : choice.select.value);
        const numbers = { picture_px: this.width, budget_bytes: this.budget, per_page: this.perPage };
        return {
            ...ask,
            ...(chosen(this.format) ? { format: chosen(this.format) } : {}),
            ...(chosen(this.paper) ? { paper: chosen(this.paper) } : {}),
            ...(chosen(this.locale) ? { locale: chosen(this.locale) } : {}),
            ...Object.fromEntries(
                Object.entries(numbers)
                    .map(([name, choice]) => [name, Number(chosen(choice))])
                    .filter(([, n]) => n > 0),
            ),
        };
    }

    async #build() {
        this.build.disabled = true;
        this.warnings.replaceChildren();
        try {
            await post('/api/report', this.#ask());
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
            this.build.disabled = false;
        }
    }

    async #listAll(show) {
        let reports = [];
        try {
            let locales;
            ({ reports, locales } = await get('/api/reports'));
            if (this.locale.select.length === 1)
                this.locale.select.append(...locales.map((tag) => h('option', { value: tag, text: tag })));
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
        }
        const rows = reports.map((one) =>
            h(
                'li',
                { class: 'row' },
                h('button', { type: 'button', class: 'bare', text: one.name, onclick: () => this.#show(one) }),
                h('span', {
                    class: 'soft number',
                    text: `${size(one.bytes)}, ${new Date(one.built_utc).toLocaleString()}`,
                }),
                h('a', {
                    class: 'button',
                    href: `/report/${encodeURIComponent(one.name)}`,
                    target: '_blank',
                    rel: 'noopener',
                    text: 'Print',
                    'aria-label': `Open ${one.name} by itself, to print it`,
                }),
                h('a', {
                    class: 'button',
                    href: `/report/${encodeURIComponent(one.name)}?download=1`,
                    download: one.name,
                    text: 'Download',
                    'aria-label': `Download ${one.name}`,
                }),
            ),
        );
        this.list.replaceChildren(
            ...(rows.length ? rows : [h('li', { class: 'soft', text: 'No report has been built yet.' })]),
        );
        const chosen = reports.find(({ name }) => name === show) ?? reports[0];
        if (chosen) this.#show(chosen);
    }

    // A browser without a viewer of its own would hand a PDF over unasked.
    #show(report) {
        const shown = !report.name.endsWith('.pdf') || navigator.pdfViewerEnabled;
        this.frame.hidden = !shown;
        if (!shown) {
            say(this.state, `This browser shows no PDF in the page: download ${report.name}.`);
            return;
        }
        const to = `/report/${encodeURIComponent(report.name)}?built=${encodeURIComponent(report.built_utc)}`;
        if (this.frame.getAttribute('src') !== to) this.frame.setAttribute('src', to);
    }

    update() {
        if (!this.root?.isConnected) return;
        const { job } = store;
        this.handover.update();
        this.build.disabled = job?.state === 'running'; // one job at a time
        if (job?.kind !== 'report') return;
        const running = job.state === 'running';
        this.bar.hidden = !running;
        if (running && job.total) {
            this.bar.max = job.total;
            this.bar.value = job.done;
        }
        say(
            this.state,
            running
                ? job.total
                    ? `Building: ${job.done} of ${job.total} pictures`
                    : 'Building.'
                : job.state === 'failed'
                  ? `The report could not be built. ${job.error}`
                  : job.state === 'stopped'
                    ? 'Building was stopped.'
                    : `${job.report} is built.`,
        );
        const ended = `${job.id} ${job.state}`;
        if (!running && this.ended !== ended) {
            this.ended = ended;
            this.warnings.replaceChildren(...(job.messages ?? []).map((text) => h('li', { text })));
            this.#listAll(job.report);
        }
    }
}

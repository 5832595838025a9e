// report.js -- build the report, look at it, take it along.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { get, post } from './api.js';
import { h, say } from './dom.js';
import { store } from './store.js';

const size = (bytes) => (bytes >= 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.ceil(bytes / 1e3)} kB`);

export class Report {
    name = 'Report';

    mount(root) {
        this.root = root;
        this.state = h('p', { role: 'status' });
        this.bar = h('progress', { 'aria-label': 'Building the report', hidden: true });
        this.build = h('button', { type: 'button', class: 'first', text: 'Build it', onclick: () => this.#build() });
        this.what = h(
            'select',
            { id: 'report-what' },
            ...['photo report', 'scope sheet', 'brief'].map((text) =>
                h('option', { value: text, text: text === 'brief' ? 'brief, one page before the visit' : text }),
            ),
        );
        this.width = h(
            'select',
            { id: 'picture-px' },
            ...[
                [1280, 'for reading on a screen (1280 px)'],
                [2048, 'for printing large (2048 px)'],
                [800, 'small, to send (800 px)'],
            ].map(([value, text]) => h('option', { value, text })),
        );
        this.pictures = h('span', { class: 'row' }, h('label', { for: 'picture-px', text: 'Pictures' }), this.width);
        this.tables = h(
            'span',
            { class: 'row' },
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
        const fit = () => {
            this.pictures.hidden = this.what.value !== 'photo report';
            this.tables.hidden = this.what.value !== 'scope sheet';
        };
        this.what.addEventListener('change', fit);
        fit();
        this.list = h('ul', { class: 'reports' });
        this.frame = h('iframe', { title: 'Report preview', class: 'preview', hidden: true });
        root.append(
            h(
                'div',
                { class: 'page report-page' },
                h(
                    'div',
                    { class: 'row' },
                    this.build,
                    h('label', { for: 'report-what', text: 'What' }),
                    this.what,
                    this.pictures,
                    this.tables,
                ),
                this.state,
                this.bar,
                this.list,
                this.frame,
            ),
        );
        this.update();
        this.#listAll();
    }

    async #build() {
        this.build.disabled = true;
        try {
            await post('/api/report', {
                what: this.what.value,
                ...(this.what.value === 'photo report' ? { picture_px: Number(this.width.value) } : {}),
            });
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
            this.build.disabled = false;
        }
    }

    async #listAll(show) {
        let reports = [];
        try {
            ({ reports } = await get('/api/reports'));
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
    #show(report) {
        this.frame.hidden = false;
        const to = `/report/${encodeURIComponent(report.name)}?built=${encodeURIComponent(report.built_utc)}`;
        if (this.frame.getAttribute('src') !== to) this.frame.setAttribute('src', to);
    }

    update() {
        if (!this.root?.isConnected) return;
        const { job } = store;
        if (job?.kind !== 'report') return;
        const running = job.state === 'running';
        this.build.disabled = running;
        this.bar.hidden = !running;
        if (running && job.total) {
            this.bar.max = job.total;
            this.bar.value = job.done;
        }
        say(
            this.state,
            running
                ? `Building: ${job.done} of ${job.total} pictures`
                : job.state === 'failed'
                  ? `The report could not be built. ${job.error}`
                  : job.state === 'stopped'
                    ? 'Building was stopped.'
                    : `${job.report} is built.`,
        );
        const ended = `${job.id} ${job.state}`;
        if (!running && this.ended !== ended) {
            this.ended = ended;
            this.#listAll(job.report);
        }
    }
}

// handover.js -- the whole claim as one zip, and whether all of it still is what it was. Part of the report's view.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { get, post } from './api.js';
import { h, say } from './dom.js';
import { size } from './numbers.js';
import { store } from './store.js';

const KINDS = ['export', 'verify'];
const RUNNING = {
    export: 'Putting the claim into a zip. You can go on working.',
    verify: 'Reading every file anew. You can go on working.',
};
const FAILED = { export: 'The zip could not be made.', verify: 'It could not be looked at.' };

export class Handover {
    #ended = ''; // the job that was told last

    constructor() {
        const begin = (text, path, body, more = {}) =>
            h('button', { type: 'button', text, onclick: () => this.#begin(path, body), ...more });
        this.make = begin('Put the claim into a zip', '/api/export', {});
        this.verify = begin('Verify the claim', '/api/verify', { what: 'claim' });
        this.verifyZip = begin('Verify the zip', '/api/verify', { what: 'zip' }, { hidden: true });
        this.state = h('p', { role: 'status' });
        this.stop = h('button', {
            type: 'button',
            text: 'Stop',
            hidden: true,
            onclick: () => post('/api/job/stop', {}).catch((error) => store.emit('told', { text: error.message, bad: true })),
        });
        this.bar = h('progress', { 'aria-label': 'Working', hidden: true });
        this.zip = h('div', { class: 'zip' });
        this.result = h('div', { class: 'verified', role: 'status' });
        this.root = h(
            'section',
            { class: 'handover', 'aria-labelledby': 'handover-name' },
            h('h3', { id: 'handover-name', text: 'Hand over the whole claim, or verify it' }),
            h('p', {
                class: 'soft',
                text:
                    'The zip holds the log, the originals, the reports and the claim’s own templates, and manifest.sha256, a ' +
                    'list of their digests. The cache stays out: it comes back. Whoever gets the zip checks it with ' +
                    'gablebook verify, or unpacks it and runs sha256sum -c manifest.sha256 in its folder.',
            }),
            h('p', {
                class: 'soft',
                text:
                    'Verifying reads every original anew and holds it against the log, the log against the seal that every ' +
                    'change leaves, reports against their digests, a zip against its manifest. Nothing is changed.',
            }),
            h('div', { class: 'row' }, this.make, this.verify, this.verifyZip, this.stop),
            this.state,
            this.bar,
            this.zip,
            this.result,
        );
    }

    async #begin(path, body) {
        for (const button of [this.make, this.verify, this.verifyZip]) button.disabled = true;
        try {
            await post(path, body);
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
            this.update();
        }
    }

    // What lies there from an earlier time.
    async look() {
        try {
            const { export: zip } = await get('/api/export');
            this.#showZip(zip);
        } catch (error) {
            store.emit('told', { text: error.message, bad: true });
        }
    }

    #showZip(zip) {
        this.verifyZip.hidden = !zip;
        this.zip.replaceChildren(
            ...(zip
                ? [
                      h(
                          'div',
                          { class: 'row' },
                          h('span', { text: zip.name }),
                          h('span', {
                              class: 'soft number',
                              text: `${size(zip.bytes)}, ${new Date(zip.built_utc).toLocaleString()}`,
                          }),
                          h('a', {
                              class: 'button',
                              href: '/export',
                              download: zip.name,
                              text: 'Download',
                              'aria-label': `Download ${zip.name}`,
                          }),
                      ),
                      h('p', { class: 'soft path', text: `It lies beside the claim’s folder: ${zip.path}` }),
                  ]
                : []),
        );
    }

    #showResult({ what, sound, verdict, looked_at: seen, faults, remarks }) {
        const lines = (all, mark) => h('ul', { class: 'messages' }, ...all.map((text) => h('li', { text: `${mark}${text}` })));
        this.result.replaceChildren(
            h('p', { class: sound ? 'sound' : 'differs', text: `${sound ? '●' : '▲'} The ${what}: ${verdict}` }),
            ...(faults.length ? [lines(faults, '▲ ')] : []),
            ...(remarks.length ? [h('p', { text: 'No fault, but worth knowing:' }), lines(remarks, '')] : []),
            h('p', { class: 'soft', text: seen }),
        );
    }

    #sentence(job) {
        if (job.state === 'failed') return `${FAILED[job.kind]} ${job.error}`;
        if (job.state === 'stopped') return 'Stopped. Nothing was changed.';
        if (job.kind === 'export') return `${job.export.files} files and their digests are in the zip.`;
        return ''; // what came of it stands below
    }

    update() {
        const { job } = store,
            running = job?.state === 'running',
            ours = KINDS.includes(job?.kind);
        for (const button of [this.make, this.verify, this.verifyZip]) button.disabled = running;
        this.bar.hidden = this.stop.hidden = !(running && ours);
        if (job?.total) Object.assign(this.bar, { max: job.total, value: job.done });
        else this.bar.removeAttribute('value');
        if (!ours) return;
        const far = job.done ? ` ${job.done}${job.total ? ` of ${job.total}` : ''} files so far.` : '';
        say(this.state, running ? `${RUNNING[job.kind]}${far}` : this.#sentence(job));
        const ended = `${job.id} ${job.state}`;
        if (running || this.#ended === ended) return;
        this.#ended = ended;
        if (job.export) this.#showZip(job.export);
        if (job.verification) this.#showResult(job.verification);
    }
}

// bring.js -- photos come in: dropped files or folders, chosen ones, or a folder that this machine can read.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { post, upload } from './api.js';
import { dialog } from './ask.js';
import { h, plural, say } from './dom.js';
import { store } from './store.js';

const AT_ONCE = 3;
const AGAIN_MS = 1000; // while another job runs

// All files of a drop, folders opened.
async function filesOf(transfer) {
    const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
    if (!entries.length) return [...transfer.files];
    const files = [];
    const walk = async (entry) => {
        if (entry.isFile) files.push(await new Promise((resolve, reject) => entry.file(resolve, reject)));
        else {
            const reader = entry.createReader();
            for (;;) {
                // a reader hands out a hundred at a time
                const part = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
                if (!part.length) break;
                for (const one of part) await walk(one);
            }
        }
    };
    for (const entry of entries) await walk(entry);
    return files;
}

export class Bring {
    #open = null;
    failed = []; // of the last files that were sent: which could not be, and why

    constructor() {
        const veil = document.getElementById('drop');
        let depth = 0;
        const carries = (event) => event.dataTransfer?.types.includes('Files');
        addEventListener('dragenter', (event) => {
            if (carries(event)) {
                depth++;
                veil.hidden = false;
            }
        });
        addEventListener('dragleave', (event) => {
            if (carries(event) && --depth <= 0) {
                depth = 0;
                veil.hidden = true;
            }
        });
        addEventListener('dragover', (event) => {
            if (carries(event)) event.preventDefault();
        });
        addEventListener('drop', async (event) => {
            if (!carries(event)) return;
            event.preventDefault();
            depth = 0;
            veil.hidden = true;
            try {
                this.send(await filesOf(event.dataTransfer));
            } catch (error) {
                store.emit('told', { text: `What was dropped can't be read: ${error.message}`, bad: true });
            }
        });
        store.on('job', () => this.#tell());
    }

    open() {
        if (this.#open) return;
        this.#open = {};
        dialog('Add photos', (close) => {
            const pick = (folder) => {
                const input = h('input', {
                    type: 'file',
                    multiple: true,
                    class: 'unseen',
                    'aria-label': folder ? 'Folder' : 'Files',
                    tabindex: '-1',
                    id: folder ? 'pick-folder' : 'pick-files',
                    onchange: () => this.send([...input.files]),
                });
                if (folder) input.webkitdirectory = true;
                return input;
            };
            const files = pick(false),
                folder = pick(true);
            const path = h('input', {
                type: 'text',
                id: 'bring-path',
                spellcheck: 'false',
                autocomplete: 'off',
                placeholder: '/media/card/DCIM',
            });
            const state = h('p', { role: 'status' }),
                bar = h('progress', { 'aria-label': 'Adding photos', hidden: true }),
                messages = h('ul', { class: 'messages' });
            const stop = h('button', { type: 'button', text: 'Stop', hidden: true, onclick: () => this.#stop() });
            this.#open = { state, bar, messages, stop };
            stop.hidden = !this.sending;
            return h(
                'div',
                { class: 'body' },
                h('h2', { text: 'Add photos' }),
                h('p', {
                    class: 'soft',
                    text: 'Drop them anywhere on the page, or choose. They are copied byte for byte; what is here already is left out.',
                }),
                h(
                    'div',
                    { class: 'row' },
                    h('button', {
                        type: 'button',
                        class: 'first',
                        'data-first': '',
                        text: 'Choose files',
                        onclick: () => files.click(),
                    }),
                    h('button', { type: 'button', text: 'Choose a folder', onclick: () => folder.click() }),
                    files,
                    folder,
                ),
                h(
                    'form',
                    {
                        class: 'field',
                        onsubmit: (event) => {
                            event.preventDefault();
                            this.failed = [];
                            if (path.value.trim()) this.#start({ paths: [path.value.trim()] });
                        },
                    },
                    h('label', { for: 'bring-path', text: 'Or read from where they lie on this machine' }),
                    h('div', { class: 'row path' }, path, h('button', { type: 'submit', text: 'Read' })),
                ),
                state,
                bar,
                messages,
                h(
                    'div',
                    { class: 'row' },
                    stop,
                    h('button', { type: 'button', text: 'Close', onclick: () => close() }),
                ),
            );
        }).then(() => {
            this.#open = null;
        });
        this.#tell();
    }

    // Who has closed the dialog goes on working, and is told how it ended.
    #say(text, done, total) {
        if (!this.#open) return;
        say(this.#open.state, text);
        this.#open.bar.hidden = !total || done >= total;
        if (total) {
            this.#open.bar.max = total;
            this.#open.bar.value = done;
        }
    }

    async send(files) {
        if (!files.length) return;
        if (this.sending)
            return void store.emit('told', {
                text: 'Photos are being added already: wait until they are in.',
                bad: true,
            });
        const set = [...crypto.getRandomValues(new Uint8Array(12))]
            .map((byte) => 'abcdefghijklmnopqrstuvwxyz012345'[byte & 31])
            .join('');
        const total = files.reduce((sum, file) => sum + file.size, 0),
            failed = [];
        this.sending = new AbortController();
        this.open();
        let done = 0,
            next = 0,
            count = 0;
        this.#say(`Sending ${plural(files.length, 'file')}`, 0, total);
        this.#open.stop.hidden = false;
        const worker = async () => {
            while (next < files.length && !this.sending.signal.aborted) {
                const file = files[next++];
                try {
                    await upload(set, file, this.sending.signal);
                    count++;
                } catch (error) {
                    failed.push(`${file.name}: ${error.message}`);
                }
                done += file.size;
                this.#say(`Sending: ${count} of ${files.length} files`, done, total);
            }
        };
        await Promise.all(Array.from({ length: AT_ONCE }, worker));
        this.failed = failed;
        this.#list([]);
        if (!this.#open && failed.length)
            store.emit('told', {
                text: `${plural(failed.length, 'file')} could not be sent. The first: ${failed[0]}`,
                bad: true,
            });
        const before = store.job?.id;
        this.told ??= ''; // whatever comes of it is to be told
        if (this.sending.signal.aborted) this.#end('Stopped; nothing was added.');
        else if (count) await this.#start({ set });
        else this.#end('Nothing could be sent.');
        this.sending = null;
        if (store.job?.id !== before) this.#tell(); // it may have ended already
    }

    // What could not be sent, and what the import says.
    #list(lines) {
        if (!this.#open) return;
        this.#open.messages.replaceChildren(
            ...this.failed.slice(0, 200).map((text) => h('li', { class: 'error', text })),
            ...lines,
        );
    }

    #end(text) {
        if (this.#open) this.#say(text, 0, 0);
        else store.emit('told', { text, bad: true });
    }

    // While a report is being built, say, what was sent waits here.
    async #start(body) {
        for (;;) {
            try {
                await post('/api/import', body);
                return;
            } catch (error) {
                if (error.code !== 'busy') return void this.#end(error.message);
                this.#say('Waiting until the other work is done', 0, 0);
                await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
                if (this.sending?.signal.aborted) return void this.#end('Stopped; nothing was added.');
            }
        }
    }
    #stop() {
        if (this.sending) this.sending.abort();
        else post('/api/job/stop', {}).catch((error) => store.emit('told', { text: error.message, bad: true }));
    }

    #tell() {
        const { job } = store;
        if (job?.kind !== 'import' || this.sending) return;
        const taken = [
            job.fresh && `${job.fresh} taken in`,
            job.back && `${job.back} back again`,
            job.known && `${job.known} here already`,
            job.attached && `${plural(job.attached, 'other file')} kept beside them`,
            job.left_out && `${job.left_out} not taken`,
            job.passed_over && `${plural(job.passed_over, 'sidecar file')} passed over`,
        ]
            .filter(Boolean)
            .join(', ');
        const running = job.state === 'running';
        const text = running
            ? `Taking in: ${job.done} of ${job.total}`
            : job.state === 'failed'
              ? `Not all could be taken in. ${job.error}`
              : `${job.state === 'stopped' ? 'Stopped' : 'Done'}: ${taken || 'no photos'}.`;
        if (!this.#open) {
            const ended = `${job.id} ${job.state}`;
            if (!running && this.told !== ended && this.told !== undefined)
                store.emit('told', { text, bad: job.state === 'failed' });
            this.told = running ? `${job.id} running` : ended;
            return;
        }
        this.told = `${job.id} ${job.state}`;
        this.#say(text, job.done, running ? job.total : 0);
        this.#open.stop.hidden = !running;
        this.#list([
            ...(job.messages ?? []).map((line) => h('li', { text: line })),
            ...(job.message_count > (job.messages?.length ?? 0)
                ? [h('li', { class: 'soft', text: `${job.message_count} messages in all` })]
                : []),
        ]);
    }
}

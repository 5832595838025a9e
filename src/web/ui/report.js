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
    this.build = h('button', { type: 'button', class: 'first', text: 'Build the report', onclick: () => this.#build() });
    this.width = h('select', { id: 'picture-px' }, ...[[1280, 'for reading on a screen (1280 px)'], [2048, 'for printing large (2048 px)'], [800, 'small, to send (800 px)']].map(([value, text]) => h('option', { value, text })));
    this.list = h('ul', { class: 'reports' });
    this.frame = h('iframe', { title: 'Report preview', class: 'preview', hidden: true });
    root.append(h('div', { class: 'page report-page' }, h('div', { class: 'row' }, this.build, h('label', { for: 'picture-px', text: 'Pictures' }), this.width),
      h('div', { class: 'row', role: 'group', 'aria-label': 'Other papers' }, h('button', { type: 'button', text: 'Write the scope sheet', onclick: () => this.#write('/api/scope') }),
        h('a', { class: 'button', href: '/api/scope.csv', download: 'scope-sheet.csv', text: 'as CSV', 'aria-label': 'Scope sheet as CSV' }), h('a', { class: 'button', href: '/api/scope', download: 'scope-sheet.json', text: 'as JSON', 'aria-label': 'Scope sheet as JSON' }),
        h('button', { type: 'button', text: 'Write the brief for the visit', onclick: () => this.#write('/api/brief') })), this.state, this.bar, this.list, this.frame));
    this.update();
    this.#listAll();
  }

  async #build() {
    this.build.disabled = true;
    try { await post('/api/report', { picture_px: Number(this.width.value) }); } catch (error) { store.emit('told', { text: error.message, bad: true }); this.build.disabled = false; }
  }

  // A paper without pictures is there at once.
  async #write(path) {
    try {
      const { report } = await post(path, {});
      await this.#listAll(report);
      store.emit('told', { text: `${report} is written, in the claim’s reports.` });
    } catch (error) { store.emit('told', { text: error.message, bad: true }); }
  }

  async #listAll(show) {
    let reports = [];
    try { ({ reports } = await get('/api/reports')); } catch (error) { store.emit('told', { text: error.message, bad: true }); }
    const rows = reports.map((one) => h('li', { class: 'row' }, h('button', { type: 'button', class: 'bare', text: one.name, onclick: () => this.#show(one) }), h('span', { class: 'soft number', text: `${size(one.bytes)}, ${new Date(one.built_utc).toLocaleString()}` }),
      h('a', { class: 'button', href: `/report/${encodeURIComponent(one.name)}`, target: '_blank', rel: 'noopener', text: 'Print', 'aria-label': `Open ${one.name} by itself, to print it` }),
      h('a', { class: 'button', href: `/report/${encodeURIComponent(one.name)}?download=1`, download: one.name, text: 'Download', 'aria-label': `Download ${one.name}` })));
    this.list.replaceChildren(...(rows.length ? rows : [h('li', { class: 'soft', text: 'No report has been built yet.' })]));
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
    if (running && job.total) { this.bar.max = job.total; this.bar.value = job.done; }
    say(this.state, running ? `Building: ${job.done} of ${job.total} pictures` : job.state === 'failed' ? `The report could not be built. ${job.error}` : job.state === 'stopped' ? 'Building was stopped.' : 'The report is built.');
    const ended = `${job.id} ${job.state}`;
    if (!running && this.ended !== ended) { this.ended = ended; this.#listAll(job.report); }
  }
}

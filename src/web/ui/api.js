// api.js -- the one module that talks to the server. The contract is src/web/README.md.
//
// SPDX-License-Identifier: GPL-3.0-or-later

export class Refusal extends Error {
    constructor(status, body) {
        super(body?.error?.message ?? `The server answered ${status}.`);
        this.status = status;
        this.code = body?.error?.code ?? '';
        this.conflicts = body?.conflicts ?? [];
    }
}

// No answer at all: the program has ended, or the machine slept.
export class Silence extends Error {}

async function ask(path, options) {
    let answer;
    try {
        answer = await fetch(path, options);
    } catch (error) {
        if (error.name === 'AbortError') throw error;
        throw new Silence('gablebook does not answer.');
    }
    const body = await answer.json().catch(() => null);
    if (!answer.ok) throw new Refusal(answer.status, body);
    return body;
}

export const get = (path, signal) => ask(path, { signal });

export const post = (path, body) =>
    ask(path, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify(body),
    });

export const upload = (set, file, signal) =>
    ask(`/api/upload?set=${set}&name=${encodeURIComponent(file.name)}`, {
        method: 'POST',
        headers: { 'Content-Type': 'application/octet-stream' },
        body: file,
        signal,
    });

export const changes = (board, since, moves, wait) =>
    get(`/api/changes?board=${encodeURIComponent(board)}&since=${since}&wait=${wait}&moves=${moves}`);

export const picture = (shot, size) => `/picture/${shot.sha256}/${size}`;

// The first two questions, asked as soon as this module is here: index.html loads it before all others, which then
// find the answers on their way. A worker (news.js) has no such questions.
export const FIRST = 120; // shots: more than any screen shows
export const opening = () => Promise.all([get('/api/claim'), get(`/api/shots?from=0&count=${FIRST}`)]);
export const early = globalThis.document ? opening() : null;
early?.catch(() => {}); // who waits for it tells the user

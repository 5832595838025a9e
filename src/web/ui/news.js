// news.js -- a worker that all windows on one run of the server share: it listens to the change feed once, for all of
// them. It lives as long as any of them does, so nothing needs to be handed over when one is closed.
//
// A window says { at: { board, version, moves } } when it comes and { gone: true } when it goes; what it missed before
// it came it asks for itself (store.js).
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { follow } from './feed.js';

const windows = new Set();
let following = false;

function tell(heard) {
    for (const window of windows) window.postMessage(heard);
}

function hear(window, { at, gone }) {
    if (gone) windows.delete(window);
    else windows.add(window);
    if (!at || following) return;
    following = true;
    follow(at, tell).then(() => globalThis.close()); // another run: its windows have a worker of their own
}

globalThis.addEventListener('connect', ({ ports: [window] }) => {
    window.addEventListener('message', ({ data }) => hear(window, data));
    window.start();
});

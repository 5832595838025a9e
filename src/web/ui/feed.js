// feed.js -- the one request to /api/changes that is held open, over and over.
//
// A browser opens at most six connections to one host, so the windows on a claim share this one: it runs in news.js, a
// worker that they have in common, and only where there are no such workers in the window itself. What is heard is
// therefore plain data that may go from one to the other:
//   { since, news }          what the server said of what is new since then; news as the contract has it
//   { silent, shut, text }   no answer: the program has ended, or (shut) the key is no longer valid, or something else is
//                            wrong, in the server's own words
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { Silence, changes } from './api.js';

const AGAIN_MS = 1000;

// Asks for ever. at: { board, version, moves }, what is known already; `told` gets what is heard. Ends when the server
// is another run than `at.board`, after having told so.
export async function follow(at, told) {
    for (;;) {
        try {
            const since = at.version,
                news = await changes(at.board, since, at.moves, 20);
            told({ since, news });
            if (news.board !== at.board) return;
            Object.assign(at, { version: news.version, moves: news.job?.moves ?? at.moves });
        } catch (error) {
            const shut = error.status === 403;
            told(error instanceof Silence || shut ? { silent: true, shut } : { silent: true, text: error.message });
            await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
        }
    }
}

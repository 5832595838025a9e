// filters.js -- which shots the contact sheet shows: one of a few questions, a place, and the words searched for.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { recorded } from './recorded.js';
import { store } from './store.js';
import { holds } from './words.js';

export const QUESTIONS = [
    { id: 'all', name: 'All', passes: () => true },
    { id: 'unplaced', name: 'No place', passes: (shot) => !shot.place && !shot.left_out },
    { id: 'believed', name: 'Suggested', passes: (shot) => Boolean(store.suggestion(shot)) && !shot.left_out },
    { id: 'unnamed', name: 'No subject', passes: (shot) => !shot.subject && !shot.left_out },
    { id: 'weak', name: 'Weak', passes: (shot) => Boolean(shot.weak || shot.doubt || shot.damaged) },
    { id: 'out', name: 'Left out', passes: (shot) => Boolean(shot.left_out) },
];

export class Filter {
    question = 'all';
    place = 0; // only this place
    structure = 0; // only places of this structure
    candidates = false; // and shots without a place that may belong there
    words = '';

    get narrow() {
        return this.question !== 'all' || this.place !== 0 || this.structure !== 0 || this.words !== '';
    }

    passes(shot) {
        if (this.place || this.structure) {
            const place = shot.place ?? (this.candidates ? store.suggestion(shot)?.place : 0);
            if (this.place ? place !== this.place : store.place(place)?.structure !== this.structure) return false;
        }
        if (!QUESTIONS.find(({ id }) => id === this.question).passes(shot)) return false;
        return !this.words || holds(this.words, this.#text(shot));
    }

    #text(shot) {
        return [
            `${shot.number}`,
            shot.caption_shown,
            shot.value,
            store.subject(shot.subject)?.name,
            shot.place && store.placeTitle(shot.place),
            shot.file,
            shot.distance_shown,
            ...(shot.marks ?? []).map((mark) => mark.text),
            ...recorded.notesOf(shot.number).map((note) => note.text),
            shot.weak,
            shot.remark,
        ]
            .filter(Boolean)
            .join(' ');
    }

    clear() {
        this.question = 'all';
        this.place = 0;
        this.structure = 0;
        this.candidates = false;
        this.words = '';
    }
}

// recorded.js -- what people recorded beside tags (GET /api/recorded): facts, test squares, notes, findings, roofs, and
// the words for them.
//
// Asked for when the page is at rest, at once where a view shows it. 'recorded' of the store tells that it is here
// anew.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { get } from './api.js';
import { store } from './store.js';

const REST_MS = 400;

class Recorded {
    data = null;
    #board = '';
    #version = -1;
    #asking = null;
    #rest = 0;

    get fresh() {
        return this.#board === store.board && this.#version >= store.version;
    }

    soon() {
        clearTimeout(this.#rest);
        this.#rest = setTimeout(() => this.want(), REST_MS);
    }

    // Resolves when it is as new as the claim that the page knows.
    async want() {
        clearTimeout(this.#rest);
        while (!this.fresh && !store.loading) {
            this.#asking ??= get('/api/recorded').finally(() => {
                this.#asking = null;
            });
            let data;
            try {
                data = await this.#asking;
            } catch (error) {
                store.emit('told', { text: error.message, bad: true });
                return;
            }
            if (data === this.data) continue; // somebody else who waited has taken it
            this.data = data;
            this.#board = data.board;
            this.#version = data.version;
            store.emit('recorded');
        }
    }

    // After a change of ours: the claim as it is with it.
    async after(answer) {
        await store.caughtUp(answer.version);
        await this.want();
    }

    // --- looking up ---

    fact(place, kind) {
        return this.data?.facts.find((one) => one.place === place.id && one.kind === kind.id);
    }
    // As records and photos together have it, there or on what the place is a part of.
    known(place, kind) {
        const of = (label) => this.data?.known.facts.find((one) => one.place === label && one.kind === kind.id);
        return wider(place)
            .map((one) => of(one.label))
            .find(Boolean);
    }
    squares(place) {
        return this.data?.squares.filter((one) => one.place === place.id) ?? [];
    }
    finding(number) {
        return this.data?.findings.find((one) => one.finding === number);
    }
    findingsOf(shot) {
        return this.data?.findings.filter(({ shots }) => shots.includes(shot)) ?? [];
    }
    notesOf(shot) {
        return this.data?.notes.filter((one) => one.shot === shot) ?? [];
    }
    component(id) {
        return this.data?.words.components.find((one) => one.id === id);
    }
    roofEntry(number) {
        return this.data?.roof.entries.find(({ entry }) => entry === number);
    }
}

// The place, then its roof (of a slope), then its structure.
function wider(place) {
    const of = (kind) =>
        [...store.places.values()].find((one) => one.kind === kind && one.structure === place.structure);
    return [place, place.kind === 'slope' ? of('roof') : null, place.structure ? of('whole') : null].filter(
        (one, i, all) => one && all.indexOf(one) === i,
    );
}

export const recorded = new Recorded();

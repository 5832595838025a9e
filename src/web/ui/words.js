// words.js -- finding a word by what a person typed, by the rules of the command line: every word typed begins a word
// of the label, in order; labels with as many words as were typed come first.
//
// SPDX-License-Identifier: GPL-3.0-or-later

const split = (text) =>
    text
        .toLowerCase()
        .split(/[\s,_\-/:]+/)
        .filter(Boolean);

function begins(typed, words) {
    let from = 0;
    return typed.every((part) => {
        const at = words.findIndex((word, i) => i >= from && word.startsWith(part));
        from = at + 1;
        return at >= 0;
    });
}

// Everything typed occurs somewhere, in any order: for searching in captions, where the order is not known.
export function holds(typed, text) {
    const lower = text.toLowerCase();
    return split(typed).every((part) => lower.includes(part));
}

// The entries a person may mean, best first.
export function matches(typed, entries, text = (entry) => entry.label) {
    const wanted = split(typed);
    if (!wanted.length) return entries.slice();
    const found = [];
    entries.forEach((entry, order) => {
        const words = split(text(entry));
        if (!begins(wanted, words)) return;
        const full = wanted.filter((part) => words.includes(part)).length;
        found.push({ entry, rank: (words.length === wanted.length ? 0 : 10) - full, order });
    });
    return found.sort((a, b) => a.rank - b.rank || a.order - b.order).map(({ entry }) => entry);
}

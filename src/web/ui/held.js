// held.js -- which shots are in the hand, and where the cursor stands. Every command works on these.
//
// SPDX-License-Identifier: GPL-3.0-or-later

class Held extends EventTarget {
    numbers = new Set();
    cursor = null; // the shot the keys start from
    anchor = null; // where a stretch with Shift began

    on(heard) {
        this.addEventListener('change', (event) => heard(event.detail));
    }

    // Take exactly these. The cursor goes to the last unless told otherwise.
    take(numbers, { cursor, anchor } = {}) {
        const before = this.numbers,
            old = this.cursor;
        this.numbers = new Set(numbers);
        if (cursor !== undefined) this.cursor = cursor;
        if (anchor !== undefined) this.anchor = anchor;
        const changed = new Set([old, this.cursor]);
        for (const number of before) if (!this.numbers.has(number)) changed.add(number);
        for (const number of this.numbers) if (!before.has(number)) changed.add(number);
        this.dispatchEvent(new CustomEvent('change', { detail: changed }));
    }
    toggle(number) {
        const numbers = new Set(this.numbers);
        if (!numbers.delete(number)) numbers.add(number);
        this.take(numbers, { cursor: number, anchor: number });
    }
    drop() {
        this.take([]);
    }
    has(number) {
        return this.numbers.has(number);
    }
    list() {
        return [...this.numbers];
    }
}

export const held = new Held();

// numbers.js -- numbers as people write and read them: lists of shots, lengths, areas.
//
// SPDX-License-Identifier: GPL-3.0-or-later

// [12, 3, 7, 8, 9] -> "3, 7-9, 12", as the command line has it.
export function shotsText(numbers) {
    const sorted = [...new Set(numbers)].sort((a, b) => a - b),
        parts = [];
    for (let i = 0; i < sorted.length;) {
        let end = i;
        while (sorted[end + 1] === sorted[end] + 1) end++;
        if (end - i >= 2) parts.push(`${sorted[i]}-${sorted[end]}`);
        else parts.push(...sorted.slice(i, end + 1));
        i = end + 1;
    }
    return parts.join(', ');
}

// "3, 7-9" -> [3, 7, 8, 9]; what is no number is left out: the server says what is wrong with it.
export function shotsOf(text) {
    const numbers = [];
    for (const part of text.split(/[\s,]+/)) {
        const [, from, to = from] = /^(\d{1,7})(?:-(\d{1,7}))?$/.exec(part) ?? [];
        for (let n = Number(from); n <= Number(to) && numbers.length < 10000; n++) numbers.push(n);
    }
    return numbers;
}

// To the nearest eighth of an inch: 16' 9 1/4".
export function lengthText(inches) {
    const eighths = Math.round(inches * 8),
        feet = Math.floor(eighths / 96),
        rest = eighths - feet * 96,
        whole = Math.floor(rest / 8);
    const part = ['', '1/8', '1/4', '3/8', '1/2', '5/8', '3/4', '7/8'][rest % 8];
    const small = whole || !part ? `${whole}${part ? ` ${part}` : ''}"` : `${part}"`;
    return feet ? `${feet}' ${small}` : small;
}

export const areaText = (sqft) => `${sqft.toFixed(1)} sq ft`;
export const pitchText = (rise) => `${Number(rise.toFixed(2))}/12`;

// { amount, unit } as the roof's quantities come.
export function quantityText({ amount, unit }) {
    if (unit === 'LF') return lengthText(amount * 12);
    return unit === 'SF' ? areaText(amount) : `${amount.toFixed(2)} squares`;
}

export const size = (bytes) =>
    bytes >= 1e9 ? `${(bytes / 1e9).toFixed(2)} GB` : bytes >= 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.ceil(bytes / 1e3)} kB`;

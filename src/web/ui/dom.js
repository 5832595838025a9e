// dom.js -- makes elements. Text goes in as text: nothing here, or anywhere in the page, parses markup.
//
// SPDX-License-Identifier: GPL-3.0-or-later

const SVG = 'http://www.w3.org/2000/svg';

function fill(element, props, kids) {
    for (const [name, value] of Object.entries(props ?? {})) {
        if (value === undefined || value === null || value === false) continue;
        if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
        else if (name === 'text') element.textContent = value;
        else if (name === 'data') Object.assign(element.dataset, value);
        else if (name === 'value' || name === 'checked' || name === 'disabled' || name === 'hidden')
            element[name] = value;
        else element.setAttribute(name, value === true ? '' : value);
    }
    for (const kid of kids.flat()) if (kid !== null && kid !== undefined && kid !== false) element.append(kid);
    return element;
}

// h('button', { class: 'quiet', onclick: f, text: 'Undo' }, kid, [kid, ...])
export const h = (tag, props, ...kids) => fill(document.createElement(tag), props, kids);
export const s = (tag, props, ...kids) => fill(document.createElementNS(SVG, tag), props, kids);

export const find = (id) => document.getElementById(id);

// Sets text only where it differs: the accessibility tree and the layout stay quiet.
export function say(element, text) {
    if (element.textContent !== text) element.textContent = text;
}

export const plural = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

// Is the user writing? Then single keys are letters, not commands.
export function writing(target) {
    return (
        target instanceof HTMLElement &&
        (target.isContentEditable ||
            (target instanceof HTMLInputElement && !['checkbox', 'radio', 'button', 'range'].includes(target.type)) ||
            target instanceof HTMLTextAreaElement ||
            target instanceof HTMLSelectElement)
    );
}

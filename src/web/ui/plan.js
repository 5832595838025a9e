// plan.js -- the plan of the property: palette and progress map at once.
//
// Every part is a button: with shots in the hand it places them, with an empty hand it shows its own. What a part
// lacks is told by a sign and a number, by hatching, and in words below the drawing and in its name for a screen
// reader.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { direction, draw } from './drawing.js';
import { h, plural, s, say } from './dom.js';
import { held } from './held.js';
import { recorded } from './recorded.js';
import { store } from './store.js';

const ORDER = ['front', 'right', 'rear', 'left'];

// The keys of a structure's parts: 1 to 4 its walls along the walk, 5 to 8 its slopes, 9 its roof, w the whole; 0 is
// the site.
export function keyOf(place) {
    switch (place.kind) {
        case 'site':
            return '0';
        case 'elevation':
            return String(1 + ORDER.indexOf(place.face));
        case 'slope':
            return String(5 + ORDER.indexOf(place.face));
        case 'roof':
            return '9';
        case 'whole':
            return 'w';
        default:
            return '';
    }
}

export function lines(place) {
    // of the check, at that place
    return store.info.check.groups.flatMap((group) => group.lines).filter((line) => line.place === place.id);
}

// What is required and not there, or there only in weak photos: of the check, or of a place.
export const lack = ({ missing, weak }) => missing + weak;
export const lackText = (of) =>
    [of.missing && `${of.missing} missing`, of.weak && `${of.weak} weak`].filter(Boolean).join(', ') || 'complete';

export function stateWords(place) {
    const parts = [place.shots ? plural(place.shots, 'photo') : 'no photo'];
    if (lack(place)) parts.push(lackText(place));
    if (place.advised) parts.push(`${place.advised} advised`);
    if (place.waived) parts.push(`${place.waived} waived`);
    if (!lack(place) && !place.advised && place.there) parts.push('nothing lacking');
    return parts.join(', ');
}

// Width along the front and depth of the structures whose whole roof was measured by them.
function footprints() {
    const known = {};
    for (const { where, given } of recorded.data?.roof.entries ?? []) {
        if (given.width && given.depth && store.info.structures.some(({ name }) => name === where))
            known[where] = [given.width.inches, given.depth.inches];
    }
    return known;
}

const stateOf = (place) =>
    lack(place)
        ? 'missing'
        : place.advised
          ? 'advised'
          : place.there || place.waived
            ? 'whole'
            : place.shots
              ? 'some'
              : 'none';
const SIGN = { missing: '▲', advised: '○', whole: '●', some: '', none: '' };
const tail = (place) =>
    lack(place) ? `▲${lack(place)}` : place.advised ? `○${place.advised}` : SIGN[stateOf(place)];

export class Plan {
    structure = 0; // whose parts the keys mean
    cameras = false;
    #shape = ''; // what the drawing was made of
    #parts = new Map(); // place id -> { element, texts }

    constructor(root, doors) {
        // doors: { press(place), says(): what pressing does, where that is not placing what is in hand }
        this.root = root;
        this.doors = doors;
        this.readout = h('p', { class: 'readout' });
        this.lists = h('div', { class: 'plates' });
        this.note = h('p', { class: 'plan-note' });
        this.root.append((this.drawing = h('div', { class: 'drawing' })), this.readout, this.lists, this.note);
        root.addEventListener('click', (event) => {
            const part = event.target.closest('[data-place]');
            if (part) this.doors.press(store.place(Number(part.dataset.place)));
        });
        root.addEventListener('keydown', (event) => {
            const part = event.target.closest('g[data-place]');
            if (part && (event.key === 'Enter' || event.key === ' ')) {
                event.preventDefault();
                event.stopPropagation();
                this.doors.press(store.place(Number(part.dataset.place)));
            }
        });
        for (const type of ['pointerover', 'focusin'])
            root.addEventListener(type, (event) => {
                const part = event.target.closest('[data-place]');
                if (part) this.#read(store.place(Number(part.dataset.place)));
            });
        root.addEventListener('pointerleave', () => this.#read(null));
    }

    // The place of the current structure that a key means.
    byKey(key) {
        return [...store.places.values()].find(
            (place) => keyOf(place) === key && (place.kind === 'site' || place.structure === this.structure),
        );
    }

    // The keys go to the next structure.
    turn(step = 1) {
        const all = store.info.structures;
        const at = all.findIndex(({ id }) => id === this.structure);
        this.structure = all[(at + step + all.length) % all.length].id;
        this.update();
        return all.find(({ id }) => id === this.structure);
    }

    update() {
        const { info } = store;
        if (!info.structures.some(({ id }) => id === this.structure)) this.structure = info.structures[0]?.id ?? 0;
        const places = [...store.places.values()];
        this.footprints = footprints();
        const shape = JSON.stringify([
            this.footprints,
            info.claim.front_azimuth_deg,
            places.map(({ id, label, face, kind }) => [id, label, face, kind]),
        ]);
        if (shape !== this.#shape) {
            this.#shape = shape;
            this.#draw(places);
        }
        for (const place of places) this.#fill(place);
        for (const plate of this.drawing.querySelectorAll('.name'))
            plate.classList.toggle('current', Number(plate.dataset.structure) === this.structure);
        this.#cameras();
        if (!this.root.matches(':hover')) this.#read(null);
    }

    #draw(places) {
        const { width, height, parts, outlines, lists, street } = draw(places, this.footprints);
        this.#parts.clear();
        const svg = s('svg', {
            viewBox: `0 0 ${width} ${height}`,
            class: 'sketch',
            role: 'group',
            'aria-label': 'The property seen from above, the street below',
        });
        svg.append(
            s(
                'defs',
                {},
                ...['missing', 'advised'].map((name) =>
                    s(
                        'pattern',
                        {
                            id: `hatch-${name}`,
                            width: name === 'missing' ? 6 : 9,
                            height: name === 'missing' ? 6 : 9,
                            patternUnits: 'userSpaceOnUse',
                            patternTransform: 'rotate(45)',
                        },
                        name === 'missing'
                            ? s('path', { d: 'M0 0V6', class: 'hatch-line' })
                            : s('circle', { cx: 4, cy: 4, r: 1.1, class: 'hatch-dot' }),
                    ),
                ),
            ),
        );
        svg.append(
            s(
                'g',
                { 'aria-hidden': 'true', class: 'ground' },
                s('path', { d: `M8 ${street}H${width - 8}`, class: 'street' }),
                s('text', { x: 14, y: street + 13, class: 'small', text: 'street' }),
                this.#north(width),
            ),
        );
        for (const outline of outlines) {
            const { x, y, w, d, wall } = outline;
            if (outline.kind === 'fence')
                svg.append(s('path', { class: 'fence', d: `M${x} ${y + d / 2}H${x + w}`, 'aria-hidden': 'true' }));
            for (const blank of outline.blank) svg.append(s('polygon', { class: 'blank', points: blank }));
            const name = s('text', {
                x: x + w / 2,
                y: y + d + wall + 13,
                class: 'name',
                data: { structure: outline.kind ? outline.name : '' },
                text: outline.name,
                'aria-hidden': 'true',
            });
            name.dataset.structure = store.info.structures.find((one) => one.name === outline.name)?.id;
            svg.append(name);
        }
        const shots = s('g', { class: 'cameras', 'aria-hidden': 'true' });
        for (const part of parts.sort((a, b) => Boolean(a.plate) - Boolean(b.plate))) svg.append(this.#part(part)); // plates lie on slopes
        svg.append(shots);
        this.house = outlines[0];
        this.size = { width, height };
        this.svg = svg;
        this.shotsLayer = shots;
        this.drawing.replaceChildren(svg);
        this.lists.replaceChildren(
            ...lists.map((place) => {
                const key = h('kbd'),
                    count = h('b', { class: 'number' }),
                    sign = h('span', { class: 'sign' });
                const name = place.kind === 'whole' ? `${place.structure_name}, all of it` : place.label;
                const spoken = h('span', { class: 'unseen' }),
                    hush = h(
                        'span',
                        { class: 'row', 'aria-hidden': 'true' },
                        key,
                        h('span', { text: name }),
                        count,
                        sign,
                    );
                const button = h('button', { type: 'button', class: 'plate', data: { place: place.id } }, spoken, hush);
                this.#parts.set(place.id, { element: button, key, count, sign, name: spoken, place });
                return button;
            }),
        );
    }

    #part(part) {
        const { place, at, shape, plate } = part;
        const [x, y] = at;
        const { narrow } = part,
            half = 32,
            high = 13;
        const g = s('g', { class: `part ${place.kind}`, role: 'button', tabindex: '0', data: { place: place.id } });
        if (shape)
            g.append(s('polygon', { class: 'shape', points: shape }), s('polygon', { class: 'hatch', points: shape }));
        if (plate)
            g.append(
                ...['shape', 'hatch'].map((layer) =>
                    s('rect', { class: layer, x: x - half, y: y - high, width: 2 * half, height: 2 * high }),
                ),
            );
        const hush = { 'aria-hidden': 'true' }; // the part's name says it in words
        const count = s('text', { ...hush, class: 'count', x: narrow ? x : x - 12, y: narrow ? y - 1 : y + 5 });
        const sign = s('text', { ...hush, class: 'sign', x: narrow ? x : x + 14, y: narrow ? y + 13 : y + 5 });
        const key = s('text', { ...hush, class: 'key', x: narrow ? x : x - 36, y: narrow ? y - 17 : y + 4 });
        if (plate) {
            key.setAttribute('x', x - half + 9);
            count.setAttribute('x', x - 3);
            sign.setAttribute('x', x + half - 14);
            for (const t of [key, count, sign]) t.setAttribute('y', y + 5);
        }
        const name = s('text', { class: 'spoken', x, y });
        g.append(key, count, sign, name);
        this.#parts.set(place.id, { element: g, key, count, sign, name, place });
        return g;
    }

    #north(width) {
        const front = store.info.claim.front_azimuth_deg;
        const g = s('g', { class: 'north', transform: `translate(${width - 40}, 42)` });
        if (front === undefined) return g;
        const { x, y } = direction(0, front);
        const turn = (Math.atan2(x, -y) * 180) / Math.PI;
        g.append(
            s(
                'g',
                { transform: `rotate(${turn})` },
                s('path', { d: 'M0 16V-14', class: 'needle' }),
                s('path', { d: 'M-5 -6L0 -18L5 -6Z', class: 'tip' }),
            ),
        );
        g.append(s('text', { x: x * 25, y: y * 25 + 4, text: 'N' }));
        return g;
    }

    #fill(place) {
        const part = this.#parts.get(place.id);
        if (!part) return;
        const state = stateOf(place),
            key = place.kind === 'site' || place.structure === this.structure ? keyOf(place) : '';
        part.element.dataset.state = state;
        say(part.count, String(place.shots));
        say(part.sign, tail(place));
        say(part.key, key);
        if (part.key.tagName === 'KBD') part.key.hidden = !key;
        say(part.name, `${place.title}: ${stateWords(place)}${key ? `. Key ${key}` : ''}`);
    }

    // One line in words: what is under the pointer lacks; else what pressing does.
    #read(place) {
        this.readout.classList.toggle('idle', !place);
        if (!place) {
            const n = held.numbers.size,
                says = this.doors.says();
            return say(
                this.readout,
                says ??
                    (n
                        ? `Press a part, or its key: ${plural(n, 'photo')} in hand will be placed there.`
                        : 'Take photos into the hand, then press where they belong. ▲ missing, ○ advised, ● nothing lacking.'),
            );
        }
        const lacking = lines(place).filter(({ state }) => ['missing', 'weak', 'advised'].includes(state));
        say(
            this.readout,
            `${place.title}: ${stateWords(place)}${lacking.length ? `. ${lacking.map((line) => `${line.state === 'advised' ? '○' : '▲'} ${line.label}: ${line.lacks ?? ''}`).join('; ')}` : ''}`,
        );
    }
    read() {
        if (!this.root.matches(':hover')) this.#read(null);
    }

    // Where the cameras stood and looked, as they reported it: laid over the schematic house by its estimated centre
    // and size.
    #cameras() {
        const layer = this.shotsLayer,
            front = store.info.claim.front_azimuth_deg ?? store.house?.front_azimuth_deg;
        const { house } = store;
        const shown = this.cameras ? store.list().filter((shot) => shot.east_m !== undefined) : [];
        let note = '';
        if (this.cameras && front === undefined) note = 'Camera positions need the front’s direction: see Claim.';
        else if (this.cameras && !shown.length) note = 'No photo tells where its camera stood.';
        else if (this.cameras)
            note =
                'Positions as the cameras reported them, often 5 m off and more; distances from the house are shortened.';
        else if (store.info.claim.front_azimuth_deg === undefined)
            note = 'North is not known: give the front’s direction under Claim.';
        else
            note = `${Object.keys(this.footprints).length ? `Proportions as measured of ${Object.keys(this.footprints).join(', ')}, else schematic.` : 'Schematic, not to scale.'} The front faces ${store.info.claim.front_compass ?? ''}, ${store.info.claim.front_azimuth_deg}°.`;
        say(this.note, note);
        if (!shown.length || front === undefined || !this.house) return void layer.replaceChildren();
        const { x: left, y: top, w, d, wall } = this.house;
        const mid = [left + w / 2, top + d / 2],
            scale = w / (house?.width_m ?? 14),
            centre = [house?.east_m ?? 0, house?.north_m ?? 0];
        // Over the roof to scale; outside, the walls are folded out and the sheet is small, so distances shrink more
        // the farther one stood.
        const spot = (east, north) => {
            const away = Math.hypot(east, north) * scale,
                to = direction((Math.atan2(east, north) * 180) / Math.PI, front);
            const until = (x, y) => Math.min(x / (Math.abs(to.x) || 1e-9), y / (Math.abs(to.y) || 1e-9)); // along the ray, to a box's side
            const roof = until(w / 2, d / 2),
                start = until(w / 2 + wall + 3, d / 2 + wall + 3);
            const edge = Math.min(
                until(to.x < 0 ? mid[0] - 8 : this.size.width - 8 - mid[0], Infinity),
                until(Infinity, to.y < 0 ? mid[1] - 8 : this.size.height - 8 - mid[1]),
            );
            const r = away <= roof ? away : start + (edge - start) * (1 - Math.exp((roof - away) / (10 * scale)));
            return [mid[0] + to.x * r, mid[1] + to.y * r];
        };
        // One path for all that are not in the hand, one for those that are: ten thousand cameras are still two
        // elements each of dots and views.
        const draw = { '': ['', ''], ' held': ['', ''] };
        const at = (x, y) => `${x.toFixed(1)} ${y.toFixed(1)}`;
        for (const shot of shown) {
            const [x, y] = spot(shot.east_m - centre[0], shot.north_m - centre[1]),
                of = draw[held.has(shot.number) ? ' held' : ''];
            of[0] += `M${at(x, y)}h0`;
            if (shot.heading_deg === undefined) continue;
            const d = direction(shot.heading_deg, front);
            of[1] += `M${at(x, y)}L${at(x + d.x * 13 - d.y * 4, y + d.y * 13 + d.x * 4)}L${at(x + d.x * 13 + d.y * 4, y + d.y * 13 - d.x * 4)}Z`;
        }
        layer.replaceChildren(
            ...Object.entries(draw).flatMap(([of, [dots, views]]) => [
                s('path', { class: `view${of}`, d: views }),
                s('path', { class: `spot${of}`, d: dots }),
            ]),
        );
    }
    // The place that a form is about. 0: none.
    choose(id) {
        for (const part of this.root.querySelectorAll('[data-place]')) {
            const chosen = Number(part.dataset.place) === id;
            part.classList.toggle('chosen', chosen);
            if (chosen) part.setAttribute('aria-current', 'true');
            else part.removeAttribute('aria-current');
        }
        const structure = store.place(id)?.structure;
        if (structure && structure !== this.structure) {
            this.structure = structure;
            this.update();
        }
    }
    showCameras(on) {
        this.cameras = on;
        this.#cameras();
    }
    recamera() {
        if (this.cameras) this.#cameras();
    }
}

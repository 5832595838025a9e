// sheet.js -- the contact sheet: shots in capture order, grouped by stop. Only what is in sight is in the page.
//
// The layout is arithmetic: rows of equal tiles, found by binary search from the scroll position; short stops share a
// row, each under its head. Tiles that scroll out are used again for those that come in, so ten thousand shots cost
// what fifty do.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { picture } from './api.js';
import { h, plural, say } from './dom.js';
import { held } from './held.js';
import { store } from './store.js';

const GAP = 12,
    HEAD = 26,
    WORDS = 46,
    EDGE = 14,
    AHEAD = 500;
export const SIZES = [104, 136, 172, 232, 320];
const DRAG = 6; // px before a press is a drag

const clock = (time) => time?.slice(11, 16) ?? '';
const percent = (share) => `${Math.floor(share * 100)} %`;

export class Sheet {
    order = []; // numbers as shown
    #at = new Map(); // number -> index in order
    #rows = []; // { y, top: y of its tiles, high, from, to, heads: [{ stop, from, to }] of the stops that begin in it }
    #tiles = new Map(); // number -> tile in the page
    #heads = new Map(); // index of a stop's first shot -> head in the page
    #spare = [];
    #cols = 1;
    #tile = 172;
    #pic = 129;
    #high = 0;
    #frame = 0;
    #lastTop = 0;
    #lateTimer = 0;
    #late = new Set();
    #loaded = new Set(); // previews seen once: they come from the cache, also while scrolling fast

    constructor(doors) {
        this.doors = doors; // { open(number), take(numbers), place(id, numbers) }
        this.inner = h('div', { class: 'sheet-in' });
        this.root = h(
            'div',
            {
                class: 'sheet',
                id: 'sheet',
                role: 'listbox',
                tabindex: '0',
                'aria-multiselectable': 'true',
                'aria-label': 'Photos in the order they were taken',
            },
            this.inner,
        );
        this.root.addEventListener('scroll', () => this.#soon(), { passive: true });
        this.root.addEventListener('keydown', (event) => this.key(event));
        this.root.addEventListener('pointerdown', (event) => this.#press(event));
        this.root.addEventListener('click', (event) => this.#click(event));
        this.root.addEventListener('dblclick', (event) => {
            const n = this.#hit(event.target);
            if (n) this.doors.open(n);
        });
        this.root.addEventListener('dragstart', (event) => event.preventDefault());
        new ResizeObserver(() => this.layout()).observe(this.root);
        held.on((changed) => {
            for (const number of changed) this.#refresh(number);
            this.#cursor();
        });
    }

    size(index) {
        this.#tile = SIZES[index];
        this.layout(true);
    }

    // The shots to show, in order, each with its stop.
    show(shots) {
        this.shots = shots;
        this.order = shots.map(({ number }) => number);
        this.#at = new Map(this.order.map((number, i) => [number, i]));
        this.stale = true; // also while it is hidden and has no width
        this.layout();
    }

    layout(force = false) {
        const width = this.root.clientWidth;
        if (!width || !this.shots) return;
        const cols = Math.max(2, Math.floor((width - 2 * EDGE + GAP) / (this.#tile + GAP)));
        const wide = Math.floor((width - 2 * EDGE + GAP) / cols) - GAP;
        if (!force && !this.stale && cols === this.#cols && wide === this.wide) return void this.#soon();
        this.stale = false;
        const keep = this.#topNumber();
        this.#cols = cols;
        this.wide = wide;
        this.#pic = Math.round(wide * 0.75);
        this.#high = this.#pic + WORDS;
        this.#rows = this.#pack(cols);
        const last = this.#rows.at(-1),
            y = last ? last.y + last.high : 0;
        this.inner.style.height = `${y + 40}px`;
        // A shot keeps its tile: what is under the pointer, and its picture, stay the same.
        for (const [number, tile] of this.#tiles) {
            if (this.#at.has(number)) this.#position(tile);
            else {
                this.#tiles.delete(number);
                this.#put(tile);
            }
        }
        for (const head of this.#heads.values()) head.remove();
        this.#heads.clear();
        if (keep && this.#at.has(keep.number)) this.root.scrollTop = this.#box(this.#at.get(keep.number)).y - keep.off;
        this.#paint();
        this.#cursor();
    }

    // Rows of `cols` tiles. A stop goes on in the row of the one before it where all of it fits; else it begins a row.
    #pack(cols) {
        const rows = [];
        let row = null,
            y = 6;
        const begin = (at) => {
            if (row) y += row.high;
            row = { y, top: y, high: this.#high + GAP, from: at, to: at, heads: [] };
            rows.push(row);
        };
        for (let i = 0; i < this.shots.length;) {
            const stop = this.shots[i].stop ?? 0;
            let end = i;
            while (end < this.shots.length && (this.shots[end].stop ?? 0) === stop) end++;
            if (!row || row.to - row.from + end - i > cols || !row.heads.length) begin(i);
            if (!row.heads.length) {
                row.top += HEAD;
                row.high += HEAD;
            }
            row.heads.push({ stop, from: i, to: end });
            for (let at = i; at < end;) {
                if (row.to - row.from === cols) begin(at);
                const next = Math.min(end, row.from + cols);
                row.to = next;
                at = next;
            }
            i = end;
        }
        return rows;
    }

    #topNumber() {
        if (!this.#rows.length || this.root.scrollTop < 10) return null;
        const row = this.#rows[this.#find(this.root.scrollTop)];
        const number = row && this.was?.[row.from];
        return number ? { number, off: row.y - this.root.scrollTop } : null;
    }

    // The first row that ends below y.
    #find(y) {
        let low = 0,
            high = this.#rows.length;
        while (low < high) {
            const mid = (low + high) >> 1;
            if (this.#rows[mid].y + this.#rows[mid].high < y) low = mid + 1;
            else high = mid;
        }
        return low;
    }

    #row(index) {
        // the row of the shot at that index
        let low = 0,
            high = this.#rows.length - 1;
        while (low < high) {
            const mid = (low + high + 1) >> 1;
            if (this.#rows[mid].from <= index) low = mid;
            else high = mid - 1;
        }
        return low;
    }

    #x(row, index) {
        return EDGE + (index - row.from) * (this.wide + GAP);
    }
    #box(index) {
        const row = this.#rows[this.#row(index)];
        return { x: this.#x(row, index), y: row.top, row };
    }

    #soon() {
        if (this.#frame) return;
        this.#frame = requestAnimationFrame(() => {
            this.#frame = 0;
            this.#paint();
        });
    }

    #paint() {
        const top = this.root.scrollTop,
            tall = this.root.clientHeight;
        const fast = Math.abs(top - this.#lastTop) > tall;
        this.#lastTop = top;
        const first = this.#find(top - AHEAD);
        const want = new Set(),
            heads = new Set();
        for (let i = first; i < this.#rows.length && this.#rows[i].y < top + tall + AHEAD; i++) {
            const row = this.#rows[i];
            for (const head of row.heads) {
                heads.add(head.from);
                if (!this.#heads.has(head.from)) this.#head(row, head);
            }
            for (let k = row.from; k < row.to; k++) want.add(this.order[k]);
        }
        for (const [number, tile] of this.#tiles)
            if (!want.has(number)) {
                this.#tiles.delete(number);
                this.#put(tile);
            }
        for (const [i, head] of this.#heads)
            if (!heads.has(i)) {
                head.remove();
                this.#heads.delete(i);
            }
        for (const number of want) if (!this.#tiles.has(number)) this.#bring(number, fast);
        this.was = this.order;
        if (this.#late.size) {
            clearTimeout(this.#lateTimer);
            this.#lateTimer = setTimeout(() => {
                for (const tile of this.#late) this.#source(tile);
                this.#late.clear();
            }, 90);
        }
    }

    #head(row, { stop, from, to }) {
        const first = clock(this.shots[from].taken),
            last = clock(this.shots[to - 1].taken),
            n = to - from;
        const time = first && last && first !== last ? `${first} to ${last}` : first;
        const head = h(
            'div',
            {
                class: 'stop',
                'aria-hidden': 'true',
                data: { from, to },
                title: 'Take the whole stop into the hand (s)',
            },
            h('span', { class: 'stop-name', text: stop ? `Stop ${stop}` : 'Time unknown' }),
            h('span', { class: 'number', text: time }),
            n > 1 ? h('span', { text: String(n) }) : null,
        );
        const tiles = Math.min(n, row.to - from);
        head.style.transform = `translate(${this.#x(row, from)}px, ${row.y}px)`;
        head.style.width = `${tiles * (this.wide + GAP) - GAP}px`;
        this.#heads.set(from, head);
        this.inner.append(head);
    }

    #put(tile) {
        // away
        tile.number = null;
        tile.root.hidden = true;
        tile.root.removeAttribute('id');
        tile.root.classList.remove('held', 'cursor');
        tile.root.setAttribute('aria-selected', 'false');
        this.#late.delete(tile);
        this.#spare.push(tile);
    }

    #make() {
        const tile = { number: null, src: '' };
        tile.img = h('img', { alt: '', decoding: 'async', draggable: 'false' });
        tile.num = h('span', { class: 'num' });
        tile.signs = h('span', { class: 'signs' });
        tile.open = h('span', { class: 'loupe', data: { act: 'open' }, title: 'Look closer (Enter)' });
        tile.where = h('span', { class: 'where' });
        tile.take = h('span', { class: 'take', data: { act: 'take' }, text: '✓', title: 'Take this suggestion (y)' });
        tile.what = h('span', { class: 'what', 'aria-hidden': 'true' }); // tile.name says it all, in order
        tile.name = h('span', { class: 'unseen' });
        tile.root = h(
            'div',
            { class: 'tile', role: 'option' },
            tile.name,
            h('div', { class: 'pic', 'aria-hidden': 'true' }, tile.img, tile.num, tile.signs, tile.open),
            h('div', { class: 'line', 'aria-hidden': 'true' }, tile.where, tile.take),
            tile.what,
        );
        tile.img.addEventListener('load', () => {
            this.#loaded.add(tile.src);
            tile.root.classList.remove('waiting');
        });
        tile.img.addEventListener('error', () => {
            if (tile.src) {
                tile.root.classList.remove('waiting');
                tile.root.classList.add('broken');
            }
        });
        this.inner.append(tile.root);
        return tile;
    }

    #bring(number, fast) {
        const tile = this.#spare.pop() ?? this.#make();
        tile.number = number;
        const shot = store.shot(number);
        this.#position(tile);
        tile.root.id = `shot-${number}`;
        tile.root.dataset.number = number;
        tile.want = picture(shot, 'preview');
        tile.root.classList.remove('broken');
        if (tile.want !== tile.src) {
            tile.root.classList.add('waiting');
            if (fast && !this.#loaded.has(tile.want)) {
                tile.img.removeAttribute('src');
                tile.src = '';
                this.#late.add(tile);
            } else this.#source(tile);
        }
        this.#tiles.set(number, tile);
        this.#write(tile);
        tile.root.hidden = false;
    }

    #position(tile) {
        const index = this.#at.get(tile.number),
            { x, y } = this.#box(index),
            { style } = tile.root;
        style.width = `${this.wide}px`;
        style.height = `${this.#high}px`;
        style.transform = `translate(${x}px, ${y}px)`;
        style.setProperty('--pic', `${this.#pic}px`);
        tile.root.setAttribute('aria-setsize', this.order.length);
        tile.root.setAttribute('aria-posinset', index + 1);
    }

    #source(tile) {
        tile.src = tile.want;
        tile.img.src = tile.want;
    }

    refresh(numbers) {
        for (const number of numbers) this.#refresh(number);
    }
    refreshAll() {
        for (const number of this.#tiles.keys()) this.#refresh(number);
    }
    #refresh(number) {
        const tile = this.#tiles.get(number);
        if (tile) this.#write(tile);
    }

    #write(tile) {
        const shot = store.shot(tile.number);
        if (!shot) return;
        const suggestion = store.suggestion(shot),
            subject = store.subject(shot.subject);
        const isHeld = held.has(shot.number);
        const where = shot.place
            ? store.placeTitle(shot.place)
            : suggestion
              ? `${store.place(suggestion.place)?.label ?? ''}? ${percent(suggestion.confidence)}`
              : 'no place yet';
        const what =
            shot.caption || [subject?.name, shot.value, subject ? '' : 'no subject yet'].filter(Boolean).join(' ');
        const signs = [
            shot.left_out && 'left out',
            shot.weak && '! weak',
            shot.marks?.length && `✎ ${shot.marks.length}`,
        ].filter(Boolean);
        const list = tile.root.classList;
        list.toggle('held', isHeld);
        list.toggle('out', Boolean(shot.left_out));
        list.toggle('believed', Boolean(!shot.place && suggestion));
        list.toggle('bare-place', !shot.place && !suggestion);
        list.toggle('cursor', held.cursor === shot.number);
        tile.root.setAttribute('aria-selected', isHeld);
        say(tile.num, String(shot.number));
        say(tile.where, where);
        say(tile.what, what);
        say(tile.signs, signs.join(' · '));
        tile.take.hidden = !suggestion;
        tile.root.title = [shot.caption_shown, suggestion?.reason, shot.weak, shot.remark, shot.doubt]
            .filter(Boolean)
            .join('\n');
        say(
            tile.name,
            [
                `Shot ${shot.number}`,
                shot.stop ? `stop ${shot.stop}` : '',
                shot.place ? where : suggestion ? `suggested: ${where}, ${suggestion.reason}` : where,
                what,
                shot.distance_shown,
                ...signs,
            ]
                .filter(Boolean)
                .join(', '),
        );
    }

    // --- the cursor ---

    #cursor() {
        const has = held.cursor !== null && this.#tiles.has(held.cursor);
        if (has) this.root.setAttribute('aria-activedescendant', `shot-${held.cursor}`);
        else this.root.removeAttribute('aria-activedescendant');
    }

    reveal(number) {
        const index = this.#at.get(number);
        if (index === undefined) return;
        const { row } = this.#box(index),
            top = this.root.scrollTop,
            tall = this.root.clientHeight;
        if (row.y < top + 4) this.root.scrollTop = row.y - 4;
        else if (row.y + row.high > top + tall) this.root.scrollTop = row.y + row.high - tall;
        this.#paint();
        this.#cursor();
    }

    // Take one shot into the hand and show it.
    go(number) {
        if (number === undefined || !this.#at.has(number)) return;
        held.take([number], { cursor: number, anchor: number });
        this.reveal(number);
    }

    indexOf(number) {
        return this.#at.get(number) ?? -1;
    }

    // The next shot after the cursor (and round) that passes.
    next(passes, from = held.cursor) {
        const start = this.indexOf(from);
        for (let i = 1; i <= this.order.length; i++) {
            const number = this.order[(start + i + this.order.length) % this.order.length];
            if (passes(store.shot(number))) return number;
        }
        return undefined;
    }

    stopOf(number) {
        const stop = store.shot(number)?.stop;
        return this.shots.filter((shot) => shot.stop === stop).map((shot) => shot.number);
    }

    #stretch(from, to) {
        const a = this.indexOf(from),
            b = this.indexOf(to);
        return a < 0 || b < 0 ? [to] : this.order.slice(Math.min(a, b), Math.max(a, b) + 1);
    }

    // Also called for keys that nothing on the page has taken.
    key(event) {
        if (event.altKey || !this.order.length) return;
        const at = this.indexOf(held.cursor),
            last = this.order.length - 1;
        const row = at < 0 ? null : this.#rows[this.#row(at)];
        const page = Math.max(1, Math.floor(this.root.clientHeight / (this.#high + GAP)));
        const updown = (steps) => {
            // into another row, at the same column as far as it goes
            if (at < 0) return 0;
            const there = this.#rows[Math.min(Math.max(this.#row(at) + steps, 0), this.#rows.length - 1)];
            return Math.min(there.to - 1, there.from + at - row.from);
        };
        let to;
        switch (event.key) {
            case 'ArrowRight':
                to = Math.min(last, at + 1);
                break;
            case 'ArrowLeft':
                to = Math.max(0, at - 1);
                break;
            case 'ArrowDown':
                to = updown(1);
                break;
            case 'ArrowUp':
                to = updown(-1);
                break;
            case 'PageDown':
                to = updown(page);
                break;
            case 'PageUp':
                to = updown(-page);
                break;
            case 'Home':
                to = 0;
                break;
            case 'End':
                to = last;
                break;
            case ' ':
                if (at >= 0) held.toggle(held.cursor);
                event.preventDefault();
                return;
            case 'Enter':
                if (at >= 0) this.doors.open(held.cursor);
                event.preventDefault();
                return;
            case 'a':
            case 'A':
                if (!event.ctrlKey && !event.metaKey) return;
                held.take(this.order, {});
                event.preventDefault();
                return;
            default:
                return;
        }
        event.preventDefault();
        const number = this.order[to];
        if (event.shiftKey) {
            const anchor = held.anchor ?? held.cursor ?? number;
            held.take(this.#stretch(anchor, number), { cursor: number, anchor });
        } else if (event.ctrlKey || event.metaKey) held.take(held.numbers, { cursor: number });
        else held.take([number], { cursor: number, anchor: number });
        this.reveal(number);
    }

    // --- the pointer ---

    #hit(target) {
        return Number(target.closest?.('.tile')?.dataset.number) || 0;
    }

    #click(event) {
        const act = event.target.closest('[data-act]')?.dataset.act,
            number = this.#hit(event.target);
        if (act === 'open') return void this.doors.open(number);
        if (act === 'take') return void this.doors.take([number]);
        if (this.dragged) {
            this.dragged = false;
            return;
        }
        const head = event.target.closest('.stop');
        if (head)
            return void held.take(this.order.slice(head.dataset.from, head.dataset.to), {
                cursor: this.order[head.dataset.from],
                anchor: this.order[head.dataset.from],
            });
        if (!number) return void (event.shiftKey || event.ctrlKey || held.drop());
        if (event.shiftKey) held.take(this.#stretch(held.anchor ?? number, number), { cursor: number });
        else if (event.ctrlKey || event.metaKey || this.finger) held.toggle(number);
        else held.take([number], { cursor: number, anchor: number });
    }

    // A press that moves: on a shot in the hand it carries the hand to the plan, anywhere else it draws a frame
    // around shots.
    #press(event) {
        this.dragged = false;
        this.finger = event.pointerType === 'touch';
        if (event.button !== 0 || event.pointerType === 'touch' || event.target.closest('[data-act]')) return;
        const box = this.root.getBoundingClientRect();
        if (event.clientX > box.left + this.root.clientWidth) return; // the scroll bar
        const start = { x: event.clientX, y: event.clientY };
        const from = { x: event.clientX - box.left, y: event.clientY - box.top + this.root.scrollTop };
        const number = this.#hit(event.target);
        const add = event.ctrlKey || event.metaKey || event.shiftKey;
        const before = add ? new Set(held.numbers) : new Set();
        const carries = number && held.has(number) && !add;
        let point = event,
            ghost = null,
            band = null,
            over = null,
            frame = 0;
        const drawBand = () => {
            frame = 0;
            const edge = point.clientY < box.top + 30 ? -1 : point.clientY > box.bottom - 30 ? 1 : 0;
            if (edge) {
                this.root.scrollTop += edge * 14;
                frame = requestAnimationFrame(drawBand);
            }
            const x = Math.min(Math.max(point.clientX - box.left, 0), this.root.clientWidth),
                y = point.clientY - box.top + this.root.scrollTop;
            const [l, r, t, b] = [Math.min(from.x, x), Math.max(from.x, x), Math.min(from.y, y), Math.max(from.y, y)];
            Object.assign(band.style, {
                transform: `translate(${l}px, ${t}px)`,
                width: `${r - l}px`,
                height: `${b - t}px`,
            });
            const numbers = new Set(before);
            for (let i = this.#find(t); i < this.#rows.length && this.#rows[i].top < b; i++) {
                const row = this.#rows[i];
                if (row.top + this.#high < t) continue;
                for (let k = row.from; k < row.to; k++)
                    if (this.#x(row, k) < r && this.#x(row, k) + this.wide > l) numbers.add(this.order[k]);
            }
            const last = [...numbers].at(-1);
            held.take(numbers, last ? { cursor: last, anchor: last } : {});
        };
        const move = (at) => {
            point = at;
            if (!ghost && !band) {
                if (Math.hypot(at.clientX - start.x, at.clientY - start.y) < DRAG) return;
                this.root.setPointerCapture?.(event.pointerId);
                if (carries) {
                    ghost = h('div', { class: 'carried', text: plural(held.numbers.size, 'photo') });
                    document.body.append(ghost);
                } else {
                    band = h('div', { class: 'band' });
                    this.inner.append(band);
                }
            }
            this.dragged = true;
            if (ghost) {
                ghost.style.transform = `translate(${at.clientX + 12}px, ${at.clientY + 8}px)`;
                const part = document.elementFromPoint(at.clientX, at.clientY)?.closest('[data-place]');
                if (part !== over) {
                    over?.classList.remove('over');
                    part?.classList.add('over');
                    over = part;
                }
            } else if (!frame) frame = requestAnimationFrame(drawBand);
        };
        const end = (at) => {
            this.root.removeEventListener('pointermove', move);
            this.root.removeEventListener('pointerup', end);
            this.root.removeEventListener('pointercancel', end);
            cancelAnimationFrame(frame);
            if (band && at.type === 'pointerup') drawBand();
            cancelAnimationFrame(frame);
            ghost?.remove();
            band?.remove();
            over?.classList.remove('over');
            if (ghost && over && at.type === 'pointerup') this.doors.place(Number(over.dataset.place), held.list());
            this.root.focus({ preventScroll: true });
        };
        this.root.addEventListener('pointermove', move);
        this.root.addEventListener('pointerup', end);
        this.root.addEventListener('pointercancel', end);
    }
}

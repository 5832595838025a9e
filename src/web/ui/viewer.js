// viewer.js -- one shot at a time: zoom and pan down to the original's own pixels, marks over it, and all that is
// said of it.
//
// The paper (picture and marks) is laid out at the size that fits and moved by one transform. The 1600 px picture
// stands in until the zoom asks for more than it has; then the original is laid over it. The neighbours' pictures are
// fetched beforehand.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { picture } from './api.js';
import { sentence } from './ask.js';
import { h, s, say } from './dom.js';
import { Hand } from './hand.js';
import { held } from './held.js';
import { TOOLS, describe, drawMark, thin, toolOf } from './marks.js';
import { store } from './store.js';

const MOST = 2; // screen pixels of one picture pixel, at most
const SCREEN_PX = 1600;
const STEP = 0.01,
    FINE = 0.002;
const clamp = (v, low, high) => Math.min(Math.max(v, low), high);

export class Viewer {
    number = null;
    drawing = false;
    tool = null; // kind, or null: the pointer takes hold of marks and moves the paper
    mark = null; // the number of the mark that is held
    #ahead = new Map(); // pictures fetched beforehand, kept so that they stay decoded
    #fit = 1;
    #k = 1;
    #x = 0;
    #y = 0; // the paper's scale and place; k is relative to the fit
    #pointers = new Map();
    #draft = null; // a mark being drawn or moved

    constructor(doors) {
        // doors: Hand's, and order(): numbers as the sheet shows them
        this.doors = doors;
        this.screen = h('img', { class: 'screen', alt: '', draggable: 'false' });
        this.full = h('img', { class: 'full', alt: '', draggable: 'false' });
        this.over = s('svg', { class: 'marks' });
        this.paper = h('div', { class: 'paper' }, this.screen, this.full, this.over);
        this.stage = h('div', { class: 'stage', tabindex: '0', role: 'group', 'data-first': '' }, this.paper);
        this.failed = h('p', { class: 'stage-note', hidden: true, text: 'This picture can’t be read.' });
        this.title = h('h2', { class: 'viewer-title' });
        this.zoomText = h('span', { class: 'number soft zoom' });
        const button = (text, key, run, props = {}) =>
            h('button', { type: 'button', onclick: run, ...props }, text, key ? h('kbd', { text: key }) : null);
        this.drawButton = button('Draw', 'd', () => this.draw(), { 'aria-pressed': 'false' });
        this.tools = h(
            'div',
            { class: 'marks-tools', role: 'group', 'aria-label': 'Marks', hidden: true },
            ...TOOLS.map((tool, i) =>
                button(tool.name, String(i + 1), () => this.pick(tool.kind), {
                    data: { kind: tool.kind },
                    'aria-pressed': 'false',
                }),
            ),
        );
        this.hint = h('p', { class: 'marks-hint', role: 'status' });
        this.list = h('ul', { class: 'marks-list' });
        this.caution = h('div', { class: 'caution' });
        this.panel = h('div', { class: 'viewer-hand' });
        this.root = h(
            'dialog',
            { class: 'viewer', id: 'viewer', 'aria-label': 'One photo' },
            h(
                'div',
                { class: 'viewer-bar' },
                button('Back', 'Esc', () => this.close()),
                button('Previous', '←', () => this.step(-1)),
                button('Next', '→', () => this.step(1)),
                this.title,
                this.zoomText,
                button('Smaller', '-', () => this.zoom(1 / 1.5)),
                button('Larger', '+', () => this.zoom(1.5)),
                button('Pixels', 'z', () => this.pixels()),
                this.drawButton,
            ),
            h(
                'div',
                { class: 'viewer-body' },
                h('div', { class: 'viewer-stage' }, this.stage, this.failed, this.tools, this.hint),
                h(
                    'div',
                    { class: 'viewer-side' },
                    this.panel,
                    h('section', { class: 'marks-box', 'aria-label': 'Marks of this photo' }, this.list, this.caution),
                ),
            ),
        );
        this.hand = new Hand(this.panel, { ...doors, back: () => this.stage.focus() });
        document.body.append(this.root);
        this.root.addEventListener('close', () => this.#closed());
        this.root.addEventListener('cancel', (event) => {
            event.preventDefault();
            this.escape();
        });
        this.screen.addEventListener('load', () => {
            this.failed.hidden = true;
        });
        this.screen.addEventListener('error', () => {
            if (this.number) this.failed.hidden = false;
        });
        this.stage.addEventListener('wheel', (event) => this.#wheel(event), { passive: false });
        this.stage.addEventListener('pointerdown', (event) => this.#down(event));
        this.stage.addEventListener('pointermove', (event) => this.#move(event));
        for (const type of ['pointerup', 'pointercancel'])
            this.stage.addEventListener(type, (event) => this.#up(event));
        this.stage.addEventListener('dblclick', (event) => {
            if (!this.drawing) this.pixels(event);
        });
        this.stage.addEventListener('keydown', (event) => this.#key(event));
        new ResizeObserver(() => {
            if (this.root.open) this.#layout();
        }).observe(this.stage);
    }

    open(number) {
        if (!store.shot(number)) return;
        if (!this.root.open) {
            this.root.showModal();
            this.stage.focus();
        }
        this.#show(number);
    }
    close() {
        this.root.close();
    }
    #closed() {
        const told = this.root.querySelector('#told');
        if (told) document.body.append(told);
        const last = this.number;
        this.draw(false);
        this.number = null;
        this.#ahead.clear();
        this.full.removeAttribute('src');
        this.doors.closed(last);
    }
    // Esc lets go of one thing at a time: a tool, a mark, drawing, the viewer.
    escape() {
        if (this.#draft) {
            this.#draft = null;
            this.#drawMarks();
        } else if (this.tool) this.pick(null);
        else if (this.mark) {
            this.mark = null;
            this.#drawMarks();
            this.stage.focus();
        } else if (this.drawing) this.draw(false);
        else this.close();
    }

    step(by) {
        const order = this.doors.order(),
            at = order.indexOf(this.number);
        const next = order[at + by];
        if (next !== undefined) this.#show(next);
    }

    #show(number) {
        this.number = number;
        this.mark = null;
        this.#draft = null;
        this.shot = store.shot(number);
        held.take([number], { cursor: number, anchor: number });
        const ready = this.#ahead.get(number);
        this.screen.src = ready?.src ?? picture(this.shot, 'screen');
        this.full.hidden = true;
        this.full.removeAttribute('src');
        this.#k = 1;
        this.#x = 0;
        this.#y = 0;
        this.#layout();
        this.update();
        const order = this.doors.order(),
            at = order.indexOf(number);
        const near = [1, 2, -1].map((by) => order[at + by]).filter((one) => one !== undefined);
        for (const one of this.#ahead.keys()) if (one !== number && !near.includes(one)) this.#ahead.delete(one);
        for (const one of near) {
            if (this.#ahead.has(one)) continue;
            const image = new Image();
            image.src = picture(store.shot(one), 'screen');
            image.decode().catch(() => {});
            this.#ahead.set(one, image);
        }
    }

    // Something changed: the words, the marks.
    update() {
        if (!this.root.open || this.number === null) return;
        const shot = store.shot(this.number);
        if (!shot) {
            this.close();
            return;
        }
        this.shot = shot;
        const order = this.doors.order();
        say(this.title, `Shot ${shot.number}, ${order.indexOf(shot.number) + 1} of ${order.length}`);
        this.stage.setAttribute('aria-label', `Shot ${shot.number}: ${shot.caption_shown || shot.file}`);
        this.hand.update();
        if (!this.#draft) this.#drawMarks();
    }

    // --- zoom and pan ---

    #layout() {
        if (!this.shot) return;
        const { clientWidth: w, clientHeight: high } = this.stage;
        this.#fit = Math.min(w / this.shot.width, high / this.shot.height);
        this.w = this.shot.width * this.#fit;
        this.h = this.shot.height * this.#fit;
        this.paper.style.width = `${this.w}px`;
        this.paper.style.height = `${this.h}px`;
        this.over.setAttribute('viewBox', `0 0 ${this.shot.width} ${this.shot.height}`);
        this.#place();
    }
    #place() {
        const { clientWidth: w, clientHeight: high } = this.stage;
        this.#k = clamp(this.#k, Math.min(1, MOST / this.#fit), Math.max(1, MOST / this.#fit));
        const slackX = Math.max(0, (this.w * this.#k - w) / 2),
            slackY = Math.max(0, (this.h * this.#k - high) / 2);
        this.#x = clamp(this.#x, -slackX, slackX);
        this.#y = clamp(this.#y, -slackY, slackY);
        const left = (w - this.w * this.#k) / 2 + this.#x,
            top = (high - this.h * this.#k) / 2 + this.#y;
        this.paper.style.transform = `translate(${left}px, ${top}px) scale(${this.#k})`;
        this.paper.style.setProperty('--k', this.#k);
        say(this.zoomText, `${Math.round(this.#fit * this.#k * 100)} %`);
        const wanted = Math.max(this.w, this.h) * this.#k * devicePixelRatio;
        if (wanted > SCREEN_PX * 1.1 && Math.max(this.shot.width, this.shot.height) > SCREEN_PX && !this.full.src)
            this.#original();
    }
    async #original() {
        const number = this.number;
        this.full.src = picture(this.shot, 'original');
        await this.full.decode().catch(() => {});
        if (this.number === number && this.full.naturalWidth) this.full.hidden = false;
    }
    // Zoom about a point of the stage (its middle by default).
    zoom(by, event) {
        const box = this.stage.getBoundingClientRect();
        const px = event ? event.clientX - box.left - box.width / 2 : 0,
            py = event ? event.clientY - box.top - box.height / 2 : 0;
        const before = this.#k;
        this.#k = clamp(this.#k * by, Math.min(1, MOST / this.#fit), Math.max(1, MOST / this.#fit));
        const real = this.#k / before;
        this.#x = px - (px - this.#x) * real;
        this.#y = py - (py - this.#y) * real;
        this.#place();
    }
    pixels(event) {
        // the picture's own pixels, and back
        if (this.#k > 1.01) {
            this.#k = 1;
            this.#x = 0;
            this.#y = 0;
            this.#place();
        } else this.zoom(1 / this.#fit / devicePixelRatio, event);
    }
    #wheel(event) {
        event.preventDefault();
        this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.06 : 0.002)), event);
    }

    // --- drawing ---

    draw(on = !this.drawing) {
        this.drawing = on;
        this.tools.hidden = !on;
        this.drawButton.setAttribute('aria-pressed', on);
        if (!on) {
            this.mark = null;
            this.#draft = null;
        }
        this.pick(null);
    }
    pick(kind) {
        this.tool = kind;
        this.#draft = null;
        if (kind) this.mark = null;
        for (const button of this.tools.children) button.setAttribute('aria-pressed', button.dataset.kind === kind);
        this.stage.classList.toggle('draws', Boolean(kind));
        this.#drawMarks();
        if (kind && this.root.open) this.stage.focus();
    }
    byDigit(digit) {
        const tool = TOOLS[digit - 1];
        if (tool) this.pick(tool.kind);
    }

    #hintText() {
        if (!this.drawing) return '';
        if (this.mark) return 'Drag it or its ends; or Tab to an end and use the arrow keys. Delete takes it away.';
        switch (this.tool) {
            case null:
                return 'Choose a mark (1 to 7), or press one that is there.';
            case 'chalk':
                return 'Draw with the pointer held down.';
            case 'text':
                return 'Press where the words shall begin, or Enter for the middle.';
            case 'angle':
                return 'Draw along the level line to the corner, then press the end of the sloped one; or Enter.';
            default:
                return 'Draw from one end to the other; or Enter to lay it in the middle and move its ends with the arrow keys.';
        }
    }

    #drawMarks() {
        if (!this.shot) return;
        const { width, height } = this.shot;
        const marks = this.shot.marks ?? [];
        if (this.mark && !marks.some(({ mark }) => mark === this.mark)) this.mark = null;
        const focus = document.activeElement?.dataset?.point;
        const shown = marks.map((mark) =>
            this.#draft?.mark === mark.mark
                ? { ...mark, ...this.#draft, measured_in: undefined, angle_deg: undefined }
                : mark,
        );
        if (this.#draft && !this.#draft.mark) shown.push(this.#draft);
        const nodes = shown.map((mark) => {
            const g = drawMark(mark, width, height);
            if (mark.mark && mark.mark === this.mark) g.classList.add('chosen');
            return g;
        });
        const chosen = shown.find((mark) => mark.mark && mark.mark === this.mark);
        if (chosen && this.drawing) nodes.push(...this.#handles(chosen));
        this.over.replaceChildren(...nodes);
        if (focus !== undefined) this.over.querySelector(`[data-point="${focus}"]`)?.focus();
        say(this.hint, this.#hintText());
        this.#tellMarks(marks);
    }

    #handles(mark) {
        const { width, height } = this.shot,
            r = 11 / (this.#fit * this.#k);
        const names = toolOf(mark.kind).points;
        return names.map((name, i) =>
            s('circle', {
                class: 'handle',
                cx: mark.points[i][0] * width,
                cy: mark.points[i][1] * height,
                r,
                tabindex: '0',
                role: 'button',
                data: { point: i },
                'aria-label': `${toolOf(mark.kind).name}, ${name}: the arrow keys move it`,
            }),
        );
    }

    #tellMarks(marks) {
        const cautions = new Set(marks.map((mark) => mark.caution).filter(Boolean));
        if (marks.some(({ kind, measured_in: known }) => kind === 'line' && known === undefined))
            cautions.add('A measured line needs a known length in the same picture: draw one, and say how long it is.');
        this.caution.replaceChildren(...[...cautions].map((text) => h('p', { text })));
        const rows = marks.map((mark) =>
            h(
                'li',
                {},
                h('button', {
                    type: 'button',
                    class: 'bare',
                    'aria-pressed': mark.mark === this.mark,
                    text: describe(mark),
                    onclick: () => this.hold(mark.mark),
                }),
                toolOf(mark.kind)?.asks
                    ? h('button', {
                          type: 'button',
                          class: 'bare',
                          text: 'Words',
                          'aria-label': `Write ${describe(mark)} anew`,
                          onclick: () => this.rewrite(mark),
                      })
                    : null,
                h('button', {
                    type: 'button',
                    class: 'bare',
                    text: 'Take away',
                    'aria-label': `Take away ${describe(mark)}`,
                    onclick: () => this.#drop(mark),
                }),
            ),
        );
        this.list.replaceChildren(...rows);
    }

    hold(number) {
        if (!this.drawing) this.draw(true);
        this.pick(null);
        this.mark = number;
        this.#drawMarks();
        (this.over.querySelector('.handle') ?? this.stage).focus();
    }

    #at(event) {
        // in shares of the picture
        const box = this.paper.getBoundingClientRect();
        return [
            clamp((event.clientX - box.left) / box.width, 0, 1),
            clamp((event.clientY - box.top) / box.height, 0, 1),
        ];
    }

    #down(event) {
        if (event.button > 0) return;
        this.#pointers.set(event.pointerId, event);
        this.stage.setPointerCapture(event.pointerId);
        if (this.#pointers.size === 2) {
            this.#draft = null;
            this.grip = this.#pinch();
            this.#drawMarks();
            return;
        }
        const at = this.#at(event);
        this.start = { event, at, x: this.#x, y: this.#y };
        if (!this.drawing) return;
        if (this.tool) {
            if (this.tool === 'angle' && this.#draft?.points.length === 2) {
                this.#draft.points.push(at);
                this.start.last = true;
            } else {
                this.#draft = {
                    kind: this.tool,
                    points: this.tool === 'text' ? [at] : this.tool === 'chalk' ? [at] : [at, at],
                    text: this.tool === 'text' ? '…' : undefined,
                };
            }
            this.#drawMarks();
            return;
        }
        const handle = event.target.closest?.('.handle'),
            g = event.target.closest?.('[data-mark]');
        const mark = this.shot.marks?.find((one) => one.mark === (handle ? this.mark : Number(g?.dataset.mark)));
        if (mark) {
            this.mark = mark.mark;
            this.moving = { mark, point: handle ? Number(handle.dataset.point) : null };
        } else this.mark = null;
        this.#drawMarks();
    }

    #pinch() {
        const [a, b] = [...this.#pointers.values()];
        return {
            clientX: (a.clientX + b.clientX) / 2,
            clientY: (a.clientY + b.clientY) / 2,
            far: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY),
        };
    }

    #move(event) {
        if (!this.#pointers.has(event.pointerId)) return;
        this.#pointers.set(event.pointerId, event);
        if (this.#pointers.size === 2) {
            const now = this.#pinch();
            this.#x += now.clientX - this.grip.clientX;
            this.#y += now.clientY - this.grip.clientY;
            this.zoom(now.far / this.grip.far, now);
            this.grip = now;
            return;
        }
        if (!this.start) return;
        const at = this.#at(event);
        if (this.moving) {
            const [dx, dy] = [at[0] - this.start.at[0], at[1] - this.start.at[1]];
            this.#draft = { ...this.moving.mark, points: this.#shifted(this.moving.mark, this.moving.point, dx, dy) };
            this.#drawMarks();
        } else if (this.#draft && this.tool) {
            if (this.tool === 'chalk') {
                for (const one of event.getCoalescedEvents?.() ?? [event]) this.#draft.points.push(this.#at(one));
            } else this.#draft.points[this.#draft.points.length - 1] = at;
            this.#drawMarks();
        } else {
            this.#x = this.start.x + event.clientX - this.start.event.clientX;
            this.#y = this.start.y + event.clientY - this.start.event.clientY;
            this.#place();
        }
    }

    #shifted(mark, point, dx, dy) {
        const move = ([x, y]) => [clamp(x + dx, 0, 1), clamp(y + dy, 0, 1)];
        return mark.points.map((one, i) => (point === null || point === i ? move(one) : one));
    }

    #up(event) {
        const started = this.start,
            one = this.#pointers.size === 1;
        this.#pointers.delete(event.pointerId);
        if (!started || !one) {
            if (!this.#pointers.size) this.start = null;
            return;
        }
        this.start = null;
        const draft = this.#draft,
            far = Math.hypot(event.clientX - started.event.clientX, event.clientY - started.event.clientY);
        if (event.type === 'pointercancel') {
            this.#draft = null;
            this.moving = null;
            this.#drawMarks();
            return;
        }
        if (this.moving) {
            const { mark } = this.moving;
            this.moving = null;
            if (draft) this.#change(mark, draft.points);
            else this.#drawMarks();
        } else if (draft && this.tool) {
            if (this.tool === 'angle' && !started.last) {
                if (far < 8) this.#draft = null;
                this.#drawMarks();
                return;
            } // its third point comes next
            if (far < 8 && !['text', 'angle'].includes(this.tool)) {
                this.#draft = null;
                this.#drawMarks();
                return;
            }
            this.#add(draft);
        }
    }

    async #add(draft) {
        const tool = toolOf(draft.kind),
            { number } = this;
        const body = {
            shot: number,
            kind: draft.kind,
            points: draft.kind === 'chalk' ? thin(draft.points, 0.0008).slice(0, 2000) : draft.points,
        };
        this.#draft = draft;
        if (tool.asks) {
            const text = await sentence(tool.asks.title, tool.asks);
            if (!text) {
                this.#draft = null;
                this.#drawMarks();
                return;
            }
            body[draft.kind === 'scale' ? 'length' : 'text'] = text;
            draft[draft.kind === 'scale' ? 'length' : 'text'] = text;
            this.#drawMarks();
        }
        const answer = await store.send('/api/mark', body, { quiet: true }); // it is there to be seen
        if (answer) await store.caughtUp(answer.version);
        if (this.number !== number) return;
        this.#draft = null;
        if (answer?.mark) this.mark = answer.mark;
        this.pick(null);
        (this.over.querySelector('.handle') ?? this.stage).focus();
    }

    // The mark as it stands when all of our own earlier changes have arrived, for `was`.
    async #was(mark) {
        const { shot } = this;
        await store.caught();
        const { kind, points, text, length } =
            store.shot(shot.number)?.marks?.find((one) => one.mark === mark.mark) ?? mark;
        return { kind, points, text, length };
    }

    async #change(mark, points) {
        const draft = { ...mark, points };
        this.#draft = draft;
        const answer = await store.during(
            this.#was(mark).then((was) => store.send('/api/mark', { mark: mark.mark, points, was }, { quiet: true })),
        );
        if (answer) await store.caughtUp(answer.version);
        if (this.#draft !== draft) return; // moved on meanwhile
        this.#draft = null;
        this.#drawMarks();
    }
    async rewrite(mark) {
        const { asks } = toolOf(mark.kind);
        const text = await sentence(asks.title, {
            ...asks,
            value: (mark.kind === 'scale' ? mark.length : mark.text) ?? '',
        });
        if (text)
            await store.during(
                this.#was(mark).then((was) =>
                    store.send('/api/mark', {
                        mark: mark.mark,
                        [mark.kind === 'scale' ? 'length' : 'text']: text,
                        was,
                    }),
                ),
            );
    }
    async #drop(mark) {
        this.mark = null;
        this.#draft = null;
        await store.during(
            this.#was(mark).then((was) => store.send('/api/mark', { mark: mark.mark, drop: true, was })),
        );
    }
    dropHeld() {
        const mark = this.shot.marks?.find((one) => one.mark === this.mark);
        if (mark) {
            this.#drop(mark);
            this.stage.focus();
        }
    }

    #key(event) {
        const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        if (step && this.mark) {
            // a mark, or one of its ends
            const mark = this.shot.marks?.find((one) => one.mark === this.mark);
            if (!mark) return;
            const point = event.target.dataset.point,
                by = event.shiftKey ? FINE : STEP;
            const now = this.#draft?.mark === mark.mark ? { ...mark, points: this.#draft.points } : mark;
            this.#draft = {
                ...mark,
                points: this.#shifted(now, point === undefined ? null : Number(point), step[0] * by, step[1] * by),
            };
            this.#drawMarks();
            // Steps in a row are one change: it is sent when the key has been let go.
            if (!this.steps) {
                this.steps = true;
                this.stage.addEventListener(
                    'keyup',
                    () => {
                        this.steps = false;
                        if (this.#draft) this.#change(mark, this.#draft.points);
                    },
                    { once: true },
                );
            }
        } else if (step && this.#k > 1.01) {
            this.#x -= step[0] * 80;
            this.#y -= step[1] * 80;
            this.#place();
        } else if (step && step[0]) this.step(step[0]);
        else if (event.key === 'Enter' && this.tool && this.tool !== 'chalk') {
            const middle = {
                text: [[0.5, 0.5]],
                angle: [
                    [0.65, 0.55],
                    [0.4, 0.55],
                    [0.6, 0.45],
                ],
            }[this.tool] ?? [
                [0.4, 0.5],
                [0.6, 0.5],
            ];
            if (this.tool === 'ellipse') {
                middle[0][1] = 0.42;
                middle[1][1] = 0.58;
            }
            this.#add({ kind: this.tool, points: middle });
        } else if ((event.key === 'Delete' || event.key === 'Backspace') && this.mark) this.dropHeld();
        else return;
        event.preventDefault();
        event.stopPropagation();
    }
}

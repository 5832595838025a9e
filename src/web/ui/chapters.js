// chapters.js -- the order of the report, one chapter (one place) at a time: shots are dragged, captions written in
// place.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { picture } from './api.js';
import { h, say } from './dom.js';
import { store } from './store.js';

export class Chapters {
    name = 'Order';
    place = 0;
    #wish = null; // the order just wished for, until the claim has it

    constructor(doors) {
        this.doors = doors;
    }

    mount(root) {
        this.root = root;
        this.list = h('ol', { class: 'chapter-list' });
        this.title = h('h3', {});
        this.about = h('p', { class: 'soft' });
        this.cards = h('ol', { class: 'cards' });
        this.byTime = h('button', {
            type: 'button',
            text: 'Order by time',
            onclick: () => this.#order(this.#numbers(), { by_time: true }),
        });
        root.append(
            h(
                'div',
                { class: 'chapters' },
                h('nav', { 'aria-label': 'Chapters' }, this.list),
                h(
                    'section',
                    { 'aria-label': 'Photos of the chapter' },
                    h('div', { class: 'row chapter-head' }, this.title, this.byTime),
                    this.about,
                    this.cards,
                ),
            ),
        );
        this.cards.addEventListener('pointerdown', (event) => this.#press(event));
        this.cards.addEventListener('dragstart', (event) => event.preventDefault());
        this.update();
    }

    open(place) {
        this.place = place;
        this.update();
    }
    #numbers() {
        return this.#wish ?? store.chapter(this.place).map(({ number }) => number);
    }

    update() {
        if (!this.root?.isConnected) return;
        const places = [...store.places.values()].filter((place) => place.shots > 0);
        if (!places.some(({ id }) => id === this.place)) this.place = places[0]?.id ?? 0;
        const focused = document.activeElement?.closest('.chapter-list') ? document.activeElement.dataset.place : null;
        this.list.replaceChildren(
            ...places.map((place) =>
                h(
                    'li',
                    {},
                    h(
                        'button',
                        {
                            type: 'button',
                            class: 'bare',
                            'aria-current': place.id === this.place ? 'true' : false,
                            data: { place: place.id },
                            onclick: () => this.open(place.id),
                        },
                        h('span', { text: place.title }),
                        h('span', { class: 'number', text: String(place.shots) }),
                    ),
                ),
            ),
        );
        if (focused) this.list.querySelector(`[data-place="${focused}"]`)?.focus();
        say(this.title, this.place ? store.placeTitle(this.place) : 'No chapter yet');
        say(
            this.about,
            this.place
                ? 'Drag a photo by its picture, or press the arrow keys on its handle. Without your order: overview, mid-range, close-up, then by time.'
                : 'A chapter begins when a photo has a place.',
        );
        this.byTime.hidden = !this.place;
        this.#fill();
    }

    #fill() {
        const numbers = this.#numbers(),
            busy = document.activeElement;
        const old = new Map([...this.cards.children].map((card) => [Number(card.dataset.number), card]));
        const cards = numbers.map((number) => old.get(number) ?? this.#card(number));
        for (const [number, card] of old) if (!numbers.includes(number)) card.remove();
        this.laying = true; // a card that is moved while its caption is written loses the focus for a moment
        cards.forEach((card, i) => {
            if (this.cards.children[i] !== card) this.cards.insertBefore(card, this.cards.children[i] ?? null);
        });
        if (busy?.isConnected && busy !== document.activeElement) busy.focus();
        this.laying = false;
        numbers.forEach((number, i) => {
            const card = cards[i],
                shot = store.shot(number),
                text = card.querySelector('textarea');
            say(card.querySelector('.place-in'), String(i + 1));
            card.classList.toggle('out', Boolean(shot.left_out));
            say(
                card.querySelector('.meta'),
                [`shot ${number}`, shot.distance_shown, shot.left_out && 'left out'].filter(Boolean).join(' · '),
            );
            text.placeholder = shot.caption_shown;
            if (document.activeElement !== text && text !== busy) text.value = shot.caption ?? '';
            card.querySelector('.handle').setAttribute(
                'aria-label',
                `Move shot ${number}, ${i + 1} of ${numbers.length}: arrow keys`,
            );
        });
    }

    #card(number) {
        const shot = store.shot(number);
        const text = h('textarea', { rows: 2, 'aria-label': `Caption of shot ${number}` });
        let seen;
        text.addEventListener('focus', () => {
            if (this.laying) return;
            seen = store.look([number]);
            text.began = text.value;
        });
        text.addEventListener('blur', () => {
            if (!this.laying && text.value !== text.began)
                store.tag([number], { caption: text.value.trim() || null }, seen);
        });
        text.addEventListener('keydown', (event) => {
            if (event.key === 'Enter' && !event.shiftKey) {
                event.preventDefault();
                text.blur();
                card.nextElementSibling?.querySelector('textarea').focus();
            }
            if (event.key === 'Escape') {
                event.stopPropagation();
                text.value = text.began;
                text.blur();
            }
        });
        const handle = h(
            'button',
            { type: 'button', class: 'handle', onkeydown: (event) => this.#nudge(event, number) },
            '⠿',
        );
        const img = h('img', {
            src: picture(shot, 'preview'),
            alt: '',
            loading: 'lazy',
            decoding: 'async',
            draggable: 'false',
        });
        const card = h(
            'li',
            { class: 'card', data: { number } },
            h('div', { class: 'card-pic' }, img, h('span', { class: 'place-in number' })),
            h(
                'div',
                { class: 'card-words' },
                h(
                    'div',
                    { class: 'row' },
                    handle,
                    h('span', { class: 'meta soft' }),
                    h('button', {
                        type: 'button',
                        class: 'bare look',
                        text: 'Look',
                        'aria-label': `Look at shot ${number}`,
                        onclick: () => this.doors.open(number, this.#numbers()),
                    }),
                ),
                text,
            ),
        );
        return card;
    }

    async #order(numbers, where) {
        this.laid = (this.laid ?? 0) + 1;
        const { place } = this;
        const answer = await store.during(
            store.caught().then(() =>
                store.move(
                    numbers,
                    where,
                    store.chapter(place).map(({ number }) => number),
                ),
            ),
        ); // after an order just laid
        if (answer) await store.caughtUp(answer.version);
        if (--this.laid === 0) this.#wish = null;
        this.update();
    }

    // Lay one shot at an index of the chapter (counted without it).
    #lay(number, index) {
        const rest = this.#numbers().filter((one) => one !== number);
        const wish = [...rest.slice(0, index), number, ...rest.slice(index)];
        if (wish.join() === this.#numbers().join()) return;
        this.#wish = wish;
        this.#fill();
        this.#order([number], index < rest.length ? { before: rest[index] } : { after: rest.at(-1) });
    }

    #nudge(event, number) {
        const step = { ArrowUp: -1, ArrowLeft: -1, ArrowDown: 1, ArrowRight: 1, Home: -Infinity, End: Infinity }[
            event.key
        ];
        if (!step || event.ctrlKey || event.altKey) return;
        event.preventDefault();
        event.stopPropagation();
        const numbers = this.#numbers(),
            at = numbers.indexOf(number);
        this.#lay(number, Math.min(Math.max(at + step, 0), numbers.length - 1));
    }

    #press(event) {
        const grip = event.target.closest('.card-pic, .handle');
        if (!grip || event.button > 0 || (event.pointerType === 'touch' && !event.target.closest('.handle'))) return;
        const card = grip.closest('.card'),
            number = Number(card.dataset.number);
        const line = h('div', { class: 'gap-line' });
        let index = null,
            started = false,
            frame = 0,
            last = event;
        const scroller = this.cards.closest('#view');
        const look = () => {
            frame = 0;
            const box = scroller.getBoundingClientRect();
            const edge = last.clientY < box.top + 40 ? -12 : last.clientY > box.bottom - 40 ? 12 : 0;
            if (edge) {
                scroller.scrollTop += edge;
                frame = requestAnimationFrame(look);
            }
            const others = [...this.cards.querySelectorAll('.card')].filter((one) => one !== card);
            let best = null;
            others.forEach((one, i) => {
                const r = one.getBoundingClientRect();
                const dx = last.clientX - (r.left + r.width / 2),
                    dy = last.clientY - (r.top + r.height / 2);
                const far = Math.hypot(dx, dy * 2);
                if (!best || far < best.far) best = { far, i, r, after: dx > 0 };
            });
            if (!best) return;
            index = best.i + (best.after ? 1 : 0);
            const home = this.cards.getBoundingClientRect();
            Object.assign(line.style, {
                height: `${best.r.height}px`,
                transform: `translate(${(best.after ? best.r.right + 3 : best.r.left - 7) - home.left}px, ${best.r.top - home.top}px)`,
            });
        };
        const move = (at) => {
            last = at;
            if (!started) {
                if (Math.hypot(at.clientX - event.clientX, at.clientY - event.clientY) < 6) return;
                started = true;
                grip.setPointerCapture(event.pointerId);
                card.classList.add('lifted');
                this.cards.append(line);
            }
            if (!frame) frame = requestAnimationFrame(look);
        };
        const end = (at) => {
            grip.removeEventListener('pointermove', move);
            grip.removeEventListener('pointerup', end);
            grip.removeEventListener('pointercancel', end);
            cancelAnimationFrame(frame);
            if (started && at.type === 'pointerup') look();
            cancelAnimationFrame(frame);
            card.classList.remove('lifted');
            line.remove();
            if (started && at.type === 'pointerup' && index !== null) this.#lay(number, index);
            else if (!started && at.type === 'pointerup' && grip.classList.contains('card-pic'))
                this.doors.open(number, this.#numbers());
        };
        grip.addEventListener('pointermove', move);
        grip.addEventListener('pointerup', end);
        grip.addEventListener('pointercancel', end);
    }
}

// main.js -- puts the page together: the sheet and the plan, the other views, the keys, and what happens on news from
// the claim.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { bothVersions, choose } from './ask.js';
import { Bring } from './bring.js';
import { Chapters } from './chapters.js';
import { CheckList } from './checklist.js';
import { ClaimForms } from './claim.js';
import { find, h, plural, say } from './dom.js';
import { Facts } from './facts.js';
import { Filter, QUESTIONS } from './filters.js';
import { Findings } from './findings.js';
import { Hand } from './hand.js';
import { held } from './held.js';
import { History } from './history.js';
import { help, listen } from './keys.js';
import { noteDialog } from './notes.js';
import { shotsText } from './numbers.js';
import { Plan, keyOf, lack, lackText } from './plan.js';
import { recorded } from './recorded.js';
import { Report } from './report.js';
import { Roofs } from './roofs.js';
import { SIZES, Sheet } from './sheet.js';
import { store } from './store.js';
import { Viewer } from './viewer.js';

const TOLD_MS = 5000;
const keep = (name, value) => localStorage.setItem(`gablebook-${name}`, value);
const kept = (name, otherwise) => localStorage.getItem(`gablebook-${name}`) ?? otherwise;

// --- sentences for the user ---

const box = find('told');
function told({ text, bad = false }) {
    while (box.children.length > 2) box.firstChild.remove();
    const line = h('p', { class: bad ? 'bad' : '', text });
    ([...document.querySelectorAll('dialog[open]')].at(-1) ?? document.body).append(box); // beside an open dialog nothing is heard
    box.append(line);
    setTimeout(() => line.remove(), bad ? 2 * TOLD_MS : TOLD_MS);
}

// --- what the parts of the page ask of each other ---

const filter = new Filter();
let view = 'photos';
let viewerOrder = null; // another order than the sheet's, while the viewer was opened from elsewhere
let sure = Number(kept('sure', '90'));

function place(id, numbers = held.list()) {
    if (!numbers.length) return;
    store.tag(numbers, { place: id });
}

function press(part) {
    // on the plan
    if (view === 'facts') return views.facts.view.open(part.id);
    if (held.numbers.size && view === 'photos') return place(part.id);
    if (view === 'order' && part.shots) return views.order.view.open(part.id);
    filter.clear();
    filter.place = part.id;
    go('photos');
    told({ text: `${part.title}: ${plural(part.shots, 'photo')}.` });
}

async function choosePlace() {
    if (!held.numbers.size) return;
    const entries = [...store.places.values()].map((one) => ({
        label: one.label,
        detail: lack(one) ? `▲ ${lackText(one)}` : plural(one.shots, 'photo'),
        key: one.kind === 'site' || one.structure === plan.structure ? keyOf(one) : '',
        value: one.id,
    }));
    const numbers = held.list(),
        id = await choose('Where is it?', entries, { none: 'No place' });
    if (id !== undefined) store.tag(numbers, { place: id });
}

async function chooseSubject() {
    if (!held.numbers.size) return;
    const entries = store.info.subjects.map((one) => ({
        label: one.name,
        detail: one.shots ? plural(one.shots, 'photo') : '',
        value: one.id,
        used: one.shots ?? 0,
    }));
    const usual = entries
        .filter(({ used }) => used)
        .sort((a, b) => b.used - a.used)
        .slice(0, 12);
    const numbers = held.list();
    const id = await choose('What does it show?', [...usual, ...entries.filter((one) => !usual.includes(one))], {
        none: 'No subject',
    });
    if (id !== undefined) store.tag(numbers, { subject: id });
}

// Suggestions become decisions. Those for one place go together.
function take(numbers = held.list()) {
    const by = new Map();
    for (const number of numbers) {
        const suggestion = store.suggestion(store.shot(number) ?? {});
        if (suggestion) by.set(suggestion.place, [...(by.get(suggestion.place) ?? []), number]);
    }
    for (const [id, list] of by) store.tag(list, { place: id });
    if (!by.size) told({ text: 'No suggestion for what is in hand.' });
}
const certain = () =>
    [...store.suggestions.values()].filter(
        (one) => one.confidence * 100 >= sure && store.suggestion(store.shot(one.shot) ?? { place: 1 }),
    );
async function takeAll() {
    const n = certain().length;
    if (!n) return told({ text: `No suggestion is ${sure} % sure or more.` });
    await store.send('/api/suggest', { accept: sure / 100 });
}

const doors = { place: choosePlace, subject: chooseSubject, take: () => take() };
const seen = 'Press a part to see its photos.';
const PRESSING = {
    order: seen,
    facts: 'Press a part, or its key, to write down what is known of it.',
    findings: seen,
    roof: seen,
    check: seen,
    claim: seen,
    history: seen,
    report: seen,
};
const plan = new Plan(find('plan'), {
    press,
    says: () => PRESSING[view],
});
const sheet = new Sheet({ open: (number) => look(number), take, place });
const hand = new Hand(find('hand'), { ...doors, back: () => sheet.root.focus() }, find('facts'));
const viewer = new Viewer({
    ...doors,
    order: () => viewerOrder ?? sheet.order,
    closed: (number) => {
        viewerOrder = null;
        if (view === 'photos') {
            refilter();
            if (number !== null) sheet.reveal(number);
            sheet.root.focus({ preventScroll: true });
        }
    },
});
const bring = new Bring();

function look(number, order = null) {
    if (number === null || number === undefined) return;
    viewerOrder = order;
    viewer.open(number);
}

// --- the contact sheet ---

class Photos {
    name = 'Photos';

    mount(root) {
        this.questions = h(
            'div',
            { class: 'row questions', role: 'group', 'aria-label': 'Which photos' },
            ...QUESTIONS.map((one) =>
                h(
                    'button',
                    {
                        type: 'button',
                        class: 'bare',
                        'aria-pressed': 'false',
                        data: { id: one.id },
                        onclick: () => {
                            filter.question = one.id;
                            refilter(true);
                        },
                    },
                    one.name,
                    h('span', { class: 'number soft' }),
                ),
            ),
        );
        this.only = h('button', {
            type: 'button',
            class: 'only',
            hidden: true,
            onclick: () => {
                filter.clear();
                find('words').value = '';
                refilter(true);
            },
        });
        this.sureText = h('output', { for: 'sure', class: 'number' });
        this.sure = h('input', {
            type: 'range',
            id: 'sure',
            min: 50,
            max: 100,
            step: 1,
            value: sure,
            oninput: () => {
                sure = Number(this.sure.value);
                keep('sure', sure);
                this.#beliefs();
            },
        });
        this.takeAll = h('button', { type: 'button', class: 'belief', onclick: takeAll });
        this.beliefs = h(
            'div',
            { class: 'row beliefs' },
            h('label', { for: 'sure', text: 'Suggestions from' }),
            this.sure,
            this.sureText,
            this.takeAll,
        );
        this.size = h(
            'div',
            { class: 'row sizes', role: 'group', 'aria-label': 'Size of the photos' },
            h(
                'button',
                { type: 'button', class: 'bare', 'aria-label': 'Smaller photos', onclick: () => size(-1) },
                h('kbd', { text: '[' }),
            ),
            h(
                'button',
                { type: 'button', class: 'bare', 'aria-label': 'Larger photos', onclick: () => size(1) },
                h('kbd', { text: ']' }),
            ),
        );
        this.none = h('div', { class: 'none', hidden: true });
        root.append(
            h('div', { class: 'sheet-bar' }, this.questions, this.only, this.beliefs, this.size),
            this.none,
            sheet.root,
        );
        this.update();
    }

    #beliefs() {
        const n = certain().length;
        this.beliefs.hidden = !store.suggestions.size;
        say(this.sureText, `${sure} %`);
        if (this.takeAll.dataset.n !== String(n)) {
            this.takeAll.dataset.n = n;
            this.takeAll.replaceChildren(`Take ${n} `, h('kbd', { text: 'Y' }));
        }
        this.takeAll.disabled = !n;
    }

    update() {
        if (!this.beliefs) return;
        this.#beliefs();
        const counts = Object.fromEntries(QUESTIONS.map(({ id }) => [id, 0]));
        for (const shot of store.shots.values()) for (const one of QUESTIONS) if (one.passes(shot)) counts[one.id]++;
        for (const button of this.questions.children) {
            const { id } = button.dataset;
            button.setAttribute('aria-pressed', filter.question === id);
            say(button.lastChild, String(counts[id]));
            button.hidden = !counts[id] && id !== 'all' && filter.question !== id;
        }
        const where = filter.place
            ? store.placeTitle(filter.place)
            : filter.structure
              ? store.info.structures.find(({ id }) => id === filter.structure)?.name
              : '';
        const only = [
            where && `${where}${filter.candidates ? ', and photos that may belong there' : ''}`,
            filter.words && `“${filter.words}”`,
        ]
            .filter(Boolean)
            .join(', ');
        this.only.hidden = !only;
        this.only.replaceChildren(
            `Only ${only}`,
            h('span', { class: 'unseen', text: ': show all again' }),
            h('span', { 'aria-hidden': 'true', text: '×' }),
        );
        this.empty();
    }

    empty() {
        const nothing = !sheet.order.length && !store.loading;
        this.none.hidden = !nothing;
        sheet.root.hidden = nothing;
        if (!nothing) return;
        this.none.replaceChildren(
            ...(store.order.length
                ? [
                      h('p', { text: 'No photo here.' }),
                      h('button', {
                          type: 'button',
                          text: 'Show all',
                          onclick: () => {
                              filter.clear();
                              find('words').value = '';
                              refilter(true);
                          },
                      }),
                  ]
                : [
                      h('p', { text: 'No photos in this claim yet. Drop them on the page, or choose them.' }),
                      h('button', { type: 'button', class: 'first', text: 'Add photos', onclick: () => bring.open() }),
                  ]),
        );
    }
}

let sizeAt = Math.min(Math.max(Number(kept('size', '2')), 0), SIZES.length - 1);
function size(by) {
    sizeAt = Math.min(Math.max(sizeAt + by, 0), SIZES.length - 1);
    keep('size', sizeAt);
    sheet.size(sizeAt);
}

// Shows what the filter lets through. What is on the sheet stays on it until the question is asked anew: nothing
// moves away under the pointer, and a shot that was placed a moment ago gets its subject next.
function refilter(anew = false) {
    if (anew)
        held.take(
            [...held.numbers].filter((number) => filter.passes(store.shot(number) ?? {})),
            {},
        );
    sheet.show(store.list().filter((shot) => filter.passes(shot) || (!anew && sheet.indexOf(shot.number) >= 0)));
    if (view === 'photos') views.photos.view.update();
}

// --- the views ---

// Those shots into the hand, on the sheet.
function pickUp(numbers) {
    filter.clear();
    find('words').value = '';
    go('photos');
    held.take(numbers, { cursor: numbers[0], anchor: numbers[0] });
    sheet.reveal(numbers[0]);
}

const views = {
    photos: { key: 'b', view: new Photos() },
    order: { key: 'a', view: new Chapters({ open: look }) },
    facts: { key: 'q', view: new Facts({ look, choose: (id) => plan.choose(id) }) },
    findings: { key: 'j', view: new Findings({ look, take: pickUp }) },
    roof: { key: 'l', view: new Roofs({ look }) },
    check: { key: 'k', view: new CheckList({ lead, take: pickUp }) },
    claim: {
        key: 'f',
        view: new ClaimForms({
            end: async () => {
                await store.send('/api/stop', {});
            },
        }),
    },
    history: { key: 'h', view: new History() },
    report: { key: 'r', view: new Report() },
};

function go(name) {
    const root = find('view'),
        changed = view !== name || !root.children.length;
    view = name;
    if (changed) {
        root.className = `view ${name}`;
        root.replaceChildren();
        views[name].view.mount(root);
        say(find('table-name'), views[name].view.name);
        root.scrollTop = 0;
    }
    for (const button of find('views').children) {
        if (button.dataset.view === name) {
            button.setAttribute('aria-current', 'page');
            button.scrollIntoView({ block: 'nearest', inline: 'nearest' });
        } else button.removeAttribute('aria-current');
    }
    if (name === 'photos') {
        refilter(true);
        sheet.layout(true);
        if (!sheet.root.hidden) sheet.root.focus({ preventScroll: true });
    } else find('table').focus({ preventScroll: true });
    document.body.dataset.view = name;
    find('hand').hidden = find('facts').hidden = name !== 'photos';
    plan.read();
    plan.choose(name === 'facts' ? (views.facts.view.place?.id ?? 0) : 0);
}

// From a line of the check to where it would be filled.
function lead(line) {
    filter.clear();
    const structure = store.place(line.place)?.structure ?? line.structure;
    if (line.place) filter.place = line.place;
    else if (structure) filter.structure = structure;
    else filter.question = 'unplaced';
    filter.candidates = true;
    if (structure) plan.structure = structure;
    go('photos');
    plan.update();
    const part = document.querySelector(`[data-place="${line.place}"]`);
    for (const one of document.querySelectorAll('.wanted')) one.classList.remove('wanted');
    part?.classList.add('wanted');
    told({ text: `${line.label}: ${line.lacks ?? 'not there'}. ${line.what}` });
    const first = sheet.next((shot) => !shot.place, null) ?? sheet.order[0];
    if (first !== undefined) sheet.go(first);
}

// --- keys ---

const nextOpen = () => {
    const open = (shot) => !shot.place && !shot.left_out;
    if (viewer.root.open) {
        const order = viewerOrder ?? sheet.order,
            at = order.indexOf(viewer.number);
        const next = [...order.slice(at + 1), ...order.slice(0, at)].find((number) => open(store.shot(number)));
        return next === undefined ? told({ text: 'Every photo here has a place.' }) : viewer.open(next);
    }
    const next = sheet.next(open);
    return next === undefined ? told({ text: 'Every photo here has a place.' }) : sheet.go(next);
};
function writeNote() {
    const [number, ...more] = viewer.root.open ? [viewer.number] : held.list();
    if (number === undefined || more.length) return told({ text: 'A note is on one photo: take one into the hand.' });
    return noteDialog(`Note on shot ${number}`, { on: { shot: number } });
}
const active = () => (viewer.root.open ? viewer.hand : hand);
const inHand = ['sheet', 'viewer'];
const partKeys = [...'0123456789w'].map((key) => ({
    key,
    when: [...inHand, 'page'],
    group: 'Place what is in hand',
    run: () => {
        const part = plan.byKey(key);
        if (!inHand.includes(where()) && view !== 'facts') return undefined;
        if (!part)
            return told({
                text: `${store.info.structures.find(({ id }) => id === plan.structure)?.name ?? 'The site'} has no such part.`,
            });
        return held.numbers.size && view !== 'facts' ? place(part.id) : press(part);
    },
}));
const commands = [
    { key: '1', shown: '1 2 3 4', when: [], group: 'Place what is in hand', name: 'front, right, rear, left wall' },
    { key: '5', shown: '5 6 7 8', when: [], group: 'Place what is in hand', name: 'front, right, rear, left slope' },
    {
        key: '9',
        shown: '9, w, 0',
        when: [],
        group: 'Place what is in hand',
        name: 'the roof, the whole structure, the site',
    },
    {
        key: 'g',
        when: inHand,
        group: 'Place what is in hand',
        name: 'these keys mean the next structure',
        run: () => {
            const one = plan.turn(1);
            told({ text: `Keys 1 to 9 and w: ${one.name}.` });
        },
    },
    {
        key: 'p',
        when: inHand,
        group: 'Place what is in hand',
        name: 'any place, by its first letters',
        run: choosePlace,
    },
    { key: 'y', when: inHand, group: 'Place what is in hand', name: 'take the suggestion', run: () => take() },
    {
        key: 'Y',
        when: inHand,
        group: 'Place what is in hand',
        name: 'take all suggestions as sure as chosen',
        run: takeAll,
    },
    ...partKeys,
    { key: 't', when: inHand, group: 'Say what it shows', name: 'subject, by its first letters', run: chooseSubject },
    { key: 'o', when: inHand, group: 'Say what it shows', name: 'overview', run: () => active().distance('overview') },
    {
        key: 'm',
        when: inHand,
        group: 'Say what it shows',
        name: 'mid-range',
        run: () => active().distance('mid-range'),
    },
    { key: 'c', when: inHand, group: 'Say what it shows', name: 'close-up', run: () => active().distance('close-up') },
    { key: 'v', when: inHand, group: 'Say what it shows', name: 'value', run: () => active().value.focus() },
    { key: 'e', when: inHand, group: 'Say what it shows', name: 'caption', run: () => active().caption.focus() },
    {
        key: 'j',
        when: ['viewer'],
        group: 'Say what it shows',
        name: 'a finding that it proves',
        run: () => {
            viewer.close();
            go('findings');
        },
    },
    { key: 'u', when: inHand, group: 'Say what it shows', name: 'a note on it', run: writeNote },
    {
        key: 'x',
        when: inHand,
        group: 'Say what it shows',
        name: 'leave out, or take in again',
        run: () => active().toggleOut(),
    },
    {
        key: '',
        shown: '← → ↑ ↓',
        group: 'Take into the hand',
        name: 'go; with Shift: all up to there; with Ctrl: only the cursor',
    },
    { key: '', shown: 'Space', group: 'Take into the hand', name: 'take or put down one more' },
    {
        key: 's',
        when: ['sheet'],
        group: 'Take into the hand',
        name: 'the whole stop',
        run: () => {
            if (held.cursor !== null) held.take(sheet.stopOf(held.cursor), {});
        },
    },
    { key: '', shown: 'Ctrl A', group: 'Take into the hand', name: 'all that are shown' },
    { key: 'n', when: inHand, group: 'Take into the hand', name: 'the next one without a place', run: nextOpen },
    {
        key: 'Escape',
        shown: 'Esc',
        when: ['sheet', 'page'],
        group: 'Take into the hand',
        name: 'put down; then show all; then back to the photos',
        run: () => {
            if (view !== 'photos') go('photos');
            else if (held.numbers.size) held.drop();
            else if (filter.narrow) {
                filter.clear();
                find('words').value = '';
                refilter(true);
            }
        },
    },
    { key: '', shown: 'Enter', group: 'Look closer', name: 'open the photo' },
    { key: '', shown: '← →', group: 'Look closer', name: 'previous, next; moves the picture while it is enlarged' },
    { key: '+', when: ['viewer', 'draw'], group: 'Look closer', name: 'larger', run: () => viewer.zoom(1.5) },
    { key: '-', when: ['viewer', 'draw'], group: 'Look closer', name: 'smaller', run: () => viewer.zoom(1 / 1.5) },
    {
        key: 'z',
        when: ['viewer', 'draw'],
        group: 'Look closer',
        name: 'the picture’s own pixels, and back',
        run: () => viewer.pixels(),
    },
    { key: 'd', when: ['viewer', 'draw'], group: 'Draw', name: 'begin or end drawing', run: () => viewer.draw() },
    { key: '', shown: '1 to 7', group: 'Draw', name: 'arrow, ring, chalk, words, known length, measure, angle' },
    { key: '', shown: 'Enter', group: 'Draw', name: 'lay the chosen mark in the middle' },
    {
        key: '',
        shown: 'Tab, arrows',
        group: 'Draw',
        name: 'go to an end of the mark, move it; with Shift in small steps',
    },
    {
        key: 'Delete',
        shown: 'Del',
        when: ['draw'],
        group: 'Draw',
        name: 'take the mark away',
        run: () => viewer.dropHeld(),
    },
    ...[...'1234567'].map((key) => ({ key, when: ['draw'], group: 'Draw', run: () => viewer.byDigit(Number(key)) })),
    ...Object.entries({
        photos: 'photos',
        order: 'order of the report',
        facts: 'facts, test squares, notes',
        findings: 'findings',
        roof: 'roof measurements',
        check: 'check',
        claim: 'facts of the claim',
        history: 'history',
        report: 'report',
    }).map(([id, name]) => ({ key: views[id].key, when: ['sheet', 'page'], group: 'Go to', name, run: () => go(id) })),
    { key: 'i', when: ['sheet', 'page'], group: 'Go to', name: 'add photos', run: () => bring.open() },
    {
        key: '/',
        when: ['sheet', 'page'],
        group: 'Go to',
        name: 'search',
        run: () => {
            find('words').focus();
            find('words').select();
        },
    },
    { key: '[', when: ['sheet'], group: 'Go to', name: 'smaller photos', run: () => size(-1) },
    { key: ']', when: ['sheet'], group: 'Go to', name: 'larger photos', run: () => size(1) },
    { key: 'z', shown: 'Ctrl Z', ctrl: true, group: 'Everywhere', name: 'undo', run: () => store.undo('undo') },
    { key: 'Z', shown: 'Ctrl Shift Z', ctrl: true, group: 'Everywhere', name: 'redo', run: () => store.undo('redo') },
    { key: 'y', ctrl: true, group: 'Everywhere', run: () => store.undo('redo') },
    { key: '?', group: 'Everywhere', name: 'these keys', run: () => help(commands) },
];
function where() {
    if (document.querySelector('dialog[open]:not(.viewer)')) return null;
    if (viewer.root.open) return viewer.drawing ? 'draw' : 'viewer';
    return view === 'photos' ? 'sheet' : 'page';
}
listen(commands, where);

// With the focus nowhere, the arrow keys are the sheet's.
document.addEventListener('keydown', (event) => {
    if (
        event.target !== document.body ||
        event.defaultPrevented ||
        view !== 'photos' ||
        sheet.root.hidden ||
        document.querySelector('dialog[open]')
    )
        return;
    sheet.root.focus({ preventScroll: true });
    sheet.key(event);
});

// --- the frame of the page ---

function frame() {
    const { info } = store,
        { claim, check } = info;
    const name = claim.address ?? claim.insured ?? info.folder;
    say(find('address'), name);
    document.title = `${name}: gablebook`;
    say(
        find('tally'),
        [
            plural(store.order.length, 'photo'),
            check.unplaced ? `${check.unplaced} without a place` : '',
            `${check.complete ? '●' : '▲'} ${lackText(check)}`,
        ]
            .filter(Boolean)
            .join(' · '),
    );
    find('undo').disabled = !info.undo;
    find('redo').disabled = !info.redo;
    find('undo').title = info.undo ? `${info.undo.summary} (Ctrl Z)` : '';
    find('redo').title = info.redo ? `${info.redo.summary} (Ctrl Shift Z)` : '';
    const badge = find('views').querySelector('[data-view="check"] .badge');
    if (badge) say(badge, lack(check) ? `▲${lack(check)}` : '●');
}

function setUp() {
    find('views').append(
        ...Object.entries(views).map(([id, { key, view: one }]) =>
            h(
                'button',
                { type: 'button', class: 'tab', data: { view: id }, onclick: () => go(id), 'aria-keyshortcuts': key },
                one.name,
                id === 'check' ? h('span', { class: 'badge number' }) : null,
            ),
        ),
    );
    find('undo').addEventListener('click', () => store.undo('undo'));
    find('redo').addEventListener('click', () => store.undo('redo'));
    find('bring').addEventListener('click', () => bring.open());
    find('keys').addEventListener('click', () => help(commands));
    find('cameras').addEventListener('change', (event) => plan.showCameras(event.target.checked));
    const fold = (folded) => {
        find('board').classList.toggle('folded', folded);
        find('fold').setAttribute('aria-expanded', !folded);
        say(find('fold'), folded ? 'Unfold the plan' : 'Fold the plan');
    };
    const small = matchMedia('(max-width: 720px)');
    fold(small.matches);
    small.addEventListener('change', () => fold(small.matches));
    find('fold').addEventListener('click', () => fold(!find('board').classList.contains('folded')));
    find('search').addEventListener('submit', (event) => {
        event.preventDefault();
        if (!sheet.root.hidden) sheet.root.focus();
    });
    find('words').addEventListener('input', () => {
        filter.words = find('words').value.trim();
        if (view !== 'photos') {
            go('photos');
            find('words').focus();
        } else refilter(true);
    });
    find('words').addEventListener('keydown', (event) => {
        if (event.key === 'Escape') {
            find('words').value = '';
            filter.words = '';
            refilter(true);
            sheet.root.focus();
        }
    });
}

held.on(() => {
    hand.update();
    plan.read();
    plan.recamera();
    document.body.classList.toggle('holding', held.numbers.size > 0);
    views[view].view.hold?.();
});

store.on('told', told);
store.on('claim', () => {
    frame();
    plan.update();
    if (!find('view').children.length) go('photos');
    if (view !== 'photos') views[view].view.update();
});
store.on('shots', ({ numbers, order }) => {
    if (order) {
        if ([...held.numbers].some((number) => !store.shot(number)))
            held.take(
                [...held.numbers].filter((number) => store.shot(number)),
                {},
            );
        refilter();
    } else {
        sheet.refresh(numbers);
        if (filter.narrow) refilter();
        else if (view === 'photos') views.photos.view.update();
    }
    plan.update();
    hand.update();
    viewer.update();
    plan.recamera();
    if (view === 'order') views.order.view.update();
});
// What is recorded follows when the page is at rest; at once where it is shown.
store.on('claim', () => {
    if (['facts', 'findings', 'roof'].includes(view)) recorded.want();
    else recorded.soon();
});
store.on('recorded', () => {
    plan.update();
    if (views[view].view.hold || view === 'roof') views[view].view.update();
    if (view === 'facts') plan.choose(views.facts.view.place?.id ?? 0);
    if (filter.words) refilter();
    hand.update();
    viewer.update();
});
store.on('suggestions', () => {
    sheet.refreshAll();
    if (filter.question === 'believed' || filter.candidates) refilter();
    else if (view === 'photos') views.photos.view.update();
    hand.update();
    viewer.update();
    plan.recamera();
    if (view === 'claim') views.claim.view.update();
});
store.on('job', () => {
    if (view === 'report') views.report.view.update();
});
store.on('silent', ({ shut }) => {
    const line = h('p', {
        class: 'gone',
        role: 'alert',
        id: 'gone',
        text: shut
            ? 'This window’s key is no longer valid. In a terminal: gablebook open, with the claim’s folder, opens a new one.'
            : `gablebook has ended or does not answer. Nothing more is saved. In a terminal: gablebook open ${store.info?.folder ?? 'FOLDER'}`,
    });
    find('gone')?.remove();
    document.body.prepend(line);
});
store.on('loaded', () => {
    document.body.dataset.all = '';
    recorded.soon();
});
// Leaving while something is on its way, or begun and not kept: the browser asks.
store.on('writing', ({ any }) => {
    if (any) document.body.dataset.writing = '';
    else delete document.body.dataset.writing;
});
addEventListener('beforeunload', (event) => {
    const begun = Object.values(views).some((one) => one.view.begun);
    if ('writing' in document.body.dataset || bring.sending || begun) event.preventDefault();
});
store.on('back', () => {
    find('gone')?.remove();
});

// An edit on stale data: both versions, and the user says which. Some come or go as a whole.
const WHOLE_THINGS = ['fact', 'square', 'note', 'finding', 'entry', 'threshold'];
// What only says which one is meant.
const NAMES_IT = ['was', 'place', 'kind', 'note', 'finding', 'entry'];
// What is compared under another name than it was asked for.
const ASKED_AS = { front_azimuth_deg: 'front_azimuth', waste_percent: 'waste', steep_pitches: 'steep' };
const wished = (field, body) =>
    body[field === 'hits' && 'threshold' in body ? 'threshold' : (ASKED_AS[field] ?? field)];
store.on('stale', async ({ path, body, message, conflicts, settled }) => {
    const words = (field, value) => {
        if (value === undefined || value === null) return '';
        if (field === 'place') return store.placeTitle(value) || String(value);
        if (field === 'subject') return store.subject(value)?.name ?? String(value);
        if (Array.isArray(value)) return value.some((one) => typeof one === 'string') ? value.join(', ') : shotsText(value);
        if (typeof value === 'object')
            return Object.entries(value)
                .map(([name, one]) => words(name, one))
                .filter(Boolean)
                .join('; ');
        return String(value);
    };
    const rows = conflicts.map((one) => ({
        what: [one.shot && `Shot ${one.shot}`, one.field?.replaceAll('_', ' ')].filter(Boolean).join(', '),
        saw: words(one.field, one.was),
        now: words(one.field, one.now),
        wish: WHOLE_THINGS.includes(one.field)
            ? words(
                  '',
                  body.drop ? 'taken out' : Object.fromEntries(Object.entries(body).filter(([name]) => !NAMES_IT.includes(name))),
              )
            : words('', wished(one.field, body)),
    }));
    if (!rows.length || path === '/api/undo' || path === '/api/redo') {
        told({ text: message, bad: true });
        return settled?.(null);
    }
    if (!(await bothVersions(message, rows))) return settled?.(null);
    const again = structuredClone(body);
    for (const one of conflicts) {
        if (one.field === 'was_order') again.was_order = one.now;
        else if (one.shot && again.was?.[one.shot]) again.was[one.shot][one.field] = one.now ?? null;
        else if (WHOLE_THINGS.includes(one.field)) again.was = one.now ?? {};
        else if (again.was) again.was[one.field] = one.now ?? null;
    }
    const answer = await store.send(path, again, { settled });
    return answer === undefined ? undefined : settled?.(answer);
});

setUp();
hand.update();
sheet.size(sizeAt);
try {
    await store.load();
} catch (error) {
    document.body.prepend(h('p', { class: 'gone', role: 'alert', text: error.message }));
}
if (store.info) {
    document.body.classList.add('ready');
    store.follow();
    addEventListener('pagehide', () => store.leave());
    addEventListener('pageshow', ({ persisted }) => persisted && store.comeBack());
}

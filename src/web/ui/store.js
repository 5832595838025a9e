// store.js -- what the page knows of the claim, and the one way to change it.
//
// `base` holds each shot as the server last told it. A change the user makes is laid over it at once (a patch), goes
// to the server in its turn, and is lifted again when the change feed has caught up with the server's answer. So the
// page never waits, and never shows anything for long that the claim does not hold.
//
// Events: 'shots' (detail.numbers: a Set, or null for all; detail.order: the set or order changed), 'claim',
// 'suggestions', 'recorded', 'job', 'told' (a sentence for the user), 'stale' (an edit on stale data), 'silent' (no
// connection), 'back', 'writing' (detail.any: changes are on their way), 'loaded' (all shots are here).
//
// SPDX-License-Identifier: GPL-3.0-or-later

import * as api from './api.js';
import { follow } from './feed.js';

const PAGE = 1000;
const TAG_FIELDS = ['place', 'subject', 'distance', 'value', 'caption', 'left_out'];

class Store extends EventTarget {
    board = '';
    version = 0;
    info = null; // GET /api/claim
    order = []; // shot numbers in capture order
    shots = new Map(); // number -> the shot as shown
    base = new Map(); // number -> the shot as told
    suggestions = new Map(); // number -> suggestion
    house = null;
    caution = '';
    job = null;
    loading = false;
    #patches = []; // { numbers: Set, fields, version: null while on its way }
    #queue = Promise.resolve();
    #caught = []; // { version, resolve }: who waits for the feed
    #answered = 0; // the newest version that a change of ours has led to
    #rest = 0;
    #writing = 0; // changes that are not answered yet
    #worker = null; // who listens to the change feed
    #silent = false; // the server does not answer
    #catching = Promise.resolve();
    #moves = 0; // of the job, as it is known here

    emit(type, detail = {}) {
        this.dispatchEvent(new CustomEvent(type, { detail }));
    }
    on(type, heard) {
        this.addEventListener(type, (event) => heard(event.detail));
    }

    shot(number) {
        return this.shots.get(number);
    }
    place(id) {
        return this.places?.get(id);
    }
    subject(id) {
        return this.subjects?.get(id);
    }
    placeTitle(id) {
        return this.place(id)?.title ?? '';
    }
    list() {
        return this.order.map((number) => this.shots.get(number));
    }

    // --- loading ---

    async load() {
        this.loading = true;
        const [info, first] = await (this.board ? api.opening() : api.early);
        this.base.clear();
        this.shots.clear();
        this.order = [];
        this.suggestions.clear();
        this.board = info.board;
        this.#answered = 0;
        for (const { resolve } of this.#caught.splice(0)) resolve();
        this.version = Math.min(info.version, first.version);
        this.#tellClaim(info);
        this.#addPage(first);
        this.emit('claim');
        this.emit('shots', { numbers: null, order: true });
        for (let from = first.shots.length; from < first.total;) {
            const page = await api.get(`/api/shots?from=${from}&count=${PAGE}`);
            if (page.board !== this.board) return this.load();
            this.version = Math.min(this.version, page.version);
            if (!page.shots.length) break;
            from += page.shots.length;
            this.#addPage(page);
            this.emit('shots', { numbers: null, order: true });
        }
        this.loading = false;
        this.emit('loaded');
        this.#restSoon();
    }

    #addPage(page) {
        for (const shot of page.shots) {
            if (!this.base.has(shot.number)) this.order.push(shot.number);
            this.base.set(shot.number, shot);
            this.#derive(shot.number);
        }
    }

    #tellClaim(info) {
        this.info = info;
        this.places = new Map(
            info.places.map((place) => {
                const structure = info.structures.find(({ id }) => id === place.structure);
                return [
                    place.id,
                    { ...place, structure_name: structure?.name ?? '', structure_kind: structure?.kind ?? '' },
                ];
            }),
        );
        this.subjects = new Map(info.subjects.map((subject) => [subject.id, subject]));
    }

    #derive(number) {
        let shot = this.base.get(number);
        for (const patch of this.#patches) if (patch.numbers.has(number)) shot = { ...shot, ...patch.fields };
        this.shots.set(number, shot);
    }

    // --- the change feed ---

    // Begins to listen, by the worker that all windows on this run of the server share, and asks once for what was
    // missed until then.
    follow() {
        this.#moves = 0;
        const at = { board: this.board, version: this.version, moves: 0 },
            heard = (what) => this.#hear(what);
        let alone = () => {
            alone = () => {}; // once
            follow(at, heard);
        };
        try {
            this.#worker = new SharedWorker('/ui/news.js', { type: 'module', name: this.board });
            this.#worker.addEventListener('error', () => alone()); // it can't be had here
            this.#worker.port.addEventListener('message', ({ data }) => heard(data));
            this.#worker.port.start();
            this.#worker.port.postMessage({ at });
        } catch {
            this.#worker = null;
            alone();
        }
        return this.#catchUp();
    }

    // A window that is left, or kept by the browser to come back to.
    leave() {
        this.#worker?.port.postMessage({ gone: true });
    }
    comeBack() {
        if (this.#worker) this.follow(); // the old one may have ended with the last other window
    }

    async #hear({ since, news, silent = false, shut = false, text = '' }) {
        if (text && !this.#silent) this.emit('told', { text, bad: true });
        if (silent !== this.#silent) this.emit(silent ? 'silent' : 'back', { shut });
        this.#silent = silent;
        if (!news || this.loading) return; // what comes while all is loaded is caught up with
        if (news.reload || news.board !== this.board) await this.#anew();
        else if (since > this.version) await this.#catchUp(); // this window has missed something
        else this.#merge(news);
    }

    async #anew() {
        const { board } = this;
        if (this.loading) return undefined;
        try {
            await this.load();
            if (this.board === board) return await this.#catchUp();
            this.leave();
            this.job = null;
            return await this.follow();
        } catch (error) {
            this.loading = false;
            this.version = -1; // half of it is loaded: the next news load it anew
            this.emit('told', { text: error.message, bad: true });
            return undefined;
        }
    }

    // One at a time; whoever asks while one is on its way waits for the next.
    #catchUp() {
        this.#catching = this.#catching.then(async () => {
            try {
                const news = await api.changes(this.board, this.version, this.#moves, 0);
                if (news.reload || news.board !== this.board) return void this.#anew();
                return this.#merge(news);
            } catch {
                /* silence: who listens hears of it, and of what comes after it */
            }
        });
        return this.#catching;
    }

    #merge(news) {
        const job = news.job?.moves > this.#moves ? news.job : null;
        if (news.version > this.version) {
            const numbers = new Set();
            for (const shot of news.shots ?? []) {
                this.base.set(shot.number, shot);
                numbers.add(shot.number);
            }
            for (const number of news.gone ?? []) {
                this.base.delete(number);
                this.shots.delete(number);
            }
            if (news.order) this.order = news.order.filter((number) => this.base.has(number));
            else if (news.gone?.length) this.order = this.order.filter((number) => this.base.has(number));
            this.version = news.version;
            const lifted = this.#patches.filter((patch) => patch.version !== null && patch.version <= this.version);
            this.#patches = this.#patches.filter((patch) => !lifted.includes(patch));
            for (const patch of lifted) for (const number of patch.numbers) numbers.add(number);
            for (const number of numbers) if (this.base.has(number)) this.#derive(number);
            if (news.claim) this.#tellClaim(news.claim);
            this.#caught = this.#caught.filter(({ version, resolve }) => version > this.version || resolve());
            this.emit('claim');
            this.emit('shots', { numbers, order: Boolean(news.order || news.gone?.length) });
            this.#restSoon();
        }
        if (job) {
            this.job = job;
            this.#moves = job.moves;
            this.emit('job');
        }
    }

    // Resolves when the feed has told everything up to that version.
    caughtUp(version) {
        return version <= this.version
            ? Promise.resolve()
            : new Promise((resolve) => this.#caught.push({ version, resolve }));
    }

    // Suggestions are asked for when nothing has changed for a moment: they are worth waiting for, typing is not.
    #restSoon() {
        clearTimeout(this.#rest);
        this.#rest = setTimeout(() => this.#suggest(), 250);
    }
    async #suggest() {
        if (this.loading) return;
        try {
            const answer = await api.get('/api/suggestions');
            this.suggestions = new Map(answer.suggestions.filter((one) => one.place).map((one) => [one.shot, one])); // some tell only a distance
            this.house = answer.house ?? null;
            this.caution = answer.caution ?? '';
            this.emit('suggestions');
        } catch {
            /* a belief that can't be had is no fault; the next change asks again */
        }
    }

    suggestion(shot) {
        return shot.place ? undefined : this.suggestions.get(shot.number);
    }

    // --- changing ---

    // Changes wait for each other, so that each one's `was` is what the one before it made.
    #inTurn(work) {
        const turn = this.#queue.then(work, work);
        this.#queue = turn.catch(() => {});
        return this.during(turn);
    }

    // Something is on its way until that promise has an end: the browser asks before the page is left.
    during(promise) {
        const count = (by) => {
            this.#writing += by;
            this.emit('writing', { any: this.#writing > 0 });
        };
        count(1);
        promise.catch(() => {}).then(() => count(-1));
        return promise;
    }

    // The one door of all writes. body.was says what the user saw. On 409 both versions are shown, and the user may
    // overrule.
    //   refused(error)   what the server can't take is shown by the caller, beside what was written; else it is told
    //   settled(answer)  called after both versions were shown: the answer to what was put over it; null where it was
    //     left as it is now
    // Resolves with the answer; null when nothing was changed, undefined when the user is asked first.
    send(path, body, { patch = null, quiet = false, refused = null, settled = null } = {}) {
        return this.#inTurn(async () => {
            try {
                const answer = await this.#post(path, body);
                this.#answered = Math.max(this.#answered, answer.version ?? 0);
                if (patch) patch.version = answer.version;
                if (patch && answer.version <= this.version) this.#lift(patch);
                if (!quiet && answer.summary) this.emit('told', { text: answer.summary });
                return answer;
            } catch (error) {
                if (patch) this.#lift(patch);
                if (error.code === 'stale') {
                    this.emit('stale', { path, body, message: error.message, conflicts: error.conflicts, settled });
                    return undefined;
                }
                if (refused) refused(error);
                else this.emit('told', { text: error.message, bad: true });
                return null;
            }
        });
    }

    // Another program may be writing just now: a few more tries before the user hears of it.
    async #post(path, body) {
        for (let tries = 1; ; tries++) {
            try {
                return await api.post(path, body);
            } catch (error) {
                if (error.code !== 'busy' || tries === 4) throw error;
                await new Promise((resolve) => setTimeout(resolve, 150 * tries));
            }
        }
    }

    #lift(patch) {
        this.#patches = this.#patches.filter((one) => one !== patch);
        for (const number of patch.numbers) if (this.base.has(number)) this.#derive(number);
        this.emit('shots', { numbers: patch.numbers, order: false });
    }

    // Say something of shots. fields: place (id), subject (id), distance, value, caption, left_out; null takes back.
    //   seen  what the user saw of them when starting to write (see `look`); absent: as they are shown now
    tag(numbers, fields, seen = null) {
        const shots = numbers.map((number) => this.shots.get(number)).filter(Boolean);
        if (!shots.length) return Promise.resolve(null);
        const was = {};
        for (const shot of shots) {
            was[shot.number] = {};
            const saw = seen?.get(shot.number) ?? shot;
            for (const field of TAG_FIELDS)
                if (field in fields) was[shot.number][field] = saw[field] ?? (field === 'left_out' ? false : null);
        }
        const body = { shots: shots.map(({ number }) => number), ...fields, was };
        if (fields.place) body.place = this.place(fields.place).label;
        const shown = { ...fields };
        if (fields.distance !== undefined) shown.distance_shown = fields.distance;
        if (fields.caption) shown.caption_shown = fields.caption;
        for (const [name, value] of Object.entries(shown)) if (value === null) shown[name] = undefined;
        const patch = { numbers: new Set(body.shots), fields: shown, version: null };
        if ('place' in fields) this.#recount(shots, fields.place);
        this.#patches.push(patch);
        for (const number of patch.numbers) this.#derive(number);
        this.emit('shots', { numbers: patch.numbers, order: false });
        return this.send('/api/tag', body, { patch });
    }

    // What the user sees of shots now: kept while a caption is written, so that a change from elsewhere meanwhile is
    // noticed.
    look(numbers) {
        return new Map(numbers.map((number) => [number, { ...this.shots.get(number) }]));
    }

    // The counts on the plan follow at once; what is lacking comes from the server a moment later.
    #recount(shots, to) {
        for (const shot of shots) {
            if (shot.left_out || shot.place === to) continue;
            const from = this.places.get(shot.place),
                into = this.places.get(to);
            if (from) from.shots = Math.max(0, from.shots - 1);
            if (into) into.shots += 1;
        }
    }

    // Order within a chapter.
    move(numbers, where, chapter) {
        return this.send('/api/tag', { shots: numbers, ...where, was: {}, was_order: chapter });
    }

    // Until everything that was sent has been answered and told: what is built on it can then say what it saw.
    async caught() {
        await this.#inTurn(async () => {});
        await this.caughtUp(this.#answered);
    }

    async undo(which) {
        // 'undo' or 'redo'
        await this.caught(); // what is on top is known only then
        const top = this.info[which];
        if (!top)
            return void this.emit('told', {
                text: which === 'undo' ? 'There is nothing to undo.' : 'There is nothing to redo.',
            });
        const answer = await this.send(`/api/${which}`, { was: { entry: top.entry } }, { quiet: true });
        if (!answer) return;
        this.emit('told', { text: `${which === 'undo' ? 'Undone' : 'Done again'}: ${answer.summary}` });
        await this.caughtUp(answer.version);
    }

    // The shots of a place in the order of the report, left-out ones too.
    chapter(place) {
        const rank = { overview: 1, 'mid-range': 2, 'close-up': 3 };
        return this.order
            .map((number) => this.shots.get(number))
            .map((shot, at) => ({ shot, at }))
            .filter(({ shot }) => (shot.place ?? 0) === place)
            .sort(
                (a, b) =>
                    (a.shot.hand_order ?? Infinity) - (b.shot.hand_order ?? Infinity) || // NaN (both unknown) falls through
                    (rank[a.shot.distance_shown] ?? 4) - (rank[b.shot.distance_shown] ?? 4) ||
                    a.at - b.at,
            )
            .map(({ shot }) => shot);
    }
}

export const store = new Store();

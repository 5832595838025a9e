// bench_page.mjs PROGRAM FOLDER -- what the page of the sorting table costs a person: run by make bench-web, on the
// claims that bench_web.sh made.
//
//   1,000 photos   from asking for the page until the first photos of the contact sheet are painted; from a key press that places 50 photos
//                  until they are painted so; from a key press until another window has painted it
//   10,000 photos  the sheet scrolled from end to end, as fast as frames come and by leaps: the longest task of the page's thread, and how
//                  much the page holds; a task is timed by the processor and by the clock, which differ on a busy machine
//
// Each is done several times; the median and the worst are printed, beside what is wanted. Holds nothing up.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { spawn } from 'node:child_process';
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { createInterface } from 'node:readline';

const [program, folder] = process.argv.slice(2);
const need = createRequire(path.join(process.env.GB_NPM, 'node_modules', 'x'));
const { chromium } = need('playwright-core');

function serve(claim) {
    const child = spawn(program, ['open', claim, '--no-browser'], { stdio: ['ignore', 'pipe', 'inherit'] });
    return new Promise((resolve) =>
        createInterface({ input: child.stdout }).on('line', (line) => resolve({ url: line.trim(), child })),
    );
}
const frame = (page) =>
    page.evaluate(
        () =>
            new Promise((done) => {
                requestAnimationFrame(() => requestAnimationFrame(done));
            }),
    );
const sorted = (times) => times.slice().sort((a, b) => a - b);
const tell = (what, times, wanted, unit = 'ms') =>
    console.log(
        `  ${what.padEnd(66)} ${sorted(times)[times.length >> 1].toFixed(0)} ${unit}, worst ${Math.max(...times).toFixed(0)} (wanted: < ${wanted})`,
    );

const executablePath = process.env.PATH.split(':')
    .map((dir) => path.join(dir, 'chromium'))
    .find((one) => fs.existsSync(one));
const browser = await chromium.launch({
    executablePath,
    args: [
        ...(process.getuid() === 0 ? ['--no-sandbox'] : []),
        '--enable-precise-memory-info',
        '--js-flags=--expose-gc',
    ],
});

async function window(url, viewport = { width: 1440, height: 900 }) {
    // a browser that has never been here
    const context = await browser.newContext({ viewport });
    const page = await context.newPage();
    // Before the page's own code: when are there photos painted in the first screen of the sheet?
    await page.addInitScript(() => {
        window.painted = new Promise((done) => {
            const look = () => {
                const tiles = [...document.querySelectorAll('.tile:not([hidden])')].filter((tile) => {
                    const box = tile.getBoundingClientRect();
                    return box.top < innerHeight && box.bottom > 0;
                });
                if (
                    tiles.length > 5 &&
                    tiles.every(
                        (tile) => tile.querySelector('img').complete && tile.querySelector('img').naturalWidth > 0,
                    )
                )
                    requestAnimationFrame(() => done(performance.now()));
                else requestAnimationFrame(look);
            };
            requestAnimationFrame(look);
        });
    });
    await page.goto(url);
    return page;
}

console.log('the page, in Chromium');
{
    const { url, child } = await serve(path.join(folder, 'claim-1000'));
    const first = [];
    for (let i = 0; i < 7; i++) {
        const page = await window(url);
        first.push(await page.evaluate(() => window.painted));
        await page.context().close();
    }
    tell('1,000 photos: first contact sheet painted, cache empty', first, '1000 ms');
    const page = await window(url, { width: 1920, height: 1400 });
    await page.evaluate(() => window.painted);
    await page.waitForSelector('body.ready');
    for (let i = 0; i < 4; i++) await page.keyboard.press('['); // small photos: fifty on the screen
    const times = [];
    for (let i = 0; i < 12; i++) {
        await page.keyboard.press('Home');
        await page.evaluate(() => {
            // fifty, as by Shift and an arrow key
            for (let n = 0; n < 49; n++)
                document
                    .querySelector('#sheet')
                    .dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', shiftKey: true, bubbles: true }));
        });
        await frame(page);
        await page.waitForFunction(() => document.body.dataset.writing === undefined);
        const where = i % 2 ? 'Front elevation' : 'Rear elevation';
        await page.evaluate((title) => {
            window.shown = new Promise((done) => {
                document.addEventListener(
                    'keydown',
                    (event) => {
                        const began = event.timeStamp;
                        const look = () => {
                            const held = [...document.querySelectorAll('.tile[aria-selected="true"] .where')];
                            if (held.length >= 50 && held.every((one) => one.textContent === title)) {
                                const channel = new MessageChannel(); // after the paint of this frame
                                channel.port1.onmessage = () => done(performance.now() - began);
                                requestAnimationFrame(() => channel.port2.postMessage(0));
                            } else requestAnimationFrame(look);
                        };
                        look();
                    },
                    { once: true, capture: true },
                );
            });
        }, where);
        await page.keyboard.press(i % 2 ? '1' : '3');
        times.push(await page.evaluate(() => window.shown));
    }
    tell('1,000 photos: a key places 50 photos, painted so', times, '100 ms');
    // Another window: from the key press in one to the paint in the other, by the clock of the machine.
    const other = await window(url),
        far = [];
    await other.waitForSelector('body.ready');
    for (let i = 0; i < 10; i++) {
        const where = i % 2 ? 'Front elevation' : 'Rear elevation';
        const seen = other.evaluate(
            (title) =>
                new Promise((done) => {
                    const look = () =>
                        document.querySelector('.tile[aria-posinset="1"] .where').textContent === title
                            ? requestAnimationFrame(() => done(Date.now()))
                            : requestAnimationFrame(look);
                    look();
                }),
            where,
        );
        await page.keyboard.press('Home');
        const pressed = Date.now();
        await page.keyboard.press(i % 2 ? '1' : '3');
        far.push((await seen) - pressed);
    }
    tell('1,000 photos: a key placed a photo, painted in another window', far, '1000 ms');
    await page.context().close();
    await other.context().close();
    child.kill('SIGINT');
}
{
    const { url, child } = await serve(path.join(folder, 'claim-10000'));
    const page = await window(url);
    await page.waitForSelector('body.ready');
    await page.waitForFunction(() => document.body.dataset.all !== undefined);
    const held = () =>
        page.evaluate(() => {
            globalThis.gc?.();
            return performance.memory.usedJSHeapSize / 1048576;
        });
    const nodes = () => page.evaluate(() => document.querySelectorAll('*').length);
    const before = await held();
    await browser.startTracing(page, { categories: ['toplevel'] });
    const frames = await page.evaluate(
        () =>
            new Promise((done) => {
                const sheet = document.querySelector('#sheet'),
                    gaps = [];
                let last = performance.now();
                const step = () => {
                    const now = performance.now();
                    gaps.push(now - last);
                    last = now;
                    sheet.scrollTop += 900;
                    if (sheet.scrollTop + sheet.clientHeight < sheet.scrollHeight - 1) requestAnimationFrame(step);
                    else done(gaps);
                };
                requestAnimationFrame(step);
            }),
    );
    for (let i = 0; i < 40; i++)
        await page.evaluate(
            (at) =>
                new Promise((done) => {
                    const sheet = document.querySelector('#sheet');
                    sheet.scrollTop = sheet.scrollHeight * at;
                    requestAnimationFrame(() => requestAnimationFrame(done));
                }),
            (i * 0.618) % 1,
        );
    const { traceEvents: events } = JSON.parse(await browser.stopTracing());
    const threads = new Set(
        events
            .filter(({ name, args }) => name === 'thread_name' && args.name === 'CrRendererMain')
            .map(({ pid, tid }) => `${pid} ${tid}`),
    );
    const tasks = events.filter(
        ({ ph, name, pid, tid }) => ph === 'X' && /RunTask/.test(name) && threads.has(`${pid} ${tid}`),
    );
    const longest = (of) => Math.max(...tasks.map((task) => task[of] ?? 0)) / 1000,
        over = (of) => tasks.filter((task) => task[of] > 50000).length;
    console.log(
        `  10,000 photos: scrolled end to end in ${frames.length} frames, median ${sorted(frames)[frames.length >> 1].toFixed(0)} ms, worst ${Math.max(...frames).toFixed(0)} ms; then 40 leaps`,
    );
    console.log(
        `  10,000 photos: tasks of the page's thread longer than 50 ms:       ${over('tdur')}, longest ${longest('tdur').toFixed(0)} ms of processor time (wanted: 0)`,
    );
    console.log(
        `  10,000 photos: the same by the clock, with all else this machine does: ${over('dur')}, longest ${longest('dur').toFixed(0)} ms`,
    );
    console.log(
        `  10,000 photos: script memory ${before.toFixed(0)} MB before, ${(await held()).toFixed(0)} MB after; ${await nodes()} elements in the page`,
    );
    await page.context().close();
    child.kill('SIGINT');
}
await browser.close();

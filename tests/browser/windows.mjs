// windows.mjs -- two windows, or a window and the command line, on one claim: they see each other's changes without
// asking, and lose none.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { claimOfCard, gablebook, open, seek, serve, settled, shot } from './support.mjs';

test('what one window says is in the other, and so is what the command line says', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        one = await open(served.url),
        two = await open(served.url);
    await (await seek(one, 3)).click();
    await seek(two, 3);
    await one
        .locator('#plan')
        .getByRole('button', { name: /^Fence:/ })
        .click();
    await two.waitForFunction(() => document.querySelector('#shot-3 .where').textContent === 'Fence'); // how fast: make bench-web
    gablebook('tag', claim, '2', '--place', 'fence', '--caption', 'said on the command line');
    for (const page of [one, two])
        await page.waitForFunction(
            () => document.querySelector('#shot-2 .what')?.textContent === 'said on the command line',
        );
    assert.equal(
        await one
            .locator('#plan')
            .getByRole('button', { name: /^Fence: 2 photos/ })
            .count(),
        1,
    );
    one.quiet();
});

test('eight windows of one browser are no burden to each other, see every change, and go on when any of them is closed', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        first = await open(served.url),
        windows = [first],
        held = []; // requests for news that a window itself keeps open
    const ready = async (page) => {
        page.setDefaultTimeout(10000);
        page.on('request', (request) => {
            if (/[/]api[/]changes.*wait=[1-9]/.test(request.url())) held.push(request.url());
        });
        await page.goto(new URL('/', served.url).href);
        await page.waitForSelector('body.ready');
        await page.waitForFunction(() => [...document.querySelectorAll('.tile img')].some((one) => one.naturalWidth > 0));
        windows.push(page);
    };
    // A browser has six connections to one host.
    while (windows.length < 8) await ready(await first.context().newPage());
    const seen = async (summary) => {
        for (const page of windows)
            await page.waitForFunction((words) => document.querySelector('#undo').title.includes(words), summary);
    };
    gablebook('note', claim, 'by the command line');
    await seen('by the command line');
    await windows.shift().close(); // the one that began to listen
    gablebook('note', claim, 'when the first was closed');
    await seen('when the first was closed');
    const [one, ...others] = windows;
    for (const page of others.splice(1)) await windows.splice(windows.indexOf(page), 1)[0].close();
    await (await seek(one, 2)).click();
    await one.keyboard.press('0');
    await seen('place site');
    await one.reload();
    await one.waitForSelector('body.ready');
    gablebook('note', claim, 'after all');
    await seen('after all');
    assert.deepEqual(held, []);
    first.quiet();
});

test('where windows cannot share a worker, each listens for itself', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url, { without: 'SharedWorker' });
    gablebook('note', claim, 'by the command line');
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('by the command line'));
    page.quiet();
    await served.stop();
    await page.locator('#gone').waitFor();
});

test('an edit made on stale data is refused with both versions shown; nothing is overwritten unless the user says so', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await (await seek(page, 4)).click();
    const caption = page.locator('#hand').getByLabel(/^Caption/);
    await caption.fill('written in the window');
    gablebook('tag', claim, '4', '--caption', 'said meanwhile');
    await page.waitForFunction(() => document.querySelector('#shot-4 .what').textContent === 'said meanwhile');
    assert.equal(await caption.inputValue(), 'written in the window', 'never taken from under the fingers');
    await caption.press('Enter');
    const dialog = page.getByRole('dialog', { name: 'Changed meanwhile' });
    await dialog.waitFor();
    assert.match(await dialog.textContent(), /said meanwhile.*written in the window/s);
    assert.equal(shot(claim, 4).caption, 'said meanwhile');
    await dialog.getByRole('button', { name: 'Leave it' }).click();
    await settled(page);
    assert.equal(shot(claim, 4).caption, 'said meanwhile');
    await page.waitForFunction(() => document.querySelector('#shot-4 .what').textContent === 'said meanwhile');

    await caption.fill('written again');
    gablebook('tag', claim, '4', '--caption', 'said again');
    await page.waitForFunction(() => document.querySelector('#shot-4 .what').textContent === 'said again');
    await caption.press('Enter');
    await dialog.getByRole('button', { name: 'Put what I wanted over it' }).click();
    await page.waitForFunction(() => document.querySelector('#shot-4 .what').textContent === 'written again');
    await settled(page);
    assert.equal(shot(claim, 4).caption, 'written again');
    page.quiet();
});

test('what was done can be undone after a restart, and redone', async () => {
    const claim = claimOfCard(),
        first = await serve(claim),
        page = await open(first.url);
    await (await seek(page, 5)).click();
    await page
        .locator('#plan')
        .getByRole('button', { name: /^Garage: right elevation/ })
        .click();
    await settled(page);
    assert.equal(shot(claim, 5).place, 'garage right');
    await first.stop();
    await page.locator('#gone').waitFor(); // and the page says so
    assert.match(await page.locator('#gone').textContent(), /gablebook open/);
    const again = await serve(claim),
        later = await open(again.url);
    await seek(later, 5);
    await later.keyboard.press('Control+z');
    await later.waitForFunction(
        () => document.querySelector('#shot-5 .where').textContent !== 'Garage: right elevation',
    );
    assert.equal(shot(claim, 5).place, null);
    await later.getByRole('button', { name: 'History' }).click();
    await later.locator('.entries .undone', { hasText: 'place garage right' }).waitFor();
    await later.keyboard.press('Control+Shift+Z');
    await later.locator('.entries .done', { hasText: 'place garage right' }).waitFor();
    assert.equal(shot(claim, 5).place, 'garage right');
    later.quiet();
});

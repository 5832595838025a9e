// marks.mjs -- marks drawn over a photo, by pointer and by keys: data beside it, never part of it.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { claimOfCard, empty, gablebook, open, room, seek, serve, settled } from './support.mjs';

// The marks of a shot as another window would hear of them.
const marks = (page, number) =>
    page.evaluate(
        async (n) => (await (await fetch('/api/shots')).json()).shots.find((one) => one.number === n).marks ?? [],
        number,
    );

async function look(page, number) {
    await (await seek(page, number)).click();
    await page.keyboard.press('Enter');
    await page.locator('dialog.viewer[open]').waitFor();
    await page.waitForFunction(
        () =>
            document.querySelector('.paper .screen').complete &&
            document.querySelector('.paper .screen').naturalWidth > 0,
    );
}
async function stroke(page, from, to) {
    // in shares of the picture
    const box = await page.locator('.paper').boundingBox();
    const at = ([x, y]) => [box.x + x * box.width, box.y + y * box.height];
    await page.mouse.move(...at(from));
    await page.mouse.down();
    await page.mouse.move(...at([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2]), { steps: 3 });
    await page.mouse.move(...at(to), { steps: 3 });
    await page.mouse.up();
}
const near = (a, b, by = 0.01) => assert.ok(Math.abs(a - b) < by, `${a} is about ${b}`);

test('every kind of mark is drawn by pointer, lies where it was drawn, and leaves the original as it was', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    const before = fs
        .readdirSync(`${claim}/originals`)
        .map((name) => [
            name,
            fs.statSync(`${claim}/originals/${name}`).mtimeMs,
            fs.statSync(`${claim}/originals/${name}`).size,
        ]);
    await look(page, 39);
    await page.keyboard.press('d');
    for (const [key, kind] of [
        ['1', 'arrow'],
        ['2', 'ellipse'],
        ['3', 'chalk'],
        ['6', 'line'],
    ]) {
        await page.keyboard.press(key);
        await stroke(page, [0.3, 0.4], [0.5, 0.6]);
        await page.locator(`.mark.chosen.${kind}`).waitFor();
    }
    assert.match(await page.locator('.caution').textContent(), /needs a known length/);
    await page.keyboard.press('5');
    await stroke(page, [0.1, 0.8], [0.5, 0.8]);
    await page.keyboard.type('10 ft');
    await page.keyboard.press('Enter');
    await page.locator('.mark.chosen.scale').waitFor();
    await page.keyboard.press('4');
    await page.locator('.stage').click({ position: { x: 300, y: 500 } });
    await page.keyboard.type('north rake <b>');
    await page.keyboard.press('Enter');
    await page.locator('.mark.chosen.text').waitFor();
    await page.keyboard.press('7');
    await stroke(page, [0.8, 0.8], [0.5, 0.8]); // the level line, to the corner
    const box = await page.locator('.paper').boundingBox();
    await page.mouse.click(box.x + 0.8 * box.width, box.y + 0.8 * box.height - 0.15 * box.width); // and 6 up on 12
    await page.locator('.mark.chosen.angle').waitFor();
    await settled(page);
    const drawn = await marks(page, 39),
        of = (kind) => drawn.find((one) => one.kind === kind);
    assert.equal(drawn.length, 7);
    near(of('arrow').points[0][0], 0.3);
    near(of('arrow').points[1][1], 0.6);
    assert.equal(of('text').text, 'north rake <b>');
    // 0.4 of the width is 10 ft; the line is 0.2 of the width and of the height, so by Pythagoras on the picture's
    // own proportions:
    const shape = await page.evaluate(() => {
        const { naturalWidth: w, naturalHeight: h } = document.querySelector('.paper .screen');
        return h / w;
    });
    near(of('line').measured_in, (120 * Math.hypot(0.2, 0.2 * shape)) / 0.4, 1.5);
    near(of('angle').angle_deg, (Math.atan2(6, 12) * 180) / Math.PI, 0.6); // pitch 6:12 is 26.565 degrees
    assert.match(of('angle').pitch, /^(5\.9|6|6\.1)(\.\d)?:12$/);
    assert.match(await page.locator('.caution').textContent(), /level/);
    assert.equal(await page.locator('.marks b').count(), 0);
    const later = fs
        .readdirSync(`${claim}/originals`)
        .map((name) => [
            name,
            fs.statSync(`${claim}/originals/${name}`).mtimeMs,
            fs.statSync(`${claim}/originals/${name}`).size,
        ]);
    assert.deepEqual(later, before);
    page.quiet();
});

test('a mark is moved, changed, taken away and brought back; zoom keeps it on its spot', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await look(page, 39);
    await page.keyboard.press('d');
    await page.keyboard.press('1');
    await stroke(page, [0.3, 0.4], [0.5, 0.6]);
    await page.locator('.mark.chosen.arrow').waitFor();
    await stroke(page, [0.5, 0.6], [0.7, 0.6]); // its tip, by its handle
    await settled(page);
    let [arrow] = await marks(page, 39);
    near(arrow.points[1][0], 0.7);
    near(arrow.points[0][0], 0.3);
    await stroke(page, [0.5, 0.5], [0.5, 0.3]); // the whole, by its middle
    await settled(page);
    [arrow] = await marks(page, 39);
    near(arrow.points[0][1], 0.2);
    near(arrow.points[1][1], 0.4);

    const spot = () =>
        page.evaluate(() => {
            const a = document.querySelector('.paper').getBoundingClientRect(),
                m = document.querySelector('.mark .stroke').getBoundingClientRect();
            return (m.left - a.left) / a.width;
        });
    const before = await spot();
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    near(await spot(), before, 0.005);
    await page.keyboard.press('Delete');
    await page.locator('.mark').waitFor({ state: 'detached' });
    await settled(page);
    assert.deepEqual(await marks(page, 39), []);
    await page.keyboard.press('Control+z');
    await page.locator('.mark.arrow[data-mark]').waitFor();
    assert.equal((await marks(page, 39)).length, 1);
    page.quiet();
});

test('by keys alone: a mark is laid in the middle, its ends are moved with the arrow keys, and it is taken away', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await keyboard.press('Home');
    await keyboard.press('Enter');
    await page.locator('dialog.viewer[open]').waitFor();
    const number = Number((await page.locator('.viewer-title').textContent()).match(/Shot (\d+)/)[1]);
    await keyboard.press('d');
    await keyboard.press('1');
    await keyboard.press('Enter');
    await page.locator('.handle:focus').waitFor();
    const [laid] = await marks(page, number);
    await keyboard.down('ArrowUp');
    await keyboard.down('ArrowUp');
    await keyboard.up('ArrowUp');
    await settled(page);
    const [moved] = await marks(page, number);
    near(laid.points[0][1] - moved.points[0][1], 0.02, 0.001);
    assert.equal(moved.points[1][1], laid.points[1][1], 'the other end stays');
    await page.locator('.handle:focus').waitFor();
    await keyboard.press('Tab');
    assert.match(await page.evaluate(() => document.activeElement.getAttribute('aria-label')), /Arrow, tip/);
    await keyboard.press('Delete');
    await page.locator('.mark').waitFor({ state: 'detached' });
    await settled(page);
    assert.deepEqual(await marks(page, number), []);
    for (let i = 0; i < 2; i++) await keyboard.press('Escape');
    assert.equal(await page.locator('dialog.viewer[open]').count(), 0);
    page.quiet();
});

test('zooming goes down to the pixels of the original, and the neighbours are there before they are asked for', async () => {
    const claim = empty(),
        folder = fs.mkdtempSync(path.join(room, 'large-'));
    for (const n of [1, 2, 3])
        execFileSync('convert', ['-size', '4000x3000', `gradient:grey${20 * n}-white`, path.join(folder, `L${n}.jpg`)]);
    gablebook('import', claim, folder);
    const served = await serve(claim),
        page = await open(served.url);
    await look(page, 1);
    const next = await page.evaluate(async () => (await (await fetch('/api/shots')).json()).shots[1].sha256);
    const seen = (part) =>
        page.waitForFunction(
            ([sha, size]) =>
                performance
                    .getEntriesByType('resource')
                    .some(({ name, responseEnd }) => name.endsWith(`${sha}/${size}`) && responseEnd > 0),
            [next, part],
        );
    await seen('screen');
    assert.equal(
        await page.evaluate(() =>
            performance.getEntriesByType('resource').some(({ name }) => name.endsWith('/original')),
        ),
        false,
        'not before it is needed',
    );
    await page.keyboard.press('z');
    await page.waitForFunction(() => {
        const full = document.querySelector('.paper .full');
        return !full.hidden && full.naturalWidth === 4000;
    });
    // One pixel of the picture is one of the screen.
    assert.equal(
        Math.round(
            await page.evaluate(
                () => document.querySelector('.paper').getBoundingClientRect().width * devicePixelRatio,
            ),
        ),
        4000,
    );
    const at = () => page.evaluate(() => document.querySelector('.paper').getBoundingClientRect().left);
    const before = await at();
    await page.keyboard.press('ArrowRight'); // enlarged, the arrows move the picture
    assert.ok((await at()) < before);
    await page.keyboard.press('z');
    await page.keyboard.press('ArrowRight');
    await page.locator('.viewer-title', { hasText: 'Shot 2' }).waitFor();
    page.quiet();
});

// keys.mjs -- a whole claim sorted by keyboard alone.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { check, claimOfCard, gablebook, list, open, serve, settled } from './support.mjs';

// What demo-photos/demo.sh says of the card, as keys: the place's key (g: of the next structure), the subject's first
// letters, the distance's key, value.
const SAID = {
    1: ['3', 'gutter d'],
    2: ['fence', 'fence', 'o'],
    3: ['fence', 'fence d', 'm'],
    4: ['garage front', 'overview'],
    5: ['garage right', 'no d'],
    6: ['garage left', 'no d'],
    7: ['garage front', 'garage d d'],
    8: ['0', 'address'],
    9: ['1', 'overview'],
    10: ['1', 'overview'],
    11: ['1', 'overview'],
    12: ['1', 'elev'],
    13: ['1', 'screen d', 'm'],
    14: ['1', 'screen d', 'x'],
    15: ['1', 'screen d', 'x'],
    16: ['1', 'screen d', 'c'],
    17: ['1', 'gutter d'],
    18: ['2', 'overview'],
    19: ['2', 'overview'],
    20: ['2', 'spatter', 'm'],
    21: ['2', 'spatter'],
    22: ['2', 'downspout d', 'm'],
    23: ['2', 'downspout d'],
    24: ['2', 'siding d', 'm'],
    25: ['2', 'siding size', '', '4 in'],
    26: ['3', 'overview'],
    27: ['3', 'overview'],
    28: ['3', 'elev'],
    29: ['3', 'condenser f', 'm'],
    30: ['4', 'overview'],
    31: ['4', 'overview', 'x'],
    32: ['4', 'overview'],
    33: ['4', 'siding d', 'm'],
    34: ['4', 'siding d'],
    35: ['4', 'siding d', 'x'],
    36: ['8', 'layers', '', '1'],
    37: ['8', 'drip'],
    38: ['5', 'overview'],
    39: ['5', 'test sq', '', '9'],
    40: ['5', 'test sq', 'c', '9'],
    41: ['5', 'hail h', '', '1.7 in'],
    42: ['5', 'pitch', '', '6/12'],
    43: ['5', 'pipe'],
    44: ['9', 'ridge v'],
    45: ['6', 'overview'],
    46: ['6', 'test sq', '', '7'],
    47: ['6', 'test sq', 'c', '7'],
    48: ['7', 'overview'],
    49: ['7', 'wind d', 'm'],
    50: ['7', 'wind d'],
    51: ['7', 'vent d'],
    52: ['8', 'overview'],
    53: ['8', 'test sq', '', '3'],
    54: ['garage left slope', 'no d'],
};

const LABELS = {
    0: 'site',
    1: 'front',
    2: 'right',
    3: 'rear',
    4: 'left',
    5: 'front slope',
    6: 'right slope',
    7: 'rear slope',
    8: 'left slope',
    9: 'roof',
};
const DISTANCES = { o: 'overview', m: 'mid-range', c: 'close-up' };

test('a whole claim is sorted, checked and waived by keys alone, as the command line would have it', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await keyboard.press('Home');
    for (let n = 0; n < 54; n++) {
        const number = Number(
            await page.evaluate(() => document.querySelector('#sheet').getAttribute('aria-activedescendant').slice(5)),
        );
        const [place, subject, more = '', value = ''] = SAID[number];
        if (place.length === 1) await keyboard.press(place);
        else {
            await keyboard.press('p');
            await keyboard.type(place);
            await keyboard.press('Enter');
        }
        await keyboard.press('t');
        await keyboard.type(subject);
        await keyboard.press('Enter');
        if (more) await keyboard.press(more);
        if (value) {
            await keyboard.press('v');
            await keyboard.type(value);
            await keyboard.press('Enter');
        }
        await keyboard.press('ArrowRight');
    }
    await settled(page);
    // The other door, told the same: word for word as typed above.
    const typed = claimOfCard();
    for (const [number, [place, subject, more = '', value = '']] of Object.entries(SAID)) {
        gablebook(
            'tag',
            typed,
            number,
            '--place',
            LABELS[place] ?? place,
            '--subject',
            subject,
            ...(DISTANCES[more] ? ['--distance', DISTANCES[more]] : []),
            ...(more === 'x' ? ['--leave-out'] : []),
            ...(value ? ['--value', value] : []),
        );
    }
    const said = (of) =>
        list(of).map(({ number, place, subject, distance, value, caption, left_out: out }) => ({
            number,
            place,
            subject,
            distance,
            value,
            caption,
            out,
        }));
    assert.deepEqual(said(claim), said(typed));
    const before = check(claim);
    assert.deepEqual([before.unplaced, before.missing, before.there], [0, check(typed).missing, check(typed).there]);

    await keyboard.press('k'); // the check; its first line that is missing and can't be had is waived by keys
    const line = page.getByRole('button', { name: 'Waive: slope overview, garage right slope' });
    await line.focus();
    await keyboard.press('Enter');
    await keyboard.type('8/12, nothing to tie off to: not climbed');
    await keyboard.press('Control+Enter');
    await page.getByText('not climbed').first().waitFor();
    await settled(page);
    assert.equal(check(claim).waived, before.waived + 1);

    await keyboard.press('Control+z');
    await page.waitForFunction(() => !document.querySelector('.check-line.waived'));
    assert.equal(check(claim).waived, before.waived);
    await keyboard.press('Control+Shift+Z');
    await page.waitForSelector('.check-line.waived');
    assert.equal(check(claim).waived, before.waived + 1);
    page.quiet();
});

test('keys take stretches, stops and all; n goes to the next without a place; Y takes what is sure enough', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    const held = () => page.locator('.tile[aria-selected="true"]').count();
    await keyboard.press('Home');
    await keyboard.press('Shift+ArrowRight');
    await keyboard.press('Shift+ArrowRight');
    assert.equal(await held(), 3);
    await keyboard.press('1');
    await settled(page);
    assert.equal(gablebook('list', claim, '--place', 'front', '--json').match(/"number"/g).length, 3);
    await keyboard.press('n');
    assert.equal(await held(), 1);
    assert.equal(
        await page.evaluate(() => document.querySelector('.tile.cursor .where').textContent === 'Front elevation'),
        false,
    );
    await keyboard.press('Control+ArrowRight');
    await keyboard.press('Space');
    assert.equal(await held(), 2);
    await keyboard.press('Escape');
    assert.equal(await held(), 0);
    await keyboard.press('Home');
    await keyboard.press('s');
    const stop = await page.evaluate(() => document.querySelectorAll('.tile[aria-selected="true"]').length);
    assert.equal(stop >= 1, true);

    await page.waitForSelector('.tile.believed');
    const sure = Number((await page.locator('.beliefs button').textContent()).match(/\d+/)[0]);
    assert.equal(sure > 10, true, `${sure} suggestions are 90 % sure`);
    await keyboard.press('Shift+Y');
    await page.waitForFunction(
        (n) => document.querySelectorAll('.questions button')[1].lastChild.textContent <= n,
        54 - sure,
    );
    await settled(page);
    assert.equal(list(claim).filter(({ place }) => place).length >= sure, true);
    page.quiet();
});

test('? shows every key, and single keys can be switched off', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await keyboard.press('?');
    await page.getByRole('dialog', { name: 'Keys' }).waitFor();
    assert.equal((await page.locator('.help-groups dt').count()) > 35, true);
    await page.getByLabel(/Single keys are commands/).uncheck();
    await keyboard.press('Escape');
    await page.locator('#sheet').focus();
    await keyboard.press('Home');
    await keyboard.press('1');
    await keyboard.press('Control+z'); // with Ctrl they still work; there is only the import to undo
    await page.getByText('No photos in this claim yet').waitFor();
    await keyboard.press('Control+Shift+Z');
    await page.waitForSelector('.tile:visible');
    assert.equal(list(claim).filter(({ place }) => place).length, 0);
    page.quiet();
});

test('what only a weak photo shows is weak in the check, and lacks on the plan and in the tally', async () => {
    const claim = claimOfCard();
    const { number } = list(claim).find(({ file }) => file === 'IMG_2124.JPG'); // overexposed, says truth.csv
    gablebook('tag', claim, String(number), '--place', 'left', '--subject', 'overview');
    assert.equal(check(claim).weak, 1);
    const served = await serve(claim),
        page = await open(served.url);
    const [{ id }] = (await page.evaluate(() => fetch('/api/claim').then((answer) => answer.json()))).places.filter(
        ({ label }) => label === 'left',
    );
    assert.match(await page.locator(`g[data-place="${id}"] .spoken`).textContent(), /, 1 weak/);
    assert.match(await page.locator('#tally').textContent(), /▲ \d+ missing, 1 weak/);
    await page.keyboard.press('k');
    const line = page.locator('.check-line.weak');
    assert.match(await line.textContent(), /▲ weak.*elevation overview, left.*only weak: shot/);
    assert.match(await page.locator('.check-sum').textContent(), /1 weak/);
    await line.getByRole('button', { name: 'Waive' }).click();
    await page.locator('#sentence').fill('the sun stood behind the house');
    await page.keyboard.press('Control+Enter');
    await page.locator('.check-line.waived').waitFor();
    await settled(page);
    assert.equal(check(claim).weak, 0);
    page.quiet();
});

test('a word on a clock is said by keys: refused it stays to be mended, kept the focus stays where it was', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await page.keyboard.press('f');
    const field = page.locator('.camera-row input').first();
    const here = () => field.evaluate((input) => input === document.activeElement);
    await field.focus();
    await page.keyboard.type('slowish');
    await page.keyboard.press('Enter');
    await page.locator('#told', { hasText: 'slowish' }).waitFor();
    assert.equal(await field.inputValue(), 'slowish');
    assert.equal(await here(), true);
    await field.fill('67 min slow');
    await page.keyboard.press('Enter');
    await page.locator('.camera-row', { hasText: '1 h 7 min slow' }).waitFor();
    await settled(page);
    assert.equal(JSON.parse(gablebook('clock', claim, '--json')).some(({ said }) => said === '67 min slow'), true);
    await page.waitForFunction(() => document.activeElement?.closest('.camera-row'));
    page.quiet();
});

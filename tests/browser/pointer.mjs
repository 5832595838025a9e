// pointer.mjs -- the same work by pointer alone.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { check, claimOfCard, list, open, seek, serve, settled, shot, tile } from './support.mjs';

const part = (page, title) => page.locator('#plan').getByRole('button', { name: new RegExp(`^${title}:`) });
async function drag(page, from, to) {
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2, { steps: 4 });
    await page.mouse.move(to.x, to.y, { steps: 4 });
    await page.mouse.up();
}
const middle = async (locator) => {
    const box = await locator.boundingBox();
    return { x: box.x + box.width / 2, y: box.y + box.height / 2, box };
};
const placed = (claim, place) =>
    list(claim)
        .filter((one) => one.place === place)
        .map(({ number }) => number);

test('every photo is placed by pointer: click, Shift, a frame, dragging onto the plan, the tick on a suggestion', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await (await seek(page, 8)).click();
    await page.locator('.plate', { hasText: 'site' }).click();
    await settled(page);
    assert.deepEqual(placed(claim, 'site'), [8]);

    await (await seek(page, 9)).click();
    await (await seek(page, 12)).click({ modifiers: ['Shift'] });
    assert.equal(await page.locator('.tile[aria-selected="true"]:visible').count(), 4);
    await part(page, 'Front elevation').click();
    await settled(page);
    assert.deepEqual(placed(claim, 'front'), [9, 10, 11, 12]);

    // A frame from the gap left of one tile to the middle of another takes all that it touches.
    const a = (await middle(tile(page, 13))).box,
        b = await middle(tile(page, 15));
    await drag(page, { x: a.x - 5, y: a.y + 5 }, b);
    const numbers = await page.evaluate(() =>
        [...document.querySelectorAll('.tile[aria-selected="true"]')]
            .map((one) => Number(one.dataset.number))
            .sort((x, y) => x - y),
    );
    assert.deepEqual(numbers, [13, 14, 15]);
    // What is in the hand is carried onto the plan.
    await drag(page, await middle(tile(page, 14)), await middle(part(page, 'Front elevation')));
    await settled(page);
    assert.deepEqual(placed(claim, 'front'), [9, 10, 11, 12, 13, 14, 15]);

    await (await seek(page, 16)).click();
    await page.waitForSelector('#shot-16.believed');
    assert.match(await tile(page, 16).locator('.where').textContent(), /^front\? \d+ %$/);
    assert.match(await page.locator('#hand .belief-box').textContent(), /% sure: .*heading/);
    await tile(page, 16).locator('[data-act="take"]').click();
    await settled(page);
    assert.equal(shot(claim, 16).place, 'front');

    // All above a chosen confidence, until none is left; then the rest by what the plan says.
    await page.locator('#sure').fill('50');
    for (let left = 99; left > 0;) {
        await page.locator('.beliefs button').click();
        await settled(page);
        left = list(claim).filter(({ place }) => !place).length;
        if (
            (await page.locator('.beliefs:visible').count()) === 0 ||
            (await page.locator('.beliefs button:disabled').count())
        )
            break;
    }
    await page
        .getByRole('button', { name: /^No place/ })
        .click({ timeout: 3000 })
        .catch(() => {}); // gone when every photo has one
    for (const one of list(claim).filter(({ place }) => !place)) {
        await (await seek(page, one.number)).click();
        await part(page, 'Roof').click();
    }
    await settled(page);
    assert.equal(check(claim).unplaced, 0);
    page.quiet();
});

test('subject, distance, value, caption and leaving out are said with the pointer and the tray', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await (await seek(page, 20)).click();
    const tray = page.locator('#hand');
    await tray.getByRole('button', { name: /^Subject/ }).click();
    await page.getByRole('option', { name: /^Test square/ }).click();
    await tray.getByRole('button', { name: /^Mid-range/ }).click();
    await tray.getByLabel(/^Value/).fill('9');
    await tray.getByLabel(/^Caption/).fill('Test square on the right side');
    await tray.getByLabel(/^Leave out/).check();
    await settled(page);
    const said = shot(claim, 20);
    assert.deepEqual(
        [said.subject, said.distance, said.value, said.caption, said.left_out],
        ['Test square', 'mid-range', '9', 'Test square on the right side', true],
    );
    await page.locator('#undo').click();
    await page.waitForFunction(() => !document.querySelector('#hand .f-out input').checked);
    assert.equal(shot(claim, 20).left_out, false);
    // What the subject can't carry is refused with one sentence, and what was there comes back.
    await tray.getByLabel(/^Value/).fill('several');
    await tray.getByLabel(/^Caption/).click();
    await page.locator('#told .bad').waitFor();
    assert.equal(shot(claim, 20).value, '9');
    await page.waitForFunction(() => document.querySelector('#hand .f-value input').value === '9');
    page.quiet();
});

test('photos are put in order within their chapter by dragging and by keys, and captions are written in place', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await (await seek(page, 9)).click();
    await (await seek(page, 12)).click({ modifiers: ['Shift'] });
    await part(page, 'Front elevation').click();
    await settled(page);
    await page.getByRole('button', { name: 'Order', exact: true }).click();
    const order = () =>
        page.evaluate(() => [...document.querySelectorAll('.card')].map((one) => Number(one.dataset.number)));
    await page.waitForFunction(() => document.querySelectorAll('.card').length === 4);
    assert.deepEqual(await order(), [9, 10, 11, 12]);
    const to = await middle(page.locator('.card[data-number="9"] .card-pic'));
    await drag(page, await middle(page.locator('.card[data-number="12"] .card-pic')), { x: to.x - 60, y: to.y });
    await settled(page);
    await page.waitForFunction(() => document.querySelector('.card').dataset.number === '12');
    assert.deepEqual(await order(), [12, 9, 10, 11]);
    await page.locator('.card[data-number="12"] .handle').focus();
    await page.keyboard.press('ArrowRight');
    await page.waitForFunction(() => document.querySelectorAll('.card')[1].dataset.number === '12');
    await settled(page);
    await page.getByLabel('Caption of shot 10').fill('From the left corner');
    await page.getByLabel('Caption of shot 11').fill('From the right corner');
    await page.getByLabel('Caption of shot 12').focus();
    await settled(page);
    assert.equal(shot(claim, 10).caption, 'From the left corner');
    assert.equal(shot(claim, 11).caption, 'From the right corner');
    await page.reload();
    await page.waitForSelector('body.ready');
    await page.getByRole('button', { name: 'Order', exact: true }).click();
    await page.waitForFunction(() => document.querySelectorAll('.card').length === 4);
    assert.deepEqual(await order(), [9, 12, 10, 11]);
    page.quiet();
});

test('a line of the check leads to where it would be filled, and a search to what was said', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await page.waitForSelector('.tile.believed');
    await page.getByRole('button', { name: /^Check/ }).click();
    await page
        .getByRole('button', { name: 'overview, rear', exact: true })
        .or(page.getByRole('button', { name: /overview, rear$/ }))
        .first()
        .click();
    await page.locator('.only', { hasText: 'Rear elevation, and photos that may belong there' }).waitFor();
    assert.equal(await page.locator('.part.wanted').count(), 1);
    const believed = await page.locator('.tile:visible').count();
    assert.equal(believed > 0 && believed < 54, true);
    await page.locator('.tile:visible').first().click();
    await page
        .locator('#hand')
        .getByLabel(/^Caption/)
        .fill('the condenser behind the house');
    await page.locator('#words').fill('');
    await settled(page);
    await page.locator('.only').click();
    await page.locator('#words').fill('condenser behind');
    await page.waitForFunction(() => document.querySelectorAll('.tile:not([hidden])').length === 1);
    page.quiet();
});

test('facts and structures are forms: what is kept there is in the claim, and the plan is drawn anew', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await page.getByRole('button', { name: 'Claim', exact: true }).click();
    await page.getByLabel('Claim number').fill('H-20417');
    await page.getByLabel('The front faces').fill('SSE');
    await page.getByRole('button', { name: 'Keep the facts' }).click();
    await page.locator('#plan', { hasText: 'The front faces SSE' }).waitFor();
    const form = page.locator('form.structure').last();
    await form.getByLabel('Name').fill('shed');
    await form.getByRole('group', { name: 'Walls' }).getByLabel('front').check();
    await form.getByRole('button', { name: 'Add the structure' }).click();
    await part(page, 'Shed: front elevation').waitFor();
    await page.getByRole('button', { name: 'Take out shed' }).click();
    await part(page, 'Shed: front elevation').waitFor({ state: 'detached' });
    page.quiet();
});

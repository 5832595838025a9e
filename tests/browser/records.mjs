// records.mjs -- findings, facts, test squares, notes and roof measurements, written in the page.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { claimOfCard, gablebook, open, seek, serve, settled, tile } from './support.mjs';

const recorded = (page) => page.evaluate(async () => (await fetch('/api/recorded')).json());

test('a finding is written about the photos in the hand, changed, taken out and brought back', async () => {
    const claim = claimOfCard();
    gablebook('tag', claim, '13-16', '--place', 'front', '--subject', 'screen damage');
    const served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await (await seek(page, 13)).click();
    await (await tile(page, 16)).click({ modifiers: ['Shift'] });
    await keyboard.press('j');
    const dialog = page.getByRole('dialog', { name: 'A finding' });
    assert.equal(await dialog.getByLabel('Photos that prove it').inputValue(), '13, 14, 15, 16');
    await dialog.getByLabel('What is damaged').selectOption('window-screen');
    await dialog.getByLabel('What did it').selectOption('hail');
    await dialog.getByLabel('What is to be done').selectOption('remove and replace');
    await dialog.getByLabel('How much').fill('2');
    await keyboard.press('Enter');
    await settled(page);
    let [finding] = (await recorded(page)).findings;
    assert.deepEqual(
        [finding.component, finding.cause, finding.quantity_shown, finding.shots],
        ['window-screen', 'hail', '2 EA', [13, 14, 15, 16]],
    );
    await keyboard.press('q');
    await page.getByRole('button', { name: 'Window screen' }).click();
    await page.getByLabel('How much').fill('3');
    await page.getByRole('dialog').getByLabel('Note').fill('<b>two torn, one dented</b>');
    await page.getByRole('button', { name: 'Keep', exact: true }).click();
    await page.getByRole('cell', { name: '3 EA' }).waitFor();
    await page.getByRole('cell', { name: '<b>two torn, one dented</b>' }).waitFor();
    await page.getByRole('button', { name: 'Window screen' }).click();
    await page.getByRole('button', { name: 'Take it out' }).click();
    await page.getByRole('button', { name: 'Window screen' }).waitFor({ state: 'detached' });
    await keyboard.press('Control+z');
    await page.getByRole('button', { name: 'Window screen' }).waitFor();
    [finding] = (await recorded(page)).findings;
    assert.equal(finding.quantity, '3');
    page.quiet();
});

test('facts, a test square, a note and a roof measurement are forms; the plan takes the measured proportions', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    await page.keyboard.press('q');
    await page.getByRole('button', { name: 'Add a fact' }).click();
    await page.getByLabel('Which').selectOption({ label: 'Storeys' });
    await page.getByLabel('Where').selectOption({ label: 'Dwelling' });
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Keep', exact: true }).click();
    await page
        .getByRole('dialog', { name: /^Storeys/ })
        .getByLabel('Storeys')
        .fill('1');
    await page.getByRole('button', { name: 'Keep', exact: true }).click();
    await page.getByRole('button', { name: 'Storeys' }).waitFor();

    await page.getByRole('button', { name: 'Add a test square' }).click();
    await page.getByLabel('Slope', { exact: true }).selectOption({ label: 'Front slope' });
    await page.getByLabel('Hits counted').fill('9');
    await page.getByRole('button', { name: 'Keep', exact: true }).click();
    await page.getByRole('button', { name: 'Front slope', exact: true }).waitFor();

    await page.getByRole('button', { name: 'Add a note' }).click();
    await page.getByRole('dialog').getByLabel('Note').fill('The owner was present.');
    await page.getByLabel('Stands in the report').check();
    await page.getByRole('button', { name: 'Keep', exact: true }).click();
    await page.getByRole('button', { name: 'The owner was present.' }).waitFor();

    const tall = () => page.evaluate(() => document.querySelector('.sketch').viewBox.baseVal.height);
    const before = await tall();
    await page.getByRole('button', { name: 'Add a measurement' }).click();
    await page.getByLabel('Slope, or a whole structure').selectOption('dwelling');
    await page.getByLabel('Shape', { exact: true }).selectOption('hip');
    await page.getByLabel('Width', { exact: true }).fill('40 ft');
    await page.getByLabel('Depth', { exact: true }).fill('40 ft');
    await page.getByLabel('Pitch', { exact: true }).fill('6/12');
    await page.getByRole('button', { name: 'Keep', exact: true }).click();
    await page.locator('#plan', { hasText: 'Proportions as measured of dwelling' }).waitFor();
    assert.ok((await tall()) > before, 'as deep as it is wide now');
    const { facts, squares, notes, roof } = await recorded(page);
    assert.deepEqual(
        [facts.length, squares[0].hits, notes[0].text, notes[0].in_report],
        [1, 9, 'The owner was present.', true],
    );
    // 40 ft by 40 ft at 6 in 12: 1600 sq ft of plan times the slope's factor, the square root of 1 + 0.25.
    assert.ok(Math.abs(roof.structures[0].quantities.area.amount - 1600 * Math.sqrt(1.25)) < 1);
    page.quiet();
});

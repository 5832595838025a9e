// report.mjs -- the report is built, shown and handed over.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import fs from 'node:fs';
import { test } from 'node:test';
import { claimOfCard, gablebook, open, serve } from './support.mjs';

test('the report is built with progress, shown in the page and handed over as the file that lies in the claim', async () => {
    const claim = claimOfCard();
    gablebook('tag', claim, '9-12', '--place', 'front', '--subject', 'overview');
    const served = await serve(claim),
        page = await open(served.url);
    await page.keyboard.press('r');
    await page.getByText('No report has been built yet').waitFor();
    await page.getByRole('button', { name: 'Build it' }).click();
    await page.getByText('photo-report.html is built.').waitFor({ timeout: 120000 });
    const inside = page.frameLocator('iframe.preview');
    await inside.locator('h1', { hasText: '418 Elm Lane' }).waitFor();
    assert.ok((await inside.locator('figure').count()) > 3);
    const coming = page.waitForEvent('download');
    await page.getByRole('link', { name: /^Download/ }).click();
    const file = await (await coming).path();
    const lies = fs.readdirSync(`${claim}/reports`).filter((name) => name.endsWith('.html'));
    assert.equal(fs.readFileSync(file).equals(fs.readFileSync(`${claim}/reports/${lies[0]}`)), true);
});

test('the reader, format, paper and size are chosen, and only what matters is asked', async () => {
    const claim = claimOfCard();
    const served = await serve(claim),
        page = await open(served.url);
    await page.keyboard.press('r');
    const what = page.getByLabel('What', { exact: true }),
        format = page.getByLabel('Format');
    await what.selectOption('sheet for the reviewer');
    assert.equal(await page.getByLabel('Pictures').isVisible(), false);
    assert.equal(await page.getByLabel('Paper').isVisible(), false);
    await what.selectOption('summary for the insured');
    await format.selectOption('PDF');
    await page.getByLabel('Paper').selectOption('A4');
    await page.getByLabel('Days and numbers').selectOption('en-US');
    await page.getByLabel('Photos on a page').selectOption('4');
    await page.getByLabel('At most').selectOption('5 MB');
    const asked = page.waitForRequest('**/api/report');
    await page.getByRole('button', { name: 'Build it' }).click();
    assert.deepEqual((await asked).postDataJSON(), {
        what: 'photo report',
        reader: 'insured',
        format: 'PDF',
        paper: 'A4',
        locale: 'en-US',
        picture_px: 1280,
        budget_bytes: 5000000,
        per_page: 4,
    });
    const coming = page.waitForEvent('download', { timeout: 120000 });
    await page.getByRole('link', { name: 'Download insured-summary.pdf' }).click({ timeout: 120000 });
    const file = await (await coming).path();
    assert.ok(fs.readFileSync(file).equals(fs.readFileSync(`${claim}/reports/insured-summary.pdf`)));
    await what.selectOption('brief, one page before the visit');
    assert.equal(await format.isVisible(), false);
});

test('the whole claim is put into a zip, taken along and verified; what differs is told, and other work goes on meanwhile', async () => {
    const claim = claimOfCard();
    const served = await serve(claim),
        page = await open(served.url);
    await page.keyboard.press('r');
    const place = page.getByRole('region', { name: 'Hand over the whole claim, or verify it' });
    assert.equal(await place.getByRole('button', { name: 'Verify the zip' }).isVisible(), false);
    await place.getByRole('button', { name: 'Put the claim into a zip' }).click();
    await place.getByText('55 files and their digests are in the zip.').waitFor({ timeout: 120000 });
    const coming = page.waitForEvent('download');
    await place.getByRole('link', { name: /^Download/ }).click();
    const download = await coming,
        file = await download.path();
    assert.equal(download.suggestedFilename(), `${claim.split('/').pop()}.claim.zip`);
    assert.equal(gablebook('verify', `${claim}.claim.zip`).includes('Sound: nothing differs.'), true);
    assert.ok(fs.readFileSync(file).equals(fs.readFileSync(`${claim}.claim.zip`)));
    await place.getByRole('button', { name: 'Verify the zip' }).click();
    await place.getByText('● The zip: Sound: nothing differs.').waitFor();

    const name = fs.readdirSync(`${claim}/originals`)[0];
    fs.chmodSync(`${claim}/originals/${name}`, 0o644);
    fs.appendFileSync(`${claim}/originals/${name}`, 'x');
    await place.getByRole('button', { name: 'Verify the claim' }).click();
    await page.getByRole('button', { name: 'Photos', exact: true }).click(); // the view may be left
    gablebook('note', claim, 'said meanwhile');
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('said meanwhile'));
    await page.getByRole('button', { name: 'Report', exact: true }).click();
    await place.getByText('▲ The claim: 1 thing differs.').waitFor();
    await place.locator('li', { hasText: `originals/${name}: is no longer the file that was taken in` }).waitFor();
    page.quiet();
});

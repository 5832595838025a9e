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

// touch.mjs -- a tablet in the hands, and a quick look on a phone.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { claimOfCard, list, open, seek, serve, settled, tile } from './support.mjs';

test('with fingers alone: taps take photos, the plan places them, the loupe opens one', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url, { viewport: { width: 1024, height: 768 }, hasTouch: true, isMobile: true });
    await (await seek(page, 2)).tap();
    await (await seek(page, 3)).tap();
    assert.equal(await page.locator('.tile[aria-selected="true"]:visible').count(), 2);
    await page
        .locator('#plan')
        .getByRole('button', { name: /^Fence:/ })
        .tap();
    await settled(page);
    assert.deepEqual(
        list(claim)
            .filter(({ place }) => place === 'fence')
            .map(({ number }) => number),
        [2, 3],
    );
    await tile(page, 1).locator('.loupe').tap();
    await page.locator('dialog.viewer[open]').waitFor();
    await page.getByRole('button', { name: 'Next' }).tap();
    await page.locator('.viewer-title', { hasText: 'Shot 2' }).waitFor();
    await page.getByRole('button', { name: 'Back' }).tap();
    assert.equal(await page.locator('dialog.viewer[open]').count(), 0);
    page.quiet();
});

test('at 360 px nothing lies beside the screen, and everything can be reached', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url, { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });
    const fits = () =>
        page.evaluate(
            () => document.documentElement.scrollWidth <= innerWidth && document.body.scrollWidth <= innerWidth,
        );
    for (const view of ['Photos', 'Order', /^Check/, 'Facts', 'Findings', 'Roof', 'Claim', 'History', 'Report']) {
        await page.locator('#views').getByRole('button', { name: view }).tap();
        assert.equal(await fits(), true, `${view} fits`);
    }
    await page.locator('#views').getByRole('button', { name: 'Photos' }).tap();
    await page.getByRole('button', { name: 'Unfold the plan' }).tap();
    await (await seek(page, 1)).tap();
    const part = page.locator('#plan').getByRole('button', { name: /^Rear elevation:/ });
    const box = await part.boundingBox();
    assert.equal(box.height >= 24 && box.width >= 24, true, 'large enough for a finger (WCAG 2.5.8)');
    await part.tap();
    await settled(page);
    assert.equal(list(claim).find(({ number }) => number === 1).place, 'rear');
    page.quiet();
});

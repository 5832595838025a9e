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

for (const width of [360, 390, 640, 700, 1024]) {
    test(`all views are in sight without scrolling, and large enough for a finger: ${width} px`, async () => {
        const claim = claimOfCard(),
            served = await serve(claim),
            page = await open(served.url, { viewport: { width, height: 740 }, hasTouch: true, isMobile: true });
        const beside = await page.locator('#views').evaluate((nav) => nav.scrollWidth - nav.clientWidth);
        assert.equal(beside <= 0, true, `${beside} px are out of sight`);
        const tabs = page.locator('#views button');
        assert.equal(await tabs.count(), 9);
        for (const tab of await tabs.all()) {
            const name = await tab.textContent(),
                { x, y, width: wide, height } = await tab.boundingBox();
            assert.equal(x >= 0 && x + wide <= width && y >= 0, true, `${name} is in sight`);
            // WCAG 2.5.8 wants 24; 2.5.5 (AAA) 44.
            assert.equal(wide >= 44 && height >= (width <= 640 ? 44 : 34), true, `${name}: ${wide} by ${height}`);
            assert.equal(await tab.evaluate((one) => one.scrollWidth <= one.clientWidth), true, `${name} is read whole`);
        }
        page.quiet();
    });
}

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

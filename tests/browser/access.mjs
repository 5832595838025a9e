// access.mjs -- axe-core finds nothing in any view, light or dark; nothing moves for those who asked for stillness.
//
// Source: axe-core's rules for WCAG 2.0 to 2.2, levels A and AA. What they can't see (keys, words besides colour) the
// other suites hold.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { axeSource, claimOfCard, gablebook, open, seek, serve, tile } from './support.mjs';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

async function clean(page, where) {
    const { violations } = await page.evaluate(
        (tags) =>
            window.axe.run(document, { runOnly: tags, iframes: false, rules: { 'target-size': { enabled: true } } }),
        TAGS,
    );
    assert.deepEqual(
        violations.map(
            (one) =>
                `${where}: ${one.id}: ${one.help}: ${one.nodes
                    .slice(0, 3)
                    .map((node) => `${node.html.slice(0, 160)} (${node.any[0]?.message ?? node.all[0]?.message ?? ''})`)
                    .join(' | ')}`,
        ),
        [],
    );
}

for (const [colorScheme, viewport] of [
    ['light', { width: 1440, height: 900 }],
    ['dark', { width: 1440, height: 900 }],
    ['light', { width: 390, height: 844 }],
    ['dark', { width: 1024, height: 768 }],
]) {
    test(`axe-core finds nothing in any view: ${colorScheme}, ${viewport.width} px`, async () => {
        const claim = claimOfCard();
        gablebook('tag', claim, '9-12', '--place', 'front', '--subject', 'overview');
        gablebook('tag', claim, '14', '--leave-out');
        gablebook('waive', claim, 'slope overview garage right slope', '--why', 'too steep');
        gablebook('note', claim, 'the owner was present', '--report');
        gablebook(
            'finding',
            claim,
            'add',
            '--shots',
            '9',
            '--place',
            'front',
            '--component',
            'gutter',
            '--cause',
            'hail',
        );
        const served = await serve(claim),
            page = await open(served.url, { colorScheme, viewport, bypassCSP: true });
        await page.evaluate(axeSource());
        await page.waitForSelector('.tile.believed');
        await clean(page, 'photos, empty hand');
        await (await seek(page, 1)).click();
        await clean(page, 'photos, one in hand');
        await page.keyboard.press('Shift+ArrowRight');
        await clean(page, 'photos, two in hand');
        await page.keyboard.press('t');
        await clean(page, 'choosing a subject');
        await page.keyboard.press('Escape');
        await page.keyboard.press('Enter');
        await page.locator('dialog.viewer[open]').waitFor();
        await page.keyboard.press('d');
        await clean(page, 'viewer, drawing');
        await page.keyboard.press('Escape');
        await page.keyboard.press('Escape');
        for (const key of ['a', 'q', 'j', 'l', 'k', 'f', 'h', 'r', '?', 'i']) {
            await page.keyboard.press(key);
            await page.evaluate(
                () =>
                    new Promise((done) => {
                        requestAnimationFrame(() => requestAnimationFrame(done));
                    }),
            );
            await clean(page, `after ${key}`);
            if (key === '?') await page.keyboard.press('Escape');
        }
    });
}

test('every module is named in index.html, so that they come at once and not one after the other', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url);
    const { loaded, named } = await page.evaluate(() => ({
        loaded: performance
            .getEntriesByType('resource')
            .map(({ name }) => name)
            .filter((name) => name.endsWith('.js') && !name.endsWith('main.js'))
            .sort(),
        named: [...document.querySelectorAll('link[rel="modulepreload"], script[src$="api.js"]')]
            .map(({ href, src }) => href ?? src)
            .sort(),
    }));
    assert.deepEqual([...new Set(loaded)], named);
});

test('who asked for stillness sees nothing move', async () => {
    const claim = claimOfCard(),
        served = await serve(claim),
        page = await open(served.url, { reducedMotion: 'reduce' });
    await (await seek(page, 1)).click();
    await page.keyboard.press('3');
    await page.locator('#told p').first().waitFor();
    const moving = await page.evaluate(
        () =>
            [...document.querySelectorAll('*')].filter((one) => {
                const s = getComputedStyle(one);
                return s.animationName !== 'none' || s.transitionDuration.split(', ').some((d) => parseFloat(d) > 0);
            }).length,
    );
    assert.equal(moving, 0);
});

// reports.mjs -- what leaves the house, as a browser shows it: axe-core finds nothing in any reader's page, wide, narrow, light or dark.
//
// Source: axe-core's rules for WCAG 2.0 to 2.2, levels A and AA, and its best practices; reflow at 320 px is WCAG 2.2, 1.4.10.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import path from 'node:path';
import { test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { axeSource, claimOfCard, gablebook, room, start } from './support.mjs';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

// A claim that has something for every part of every page.
function fullClaim() {
    const claim = claimOfCard();
    const say = (verb, ...words) => gablebook(verb, claim, ...words);
    say('suggest', '--accept', '0.9');
    say('edit', '--claim-number', 'H-20417', '--loss-date', '2026-05-12', '--inspected', '2026-05-14');
    say('tag', '1', '--place', 'site', '--subject', 'address', '--caption', 'House number at the drive');
    say('tag', '9', '--place', 'front', '--subject', 'overview');
    say('tag', '10', '--place', 'front', '--subject', 'gutter damage');
    say('tag', '14', '--leave-out');
    say('waive', 'slope overview garage right slope', '--why', 'too steep');
    say('note', 'the owner was present', '--report');
    say('mark', '9', 'ellipse', '0.4,0.4 0.6,0.6', '--text', 'dent');
    const gutter = ['--place', 'front', '--component', 'gutter', '--cause', 'hail', '--action', 'replace'];
    say('finding', 'add', ...gutter, '--shots', '10', '--quantity', '32 LF');
    say('finding', 'add', '--place', 'rear', '--component', 'siding', '--cause', 'wind');
    say('fact', 'roof', 'covering', 'laminated asphalt shingle', '--shots', '45');
    say('square', 'rear slope', '--hits', '9');
    say('roof', 'dwelling', 'hip', '--width', '40ft', '--depth', '30ft', '--pitch', '9/12');
    return claim;
}

const pages = {
    'photo report': ['report', '--picture-size', '320', '--sender', 'Tarn Adjusting', '--sender-address', 'Alder Falls'],
    'reviewer sheet': ['report', '--for', 'reviewer', '--locale', 'de-DE'],
    'insured summary': ['report', '--for', 'insured', '--picture-size', '320', '--next', 'We send this on.'],
    'scope sheet': ['scope', '--html', '--locale', 'en-US'],
    brief: ['brief', '--html'],
};

let claim = null;
function build(name) {
    claim ??= fullClaim();
    const [verb, ...options] = pages[name],
        file = path.join(room, `${name}.html`);
    gablebook(verb, claim, ...options, '--out', file);
    return pathToFileURL(file).href;
}

const findings = ({ violations }) =>
    violations.map(
        (one) =>
            `${one.id}: ${one.help}: ${one.nodes
                .slice(0, 3)
                .map((node) => `${node.html.slice(0, 160)} (${node.any[0]?.message ?? node.all[0]?.message ?? ''})`)
                .join(' | ')}`,
    );

for (const name of Object.keys(pages))
    test(`axe-core finds nothing in the ${name}, and nothing is wider than a narrow page`, async () => {
        const url = build(name),
            browser = await start();
        for (const [colorScheme, width] of [
            ['light', 1280],
            ['dark', 1280],
            ['light', 320],
        ]) {
            const context = await browser.newContext({ colorScheme, viewport: { width, height: 800 }, bypassCSP: true }),
                page = await context.newPage();
            await page.goto(url);
            await page.evaluate(axeSource());
            const found = await page.evaluate((tags) => window.axe.run(document, { runOnly: tags }), TAGS);
            assert.deepEqual(findings(found), [], `${colorScheme}, ${width} px`);
            const wide = await page.evaluate(() => document.scrollingElement.scrollWidth);
            assert.ok(wide <= width, `${name}: ${wide} px wide on a page of ${width} px`);
            await context.close();
        }
    });

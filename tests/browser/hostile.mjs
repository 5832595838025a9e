// hostile.mjs -- markup in captions, names and facts is shown as text everywhere; the page runs nothing that is not
// its own.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { empty, gablebook, open, photos, room, seek, serve, settled, tile } from './support.mjs';

const EVIL = '<img src=x onerror="window.hurt=1"><script>window.hurt=1</script>"\'&amp;';

test('markup in a caption, a value, a file name, an address and a waiver is shown as text in every view', async () => {
    const claim = empty('--adjuster', EVIL),
        folder = fs.mkdtempSync(path.join(room, 'evil-'));
    fs.copyFileSync(path.join(photos, 'IMG_2101.JPG'), path.join(folder, '<img src=x onerror=window.hurt=1>.jpg'));
    gablebook('import', claim, folder);
    gablebook('tag', claim, '1', '--place', 'front', '--subject', 'siding', '--value', EVIL, '--caption', EVIL);
    gablebook('waive', claim, 'test square rear slope', '--why', EVIL);
    gablebook('structure', claim, '<b>barn', '--kind', 'barn', '--rooms', '<i>loft', '--slopes', 'left,right');
    gablebook('note', claim, EVIL, '--place', 'roof', '--report');
    gablebook('fact', claim, 'roof', 'condition', 'fair', '--note', EVIL);
    gablebook('square', claim, 'rear slope', '--not-drawn', EVIL);
    gablebook('finding', claim, 'add', '--shots', '1', '--place', 'roof', '--component', 'shingles', '--note', EVIL);
    gablebook('roof', claim, '<b>barn', 'gable', '--width', '20ft', '--depth', '30ft', '--pitch', '4/12');
    const served = await serve(claim),
        page = await open(served.url);
    const sound = async (where) => {
        assert.equal(await page.evaluate(() => window.hurt), undefined, where);
        assert.equal(
            await page.evaluate(
                () => document.querySelectorAll('img[src="x"], main b > *, main script, dialog script').length,
            ),
            0,
            where,
        );
    };
    await page.waitForFunction((text) => document.querySelector('#shot-1 .what').textContent === text, EVIL);
    await (await seek(page, 1)).click();
    assert.equal(
        await page
            .locator('#hand')
            .getByLabel(/^Caption/)
            .inputValue(),
        EVIL,
    );
    await sound('the sheet');
    await page.keyboard.press('Enter');
    await page.locator('dialog.viewer[open]').waitFor();
    await sound('the viewer');
    await page.keyboard.press('Escape');
    await page.keyboard.press('p');
    await page.getByRole('option', { name: /<b>barn <i>loft/ }).waitFor();
    await sound('the choice of places');
    await page.keyboard.press('Escape');
    for (const [key, holds] of [
        ['a', '.card'],
        ['k', '.check-line.waived'],
        ['q', '.note-text'],
        ['j', '.finding'],
        ['l', '.roof-plan img'],
        ['f', 'form.claim-facts'],
        ['h', '.entries li'],
    ]) {
        await page.keyboard.press(key);
        await page.locator(holds).first().waitFor();
        await sound(holds);
    }
    const drawing = await page.evaluate(async () => {
        const { roof } = await (await fetch('/api/recorded')).json();
        return (await fetch(`/api/roof-plan/${roof.structures[0].structure}`)).text();
    });
    assert.match(drawing, /&lt;b&gt;barn/);
    await page.keyboard.press('k');
    assert.ok((await page.locator('.check-line.waived').textContent()).includes(EVIL));
    await page.keyboard.press('b');
    await page.locator('#words').fill('<script>');
    await page.waitForFunction(() => document.querySelectorAll('.tile:not([hidden])').length === 1);
    await sound('the search');
    await settled(page);
    page.quiet(); // nor did the policy have to stop anything
});

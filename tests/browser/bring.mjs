// bring.mjs -- photos come in by dropping them, by choosing, and from a folder of this machine.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { card, empty, list, open, photos, serve } from './support.mjs';

const digest = (file) => execFileSync('sha256sum', [file], { encoding: 'utf8' }).slice(0, 64);

// As a file manager would: a DataTransfer with the files, let go over the page.
async function drop(page, files) {
    const transfer = await page.evaluateHandle(
        async (parts) => {
            const data = new DataTransfer();
            for (const { name, base64 } of parts) {
                const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
                data.items.add(new File([bytes], name, { type: 'image/jpeg' }));
            }
            return data;
        },
        files.map(({ name, bytes }) => ({ name, base64: bytes.toString('base64') })),
    );
    await page.dispatchEvent('#table', 'dragenter', { dataTransfer: transfer });
    await page.dispatchEvent('#table', 'drop', { dataTransfer: transfer });
}
const read = (name) => ({ name, bytes: fs.readFileSync(path.join(photos, name)) });

test('dropped photos are in the claim byte for byte, what is no photo is named, and what is there already is left out', async () => {
    const claim = empty(),
        served = await serve(claim),
        page = await open(served.url);
    await page.getByText('No photos in this claim yet').waitFor();
    await drop(page, [
        read('IMG_2101.JPG'),
        read('IMG_2102.JPG'),
        { name: 'notes <b>.jpg', bytes: Buffer.from('not a photo') },
    ]);
    await page.locator('dialog', { hasText: 'Done: 2 taken in' }).waitFor();
    assert.match(await page.locator('.messages').textContent(), /notes <b>/);
    assert.equal(await page.locator('.messages b').count(), 0, 'a file name is text');
    await page.keyboard.press('Escape');
    await page.waitForFunction(() => document.querySelectorAll('.tile:not([hidden])').length === 2);
    assert.deepEqual(
        list(claim)
            .map(({ sha256 }) => sha256)
            .sort(),
        ['IMG_2101.JPG', 'IMG_2102.JPG'].map((name) => digest(path.join(photos, name))).sort(),
    );
    await drop(page, [read('IMG_2102.JPG'), read('IMG_2103.JPG')]);
    await page.locator('dialog', { hasText: 'Done: 1 taken in, 1 here already' }).waitFor();
    assert.equal(list(claim).length, 3);
    page.quiet();
});

test('a chosen folder, and one that is read where it lies, come in with progress', async () => {
    const claim = empty(),
        served = await serve(claim),
        page = await open(served.url);
    await page.keyboard.press('i');
    await page.locator('#pick-files').setInputFiles([path.join(photos, 'IMG_2101.JPG')]);
    await page.locator('dialog', { hasText: 'Done: 1 taken in' }).waitFor();
    await page.getByLabel('Or read from where they lie').fill(card());
    await page.getByRole('button', { name: 'Read' }).click();
    await page.locator('dialog', { hasText: 'Done: 53 taken in, 1 here already' }).waitFor({ timeout: 60000 });
    assert.equal(list(claim).length, 54);
    await page.getByLabel('Or read from where they lie').fill('/nowhere/at/all');
    await page.getByRole('button', { name: 'Read' }).click();
    await page.locator('dialog', { hasText: '/nowhere/at/all' }).waitFor();
});

test('who closes the dialog while photos are sent can go on working, and is told at the end', async () => {
    const claim = empty(),
        served = await serve(claim),
        page = await open(served.url);
    let free,
        asked = 0;
    const gate = new Promise((resolve) => {
        free = resolve;
    });
    await page.route('**/api/upload?*', async (route) => {
        if (asked++ > 0) await gate;
        await route.continue();
    });
    await drop(
        page,
        ['IMG_2101.JPG', 'IMG_2102.JPG', 'IMG_2103.JPG', 'IMG_2104.JPG', 'IMG_2105.JPG'].map((name) => read(name)),
    );
    await page.locator('dialog', { hasText: 'Sending: 1 of 5 files' }).waitFor();
    await page.keyboard.press('Escape');
    free();
    await page.locator('#told', { hasText: 'Done: 5 taken in' }).waitFor();
    assert.equal(await page.locator('dialog[open]').count(), 0);
    assert.equal(list(claim).length, 5);
    page.quiet();
});

test('what is sent waits for another job; files beside photos are counted; what could not be sent stays named', async () => {
    const claim = empty(),
        served = await serve(claim),
        page = await open(served.url);
    let refused = 0;
    await page.route('**/api/import', (route) =>
        refused++
            ? route.continue()
            : route.fulfill({ status: 409, json: { error: { code: 'busy', message: 'another job is running' } } }),
    );
    await page.route('**/api/upload?*bad.jpg', (route) =>
        route.fulfill({ status: 422, json: { error: { code: 'io', message: 'the disk is full' } } }),
    );
    await drop(page, [
        read('IMG_2101.JPG'),
        { name: 'estimate.pdf', bytes: Buffer.from('%PDF-1.4\n%%EOF\n') },
        { name: 'bad.jpg', bytes: Buffer.from('x') },
    ]);
    await page.locator('dialog', { hasText: 'Waiting until the other work is done' }).waitFor();
    await page.locator('dialog', { hasText: 'Done: 1 taken in, 1 other file kept beside them' }).waitFor();
    assert.match(await page.locator('.messages').textContent(), /bad\.jpg: the disk is full/);
    assert.equal(list(claim).length, 1);
    page.quiet();
});

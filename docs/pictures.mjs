// pictures.mjs PROGRAM CLAIM OUT -- the pictures of the sorting table, as PNG: run by pictures.sh, on a claim of the demo card of which little
// has been said yet.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { spawn } from 'node:child_process';
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { createInterface } from 'node:readline';

const [program, claim, out] = process.argv.slice(2);
const { chromium } = createRequire(path.join(process.env.GB_NPM, 'node_modules', 'x'))('playwright-core');

const server = spawn(program, ['open', claim, '--no-browser'], { stdio: ['ignore', 'pipe', 'inherit'] });
const url = await new Promise((resolve, reject) => {
    server.once('exit', (status) => reject(new Error(`gablebook open ended with ${status}`)));
    createInterface({ input: server.stdout }).on('line', (line) => line.startsWith('http://') && resolve(line.trim()));
});
const executablePath = process.env.PATH.split(':')
    .map((dir) => path.join(dir, 'chromium'))
    .find((one) => fs.existsSync(one));
process.on('exit', () => server.kill('SIGINT'));
const browser = await chromium.launch({ executablePath, args: process.getuid() === 0 ? ['--no-sandbox'] : [] });

async function open(width, height, more = {}) {
    const context = await browser.newContext({ viewport: { width, height }, reducedMotion: 'reduce', ...more });
    const page = await context.newPage();
    page.setDefaultTimeout(20000);
    await page.goto(url);
    await page.waitForSelector('body.ready');
    return page;
}
const tile = (page, number) => page.locator(`#shot-${number}`);
// Every picture in sight is there, and nothing has the focus.
const shoot = async (page, name) => {
    await page.evaluate(() => document.activeElement.blur());
    await page.waitForFunction(() => [...document.images].every((one) => one.complete));
    await page.screenshot({ path: path.join(out, `${name}.png`) });
};

// Three photos of one stop in the hand; then from the top again.
const table = await open(1440, 900);
await tile(table, 20).click();
await tile(table, 22).click({ modifiers: ['Shift'] });
await table.evaluate(() => {
    document.querySelector('#sheet').scrollTop = 0;
});
await table.getByLabel('Cameras').check();
await table.mouse.move(200, 800);
await shoot(table, 'sorting-table');

// A photo that was drawn on.
const marks = await open(1200, 750);
await marks.locator('#words').fill('test square');
await tile(marks, 39).click();
await marks.keyboard.press('Enter');
await marks.locator('dialog.viewer[open]').waitFor();
await marks.keyboard.press('d');
await shoot(marks, 'sorting-table-marks');

const phone = await open(390, 780, { hasTouch: true, isMobile: true });
await tile(phone, 9).tap();
await tile(phone, 10).tap();
await phone.evaluate(() => {
    document.querySelector('#sheet').scrollTop = 0;
});
await shoot(phone, 'sorting-table-phone');

await browser.close();
process.exit();

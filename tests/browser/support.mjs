// support.mjs -- what the browser suites share: a claim of the demo card, the program serving it, and Chromium
// looking at it.
//
// Nothing sleeps: every wait is for a condition of the page or of the claim. What a claim holds is asked of the
// command line, the other door, never of the page.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import { execFileSync, spawn } from 'node:child_process';
import fs from 'node:fs';
import { createRequire } from 'node:module';
import os from 'node:os';
import path from 'node:path';
import { createInterface } from 'node:readline';
import { after } from 'node:test';

const source =
    process.env.GB_SOURCE ??
    path.resolve(import.meta.dirname ?? path.dirname(new URL(import.meta.url).pathname), '../..');
const program = process.env.GB_PROGRAM ?? path.join(source, 'build/plain/gablebook');
const npm = process.env.GB_NPM ?? path.join(source, 'build/npm');
const need = createRequire(path.join(npm, 'node_modules', 'x'));
const { chromium } = need('playwright-core');

export const photos = path.join(source, 'demo-photos');
export const room = fs.mkdtempSync(path.join(os.tmpdir(), 'gablebook-browser-'));
const ending = [];
after(async () => {
    for (const end of ending.reverse()) await end();
    fs.rmSync(room, { recursive: true, force: true });
});

// Run the program under test; what it prints.
export const gablebook = (...args) =>
    execFileSync(program, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
export const list = (claim) => JSON.parse(gablebook('list', claim, '--json'));
export const shot = (claim, number) => list(claim).find((one) => one.number === number);
export function check(claim) {
    // its exit status says whether the claim is complete
    try {
        return JSON.parse(gablebook('check', claim, '--json'));
    } catch (error) {
        return JSON.parse(error.stdout);
    }
}

// The rows of demo-photos/truth.csv that belong to the claim's property.
export function truth() {
    const [head, ...rows] = fs
        .readFileSync(path.join(photos, 'truth.csv'), 'utf8')
        .trim()
        .split('\n')
        .map((line) => line.split(','));
    return rows
        .map((row) => Object.fromEntries(head.map((name, i) => [name, row[i]])))
        .filter(({ property }) => property === '1');
}

let made = 0;
let template = null;
export const empty = (...more) => {
    const claim = path.join(room, `claim-${++made}`);
    gablebook(
        'new',
        claim,
        '--insured',
        'Ada Quill',
        '--address',
        '418 Elm Lane (invented)',
        '--cause',
        'hail and wind',
        '--front-azimuth',
        '205',
        ...more,
    );
    gablebook('structure', claim, 'garage', '--elevations', 'all', '--slopes', 'left,right');
    gablebook('structure', claim, 'fence');
    return claim;
};
// A folder with the demo card's photos of that property, as a card holds them.
export function card() {
    const folder = path.join(room, 'card');
    if (!fs.existsSync(folder)) {
        fs.mkdirSync(folder);
        for (const { file } of truth()) fs.copyFileSync(path.join(photos, file), path.join(folder, file));
    }
    return folder;
}
// A claim with the demo card's 54 photos in it, nothing said of them.
export function claimOfCard() {
    if (!template) {
        template = empty();
        gablebook('import', template, card());
    }
    const claim = path.join(room, `claim-${++made}`);
    fs.cpSync(template, claim, { recursive: true });
    return claim;
}

// Serve a claim. -> { url, stop() }
export function serve(claim, ...more) {
    return new Promise((resolve, reject) => {
        const child = spawn(program, ['open', claim, '--no-browser', ...more], {
            stdio: ['ignore', 'pipe', 'inherit'],
        });
        const gone = new Promise((done) => child.once('exit', done));
        const stop = async () => {
            child.kill('SIGINT');
            await gone;
        };
        ending.push(stop);
        child.once('exit', (status) => reject(new Error(`gablebook open ended with ${status}`)));
        createInterface({ input: child.stdout }).on('line', (line) => {
            if (line.startsWith('http://')) resolve({ url: line.trim(), stop, gone });
        });
    });
}

let browser = null;
export async function start() {
    if (browser) return browser;
    const dirs = process.env.PATH.split(':');
    const executablePath =
        process.env.GB_CHROMIUM ??
        ['chromium', 'chromium-browser', 'google-chrome']
            .flatMap((name) => dirs.map((dir) => path.join(dir, name)))
            .find((one) => fs.existsSync(one));
    const { G_DEBUG: _, ...env } = process.env; // Chromium uses GLib too, and warns
    browser = await chromium.launch({ executablePath, env, args: process.getuid() === 0 ? ['--no-sandbox'] : [] });
    ending.push(() => browser.close());
    return browser;
}

// A window on a served claim, ready to be used. Any error of the page, and anything its policy had to refuse, fails
// the test that asks window.quiet(). without: something that this browser lacks, as it is called in scripts.
export async function open(url, { without = null, ...options } = {}) {
    const context = await (await start()).newContext({ viewport: { width: 1440, height: 900 }, ...options });
    if (without) await context.addInitScript((name) => delete globalThis[name], without);
    const page = await context.newPage();
    page.setDefaultTimeout(20000);
    const faults = [];
    page.on('pageerror', (error) => faults.push(error.message));
    page.on('console', (message) => {
        if (message.type() === 'error' && !/status of (409|422)/.test(message.text())) faults.push(message.text());
    });
    await page.goto(url);
    await page.waitForSelector('body.ready');
    page.faults = faults;
    page.quiet = () => {
        if (faults.length) throw new Error(`the page complained: ${faults.join('; ')}`);
    };
    return page;
}

// Waits until something asked of the claim (by the command line) is so; asks again when the page has had an answer
// from the server.
export async function until(page, what, holds) {
    for (let tries = 0; tries < 200; tries++) {
        if (holds()) return;
        await page.evaluate(
            () =>
                new Promise((done) => {
                    requestAnimationFrame(() => requestAnimationFrame(done));
                }),
        );
    }
    throw new Error(`never: ${what}`);
}

export const tile = (page, number) => page.locator(`#shot-${number}`);
// Scrolls the contact sheet until that shot is in sight; only what is in sight is in the page.
export async function seek(page, number) {
    await page.evaluate(async (id) => {
        const sheet = document.querySelector('#sheet'),
            frame = () =>
                new Promise((done) => {
                    requestAnimationFrame(() => requestAnimationFrame(done));
                });
        for (let top = 0; ; top += sheet.clientHeight / 2) {
            sheet.scrollTop = top;
            await frame();
            if (document.getElementById(id)) break;
            if (top > sheet.scrollHeight)
                throw new Error(
                    `${id} is not on the sheet, which has ${[...document.querySelectorAll('.tile:not([hidden])')].map((one) => one.id)} (${document.querySelector('#tally').textContent}; ${document.querySelector('.questions [aria-pressed="true"]').textContent})`,
                );
        }
        document.getElementById(id).scrollIntoView({ block: 'center' });
        await frame();
    }, `shot-${number}`);
    return tile(page, number);
}
// Everything written has arrived and been told.
export const settled = (page) => page.waitForFunction(() => document.body.dataset.writing === undefined);
export const axeSource = () => fs.readFileSync(path.join(npm, 'node_modules/axe-core/axe.min.js'), 'utf8');

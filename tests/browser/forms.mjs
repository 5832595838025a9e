// forms.mjs -- what photos alone don't say is written down by keyboard: a fact, a test square, a note, a roof, a
// finding; the check, the scope sheet and the report have it. What the library can't take is said beside the field.
// Somebody else's change is not written over.
//
// SPDX-License-Identifier: GPL-3.0-or-later

import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { axeSource, check, claimOfCard, gablebook, open, seek, serve, settled } from './support.mjs';

const json = (...args) => JSON.parse(gablebook(...args, '--json'));
const facts = (claim) => json('fact', claim).facts.filter(({ recorded }) => recorded);
const squares = (claim) => json('fact', claim).squares.filter(({ recorded }) => recorded);

// Tab to the field or button of that name, from where the focus is; what is reached so can be reached without a
// pointer.
async function tabTo(page, role, name, { back = false } = {}) {
    const wanted = page.getByRole(role, { name, exact: true });
    for (let presses = 0; presses < 250; presses++) {
        await page.keyboard.press(back ? 'Shift+Tab' : 'Tab');
        if (await wanted.evaluateAll((all) => all.includes(document.activeElement))) return;
    }
    throw new Error(`${role} '${name}' is not reached by Tab`);
}
// The entry of the focused select that begins so; as typed, like in any list.
async function pick(page, value) {
    await page.keyboard.type(value);
}

function claimWithPlaces() {
    const claim = claimOfCard();
    gablebook('tag', claim, '9-11', '--place', 'front', '--subject', 'overview');
    gablebook('tag', claim, '13-16', '--place', 'front', '--subject', 'screen damage');
    gablebook('tag', claim, '39,40', '--place', 'front slope', '--subject', 'test square');
    gablebook('tag', claim, '40', '--distance', 'close-up');
    return claim;
}

test('fact, square, note, roof and finding are written down by keys alone, and found in the check, the scope sheet and the report', async () => {
    const claim = claimWithPlaces(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;

    // A fact of the roof: words of a list, then a span of years that somebody told.
    await keyboard.press('q');
    await page.waitForSelector('.fact');
    await keyboard.press('9');
    assert.equal(await page.getByRole('heading', { name: 'Facts: Roof' }).count(), 1);
    await tabTo(page, 'combobox', 'Roof covering');
    await pick(page, 'laminated');
    await tabTo(page, 'button', 'Keep: Roof covering');
    await keyboard.press('Enter');
    await page.waitForFunction(() =>
        [...document.querySelectorAll('.fact.recorded label')].some(
            ({ textContent }) => textContent === 'Roof covering',
        ),
    );
    await tabTo(page, 'textbox', 'Age of the covering');
    await keyboard.type('12-15 years');
    await tabTo(page, 'combobox', 'How it is known');
    await pick(page, 'told');
    await tabTo(page, 'textbox', 'Note');
    await keyboard.type('owner, on site');
    await keyboard.press('Enter');
    await settled(page);
    await page.waitForFunction(() => document.querySelectorAll('.fact.recorded').length === 2);
    const [covering, age] = facts(claim);
    assert.deepEqual([covering.place, covering.choice, covering.how], ['roof', 'laminated asphalt shingle', 'seen']);
    assert.deepEqual([age.value, age.how, age.note], ['12-15 years', 'told', 'owner, on site']);

    // A test square of the front slope, with two photos that are in the hand.
    await keyboard.press('Escape');
    await page.locator('#table').focus();
    await keyboard.press('b');
    await (await seek(page, 39)).click();
    await keyboard.press('Shift+ArrowRight');
    await keyboard.press('q');
    await keyboard.press('5');
    await tabTo(page, 'textbox', 'Hits counted');
    await keyboard.type('9');
    await tabTo(page, 'button', 'Use the 2 in hand');
    await keyboard.press('Enter');
    await tabTo(page, 'button', 'Keep the square');
    await keyboard.press('Enter');
    await page.getByRole('button', { name: 'Change: test square 1, Front slope' }).waitFor();
    assert.deepEqual(
        squares(claim).map(({ place, hits, size, shots }) => [place, hits, size, shots]),
        [['front slope', 9, '10 x 10 ft', [39, 40]]],
    );

    // A note on the slope, for the report; found by its words.
    await tabTo(page, 'textbox', 'Note');
    for (
        let tries = 0;
        tries < 30 && !(await page.evaluate(() => document.activeElement.tagName === 'TEXTAREA'));
        tries++
    )
        await tabTo(page, 'textbox', 'Note');
    await keyboard.type('Moss below the ridge <b>not</b> walked');
    await tabTo(page, 'checkbox', 'In the report');
    await keyboard.press('Space');
    await tabTo(page, 'button', 'Write the note');
    await keyboard.press('Enter');
    await page.locator('.note-text', { hasText: 'Moss below the ridge <b>not</b> walked' }).waitFor();
    await tabTo(page, 'searchbox', 'Search all notes');
    await keyboard.type('ridge moss');
    assert.equal(await page.locator('.note').count(), 1);
    await keyboard.press('Control+a');
    await keyboard.type('no such words');
    assert.equal(await page.locator('.note').count(), 0);

    // A whole roof.
    await page.locator('#table').focus();
    await keyboard.press('l');
    await tabTo(page, 'combobox', 'Shape');
    await pick(page, 'hip');
    for (const [name, value] of [
        ['Width', '40 ft'],
        ['Depth', '30 ft'],
        ['Pitch', '6/12'],
    ]) {
        await tabTo(page, 'textbox', name);
        await keyboard.type(value);
    }
    await keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Roof of the dwelling' }).waitFor();
    // Source: the worked example in docs/roof.md, 40 by 30 ft hip at 6/12: 1341.6 square feet, 140 feet of eave.
    assert.match(await page.locator('.totals').textContent(), /1341\.6 sq ft.*140' 0"/s);
    await page.waitForFunction(() => document.querySelector('.roof-plan img')?.naturalWidth > 0);
    await page.locator('#plan', { hasText: 'Proportions as measured of dwelling' }).waitFor();

    // A finding whose photos, place and component come from the hand, and whose quantity follows the roof.
    await page.locator('#table').focus();
    await keyboard.press('b');
    await (await seek(page, 13)).click();
    await keyboard.press('Shift+ArrowRight');
    await keyboard.press('j');
    await tabTo(page, 'combobox', 'Cause');
    await pick(page, 'hail');
    await tabTo(page, 'combobox', 'What is to be done');
    await pick(page, 'remove');
    await tabTo(page, 'textbox', 'Quantity');
    await keyboard.type('2');
    await keyboard.press('Enter');
    await page.getByRole('button', { name: /^Open finding 1, Window screen, Front elevation/ }).waitFor();
    const [screens] = json('finding', claim);
    assert.deepEqual(
        [screens.place, screens.cause, screens.action, screens.amount, screens.unit, screens.shots],
        ['front', 'hail', 'remove and replace', 2, 'EA', [13, 14]],
    );

    await page.locator('#table').focus();
    await keyboard.press('b');
    await keyboard.press('Escape');
    await keyboard.press('j');
    for (const [name, value] of [
        ['Place', 'Roof'],
        ['Component', 'Drip edge'],
        ['Cause', 'hail'],
        ['What is to be done', 'remove'],
    ]) {
        await tabTo(page, 'combobox', name);
        await pick(page, value);
    }
    await tabTo(page, 'combobox', 'Let the quantity follow a measurement of the roof');
    await pick(page, '= drip');
    assert.equal(await page.getByLabel('Quantity', { exact: true }).inputValue(), '= drip edge');
    await tabTo(page, 'button', 'Write it down');
    await keyboard.press('Enter');
    const drip = page.getByRole('button', { name: /^Open finding 2, Drip edge, Roof/ });
    await drip.waitFor();
    assert.equal(json('finding', claim).find(({ number }) => number === 2).amount, 140);

    // Opening one takes its photos into the hand.
    await tabTo(page, 'button', await page.getByRole('button', { name: /^Open finding 1/ }).getAttribute('aria-label'));
    await keyboard.press('Enter');
    assert.equal(await page.getByLabel('Photos that prove it', { exact: true }).inputValue(), '13, 14');
    await page.locator('#table').focus();
    await keyboard.press('b');
    assert.deepEqual(await page.locator('.tile[aria-selected="true"]').evaluateAll((all) => all.map(({ id }) => id)), [
        'shot-13',
        'shot-14',
    ]);

    // The check has it all: the square is there, the finding without a photo is named; so has the list before leaving.
    await keyboard.press('k');
    const found = check(claim),
        square = found.groups
            .flatMap(({ lines }) => lines)
            .find(({ label }) => label.includes('test square') && label.includes('front slope'));
    assert.equal(square?.state, 'there', JSON.stringify(square));
    await tabTo(page, 'button', 'Before leaving');
    await keyboard.press('Enter');
    await page.locator('.todo', { hasText: 'finding 2, Drip edge: no photo proves it' }).waitFor();
    assert.match(await page.locator('.ready-word').textContent(), /^Ready to leave: no$/);

    // The papers.
    await page.locator('#table').focus();
    await keyboard.press('r');
    for (const [what, file] of [
        ['scope', 'scope-sheet.html'],
        ['brief', 'brief.html'],
        ['photo', 'photo-report.html'],
    ]) {
        await tabTo(page, 'combobox', 'What');
        await pick(page, what);
        await tabTo(page, 'button', 'Build it', { back: true });
        await keyboard.press('Enter');
        await page.waitForFunction(
            (wanted) => document.querySelector('.preview').getAttribute('src')?.includes(wanted),
            file,
        );
    }
    const report = fs.readFileSync(path.join(claim, 'reports', 'photo-report.html'), 'utf8'),
        sheet = fs.readFileSync(path.join(claim, 'reports', 'scope-sheet.html'), 'utf8');
    for (const words of [
        'laminated asphalt shingle',
        '12 to 15 years',
        'Moss below the ridge &lt;b&gt;not&lt;/b&gt; walked',
        'Drip edge',
    ])
        assert.equal(report.includes(words), true, `the report says '${words}'`);
    assert.match(sheet, /Drip edge[\s\S]*140 LF/);
    page.quiet();
});

test('what the library cannot take is said beside the field, and what was typed stays', async () => {
    const claim = claimWithPlaces(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await keyboard.press('q');
    await page.waitForSelector('.fact');
    await keyboard.press('5');
    const pitch = page.getByRole('textbox', { name: 'Pitch', exact: true });
    await pitch.fill('steepish');
    await keyboard.press('Enter');
    await page.waitForFunction(() => document.activeElement.getAttribute('aria-invalid') === 'true');
    assert.equal(await pitch.inputValue(), 'steepish');
    const said = await pitch.evaluate((input) =>
        input
            .getAttribute('aria-describedby')
            .split(' ')
            .map((id) => document.getElementById(id).textContent)
            .join(' '),
    );
    assert.match(said, /steepish/);
    assert.equal(facts(claim).length, 0);
    await pitch.fill('7 1/2:12');
    await keyboard.press('Enter');
    await page.locator('.fact.recorded').waitFor();
    assert.equal(facts(claim)[0].value, '7 1/2:12');
    // What it means stands beside it: 7.5 in 12.
    await page.locator('.fact.recorded .fact-told', { hasText: '7.5/12' }).waitFor();

    await page.locator('#table').focus();
    await keyboard.press('l');
    await page.getByLabel('Width', { exact: true }).fill('40');
    await page.getByLabel('Depth', { exact: true }).fill('30 ft');
    await keyboard.press('Enter');
    await page.waitForFunction(
        () => document.activeElement.value === '40' && document.activeElement.getAttribute('aria-invalid') === 'true',
    );
    page.quiet();
});

test('a fact that somebody else has changed meanwhile is shown in both versions, not written over', async () => {
    const claim = claimWithPlaces();
    gablebook('fact', claim, 'front slope', 'pitch', '6/12');
    const served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await keyboard.press('q');
    await page.waitForSelector('.fact');
    await keyboard.press('5');
    const pitch = page.getByRole('textbox', { name: 'Pitch', exact: true });
    await pitch.fill('7/12');
    gablebook('fact', claim, 'front slope', 'pitch', '8/12');
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('8/12'));
    await keyboard.press('Enter');
    const asked = page.getByRole('dialog', { name: 'Changed meanwhile' });
    await asked.waitFor();
    assert.match(await asked.textContent(), /6\/12.*8\/12.*7\/12/s);
    assert.equal(facts(claim)[0].value, '8/12');
    await asked.getByRole('button', { name: 'Put what I wanted over it' }).click();
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('7/12'));
    assert.equal(facts(claim)[0].value, '7/12');

    // The command line's note is there without being asked for; undo takes the fact back.
    gablebook('note', claim, 'Dog in the yard');
    await page.locator('.note-text', { hasText: 'Dog in the yard' }).waitFor();
    await page.locator('#table').focus();
    await keyboard.press('Control+z');
    await page.waitForFunction(() => !document.querySelector('.note-text'));
    await keyboard.press('Control+z');
    await page.waitForFunction(() =>
        [...document.querySelectorAll('.fact.recorded input')].some(({ value }) => value === '8/12'),
    );
    page.quiet();
});

test('a note is written on the photo in the hand, and the search for photos finds it', async () => {
    const claim = claimWithPlaces(),
        served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await (await seek(page, 13)).click();
    await keyboard.press('u');
    await page.getByRole('dialog', { name: 'Note on shot 13' }).waitFor();
    await keyboard.type('Chalk washed off');
    await keyboard.press('Control+Enter');
    await page.locator('.shot-facts dd', { hasText: 'Chalk washed off' }).waitFor();
    assert.equal(json('note', claim)[0].shot, 13);
    await keyboard.press('/');
    await keyboard.type('washed chalk');
    await page.waitForFunction(
        () => document.querySelectorAll('.tile:not([hidden])').length === 1 && document.querySelector('#shot-13'),
    );
    page.quiet();
});

test('a finding is changed, taken out and brought back; what is written stays text', async () => {
    const claim = claimWithPlaces();
    gablebook('finding', claim, 'add', '--shots', '13,14', '--cause', 'hail', '--action', 'replace', '--quantity', '2');
    const served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    const first = page.getByRole('button', { name: /^Open finding 1/ });
    await keyboard.press('j');
    await first.click();
    await page.getByLabel('Quantity', { exact: true }).fill('3');
    await page.getByLabel('Note', { exact: true }).fill('<b>two torn, one dented</b>');
    await page.getByRole('button', { name: 'Keep the finding' }).click();
    await page.locator('.finding', { hasText: '<b>two torn, one dented</b>' }).filter({ hasText: '3 EA' }).waitFor();
    await page.getByRole('button', { name: /^Take out finding 1/ }).click();
    await first.waitFor({ state: 'detached' });
    assert.equal(json('finding', claim).length, 0);
    await page.locator('#table').focus();
    await keyboard.press('Control+z');
    await first.waitFor();
    assert.equal(json('finding', claim)[0].quantity, '3');
    page.quiet();
});

test('a test square and a roof entry are changed and taken out; threshold and waste are set and taken back', async () => {
    const claim = claimWithPlaces();
    gablebook('square', claim, 'front slope', '--hits', '9');
    gablebook('roof', claim, 'rear', 'rectangle', '--eave', '40 ft', '--up', '20 ft');
    const served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page;
    await keyboard.press('q');
    await page.waitForSelector('.fact');
    await keyboard.press('5');
    await page.getByRole('button', { name: 'To its test squares' }).click();
    const hits = page.getByLabel('Hits counted', { exact: true });
    assert.equal(await hits.inputValue(), '9');
    assert.equal(await page.evaluate(() => document.querySelector('.rail').getBoundingClientRect().top), 0);
    await hits.fill('8');
    await keyboard.press('Enter');
    await page.locator('td', { hasText: /^8$/ }).waitFor();
    assert.deepEqual(
        squares(claim).map((one) => one.hits),
        [8],
    );
    // Why none was drawn takes the place of hits and size.
    await page.getByLabel('Not drawn, because', { exact: true }).fill('hits on every shingle');
    await page.getByRole('button', { name: 'Keep the square' }).click();
    await page.locator('td', { hasText: 'not drawn: hits on every shingle' }).waitFor();
    assert.equal(await hits.inputValue(), '');
    await page.getByText('How many hits matter, as somebody says').click();
    const limit = page.getByRole('form', { name: 'How many hits matter' });
    await limit.getByLabel('Hits', { exact: true }).fill('8');
    await limit.getByRole('button', { name: 'Keep' }).click();
    await limit.locator('.error:visible').waitFor(); // a number alone would look like the program's
    await limit.getByLabel('Who says so').fill('the carrier’s guide');
    await limit.getByRole('button', { name: 'Keep' }).click();
    await page.getByText('8 hits, says the carrier’s guide').waitFor();
    await limit.getByLabel('Hits', { exact: true }).fill('');
    await limit.getByRole('button', { name: 'Keep' }).click();
    await page.getByText('No number is set.').waitFor();
    await page.getByRole('button', { name: 'Take out: test square 1, Front slope' }).click();
    await page.getByText('None yet.').waitFor();
    assert.deepEqual(squares(claim), []);

    await page.locator('#table').focus();
    await keyboard.press('l');
    await page.getByRole('button', { name: 'Change entry 1, rear slope' }).click();
    await page.getByLabel('Eave', { exact: true }).fill('41 ft');
    await page.getByRole('button', { name: 'Keep the entry' }).click();
    // 41 ft by 20 ft.
    await page.locator('.totals', { hasText: '820.0 sq ft' }).waitFor();
    await page.getByLabel('Waste, in per cent').fill('10');
    await keyboard.press('Enter');
    await page.locator('.totals', { hasText: '902.0 sq ft' }).waitFor();
    await page.getByLabel('Waste, in per cent').fill('');
    await keyboard.press('Enter');
    await page.waitForFunction(() => !document.querySelector('.totals').textContent.includes('902'));
    await page.getByRole('button', { name: 'Take out entry 1, rear slope' }).click();
    await page.getByText('Nothing is measured yet.').waitFor();
    page.quiet();
});

test('what a slope’s edges are, and that it is cut out, is shown back, changed and taken back', async () => {
    const claim = claimWithPlaces();
    const words = ['--cut-out', '--sides', 'valley,wall', '--section', 'wing'];
    gablebook('roof', claim, 'front', 'triangle', '--eave', '20 ft', '--up', '11 ft', ...words);
    gablebook('roof', claim, 'dwelling', 'hip', '--width', '40ft', '--depth', '30ft', '--pitch', '6/12');
    const served = await serve(claim),
        page = await open(served.url),
        entry = () => json('roof', claim).entries[0];
    await page.keyboard.press('l');
    await page.getByRole('row', { name: /triangle, cut out.*right side wall/ }).waitFor();
    await page.getByRole('button', { name: 'Change entry 1, front slope' }).click();
    const left = page.getByLabel('Left side is', { exact: true }),
        right = page.getByLabel('Right side is', { exact: true }),
        cut = page.getByLabel(/^Not roof, but cut out of it/),
        part = page.getByLabel('Part of the roof', { exact: true });
    assert.deepEqual(
        [await left.inputValue(), await right.inputValue(), await cut.isChecked(), await part.inputValue()],
        ['valley', 'wall', true, 'wing'],
    );
    await right.selectOption('as is usual for the shape');
    gablebook('roof', claim, '--change', '1', '--top', 'break');
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('upper edge break'));
    await page.getByRole('button', { name: 'Keep the entry' }).click();
    const asked = page.getByRole('dialog', { name: 'Changed meanwhile' });
    await asked.waitFor();
    assert.match(await asked.textContent(), /topwallbreak/); // a hole's upper edge is a wall
    await asked.getByRole('button', { name: 'Put what I wanted over it' }).click();
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('upper edge break'));
    await settled(page);
    assert.deepEqual([entry().right_side, entry().top, entry().cut_out], ['valley', 'break', true]);

    await page.getByRole('button', { name: 'Change entry 1, front slope' }).click();
    await cut.uncheck();
    await part.fill('');
    await page.getByRole('button', { name: 'Keep the entry' }).click();
    await page.getByRole('row', { name: /^1 front slope triangle eave 20 ft, up 11 ft Change/ }).waitFor();
    assert.deepEqual([entry().left_side, entry().cut_out, entry().section], ['hip', false, 'main']);

    await page.getByRole('button', { name: 'Change entry 2, dwelling' }).click();
    await page.getByLabel('The ridge runs', { exact: true }).selectOption('front to rear');
    await part.fill('old part');
    await page.getByRole('button', { name: 'Keep the entry' }).click();
    await page.getByRole('row', { name: /dwelling \(old part\).*ridge runs front to rear/ }).waitFor();
    page.quiet();
});

test('waste and a number of hits that somebody else has set meanwhile are shown in both versions, not written over', async () => {
    const claim = claimWithPlaces();
    gablebook('roof', claim, 'rear', 'rectangle', '--eave', '40 ft', '--up', '20 ft');
    gablebook('roof', claim, '--waste', '10');
    const served = await serve(claim),
        page = await open(served.url),
        { keyboard } = page,
        asked = page.getByRole('dialog', { name: 'Changed meanwhile' }),
        waste = page.getByLabel('Waste, in per cent');
    await keyboard.press('l');
    await waste.fill('15');
    gablebook('roof', claim, '--waste', '12');
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('waste 12 %'));
    assert.equal(await waste.inputValue(), '15', 'never taken from under the fingers');
    await keyboard.press('Enter');
    await asked.waitFor();
    assert.match(await asked.textContent(), /waste percent10 *12 *15/s);
    assert.equal(json('roof', claim).waste_percent, 12);
    await asked.getByRole('button', { name: 'Leave it' }).click();
    await page.waitForFunction(() => document.querySelector('.f-waste input').value === '12');
    await waste.fill('15');
    await keyboard.press('Enter');
    await page.waitForFunction(() => document.querySelector('#undo').title.includes('waste 15 %'));

    await page.locator('#table').focus();
    await keyboard.press('q');
    await page.waitForSelector('.fact');
    await keyboard.press('5');
    await page.getByText('How many hits matter, as somebody says').click();
    const limit = page.getByRole('form', { name: 'How many hits matter' });
    await limit.getByLabel('Hits', { exact: true }).fill('8');
    await limit.getByLabel('Who says so').fill('me');
    gablebook('square', claim, '--threshold', '6', '--source', 'the carrier');
    await page.getByText('6 hits, says the carrier').waitFor();
    await limit.getByRole('button', { name: 'Keep' }).click();
    await asked.waitFor();
    assert.match(await asked.textContent(), /\(nothing\)6; the carrier8; me/);
    await asked.getByRole('button', { name: 'Put what I wanted over it' }).click();
    await page.getByText('8 hits, says me').waitFor();
    page.quiet();
});

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
for (const [colorScheme, width] of [
    ['light', 1440],
    ['dark', 1024],
    ['light', 390],
    ['dark', 360],
]) {
    test(`axe-core finds nothing in the forms, and nothing is wider than the page: ${colorScheme}, ${width} px`, async () => {
        const claim = claimWithPlaces();
        gablebook('fact', claim, 'front slope', 'pitch', '6/12');
        gablebook('square', claim, 'front slope', '--hits', '9', '--note', 'chalked');
        gablebook('note', claim, 'Owner was present', '--report');
        gablebook('roof', claim, 'dwelling', 'hip', '--width', '40ft', '--depth', '30ft', '--pitch', '6/12');
        gablebook(
            'roof',
            claim,
            'front',
            'triangle',
            '--cut-out',
            '--eave',
            '20ft',
            '--run',
            '10ft',
            '--pitch',
            '6/12',
        );
        gablebook('finding', claim, 'add', '--shots', '13', '--cause', 'hail');
        gablebook('finding', claim, 'add', '--place', 'roof', '--component', 'drip edge', '--quantity', '=');
        const served = await serve(claim),
            page = await open(served.url, { colorScheme, viewport: { width, height: 844 }, bypassCSP: true });
        await page.evaluate(axeSource());
        const clean = async (where) => {
            const { violations } = await page.evaluate(
                (tags) =>
                    window.axe.run(document, {
                        runOnly: tags,
                        iframes: false,
                        rules: { 'target-size': { enabled: true } },
                    }),
                TAGS,
            );
            assert.deepEqual(
                violations.map(
                    (one) =>
                        `${where}: ${one.id}: ${one.help}: ${one.nodes
                            .slice(0, 3)
                            .map(
                                (node) =>
                                    `${node.html.slice(0, 160)} (${node.any[0]?.message ?? node.all[0]?.message ?? ''})`,
                            )
                            .join(' | ')}`,
                ),
                [],
            );
            const wide = await page.evaluate(() => {
                const view = document.querySelector('#view');
                return view.scrollWidth - view.clientWidth;
            });
            assert.equal(wide <= 0, true, `${where}: ${wide} px wider than the page`);
        };
        const go = async (key, ready) => {
            await page.locator('#table').focus();
            await page.keyboard.press(key);
            await page.waitForSelector(ready);
        };
        await go('q', '.fact');
        await clean('facts of the roof');
        await page.keyboard.press('5');
        await page.locator('.fact.recorded').waitFor();
        await page.getByText('How many hits matter, as somebody says').click();
        await page.getByRole('textbox', { name: 'Pitch', exact: true }).fill('steepish');
        await page.keyboard.press('Enter');
        await page.locator('[aria-invalid]').waitFor();
        await clean('facts of a slope, one that can’t be');
        await go('j', '.finding');
        await page.getByRole('button', { name: /^Open finding 1/ }).click();
        await clean('findings');
        await go('l', '.roof-plan img');
        await page.getByLabel('Shape', { exact: true }).selectOption('trapezoid');
        await page.getByText('Its edges, cut-outs, parts of a roof').click();
        await clean('roof');
        await go('k', '.check-line');
        await clean('check');
        await page.getByRole('button', { name: 'Before leaving' }).click();
        await page.locator('.todo').first().waitFor();
        await clean('before leaving');
        await go('r', '.reports');
        await page.getByLabel('What', { exact: true }).selectOption('scope sheet');
        await page.getByRole('button', { name: 'Build it' }).click();
        await page.locator('.reports button').first().waitFor();
        await clean('report');
        await page.getByRole('button', { name: 'Put the claim into a zip' }).click();
        await page.getByRole('link', { name: /^Download .*[.]zip$/ }).waitFor();
        await page.getByRole('button', { name: 'Verify the zip' }).click();
        await page.locator('.verified p').first().waitFor();
        await clean('the claim handed over and verified');
    });
}

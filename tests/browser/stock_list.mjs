// A stock list in a real browser, against a kiosk that serves a fresh demo:
//
//   node stock_list.mjs http://127.0.0.1:PORT FOLDER FIXTURES
//
// The storekeeper's spreadsheet is chosen, the kiosk asks what it would have to guess, shows line by line what it would
// take on, and takes on 320 units when told to; the same again books nothing. Pictures of the page go to FOLDER.

import {mkdir, writeFile} from 'node:fs/promises';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {eyes} from './eyes.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';

const [base, folder, fixtures] = process.argv.slice(2);
if (!base || !folder || !fixtures) {
    console.error('usage: node stock_list.mjs http://127.0.0.1:PORT FOLDER FIXTURES');
    process.exit(2);
}

async function read(path) {
    const response = await fetch(base + path);
    assert(response.ok, `${path} answered ${response.status}`);
    return response.json();
}

async function units() {
    const found = [];
    for (let after = ''; after !== null;) {
        const page = await read(`/api/units?limit=500${after ? `&after=${after}` : ''}`);
        found.push(...page.units);
        after = page.next;
    }
    return found;
}

/** Chooses a file, or presses, and waits for the kiosk's new plan. */
async function planned(page, run) {
    const before = Number(await page.getAttribute('main', 'data-answered'));
    await run();
    await until(page, count => Number(document.querySelector('main').dataset.answered) > count, before);
}

function choose(page, name) {
    return planned(page, () => page.setInputFiles('#stock-file', name.includes('/') ? name : join(fixtures, name)));
}

function choose_answer(page, question, words) {
    return planned(page, () => page.click(`[data-question="${question}"] button:has-text("${words}")`));
}

function picture(page, name) {
    return page.screenshot({path: join(folder, `${name}.png`), fullPage: true});
}

async function ask(page, counter) {
    await check('the page Room leads to it, and a file that is no text gets its sentence', async () => {
        await page.goto(`${base}/`);
        await sign_in(counter);
        await counter.go('room', 'Room');
        await page.click('a[href="#/stock-list"]');
        await page.waitForSelector('main h1:text-is("Stock list")');
        assert(await page.getAttribute('nav a[href="#/room"]', 'aria-current') === 'page', 'Room is not marked in the head');
        const own = join(folder, 'own-file.xlsx');
        await writeFile(own, 'PK\u0003\u0004and so on');
        await choose(page, own);
        assert_has(await page.textContent('main .trouble'), 'spreadsheet\u2019s own file'.replace('\u2019', "'"), 'CSV');
    });
    await check('letters that are not UTF-8 are asked about, with the file\u2019s own words', async () => {
        await choose(page, 'deutsch-semikolon.csv');
        assert_has(await page.textContent('[data-question=encoding]'), 'Stück', 'Stьck');
        await picture(page, 'stock-list-encoding');
        await choose_answer(page, 'encoding', 'Western Europe (Windows)');
        assert_has(await page.textContent('.stock-columns'), 'windows-1252', 'semicolon', 'Gefüllt am');
    });
    await check('the order of dates is asked, though only one order fits', async () => {
        assert_has(await page.textContent('[data-question=dates][data-field=expires]'), 'Only one order reads them all',
                   'every date can be read so', '31.08.2027 would be 2027-08-31');
        assert(await page.isDisabled('section[aria-label="Take on"] .key-main'), 'it could be taken on all the same');
        await picture(page, 'stock-list-questions');
        await eyes(page, 'stock-list-questions', folder);
        await planned(page, () => page.click('[data-question=dates][data-field=expires] button:has-text("day, month, year")'));
        await planned(page, () => page.click('[data-question=dates][data-field=filled] button:has-text("day, month, year")'));
        assert_has(await page.textContent('[data-line="4"]'), 'Small vat', 'FL-2207', '31 Aug 2027', '412.5 ml', '138:30 h', 'Wanne mit grünem Griff');
    });
    await check('a column is told to be something else, and back', async () => {
        await planned(page, () => page.selectOption('[aria-label="What column Bemerkung is"]', ''));
        assert_has(await page.textContent('.stock-columns'), 'Not used: Bemerkung');
        await planned(page, () => page.selectOption('[aria-label="What column Bemerkung is"]', 'note'));
        assert_has(await page.textContent('.stock-columns'), 'Every column is used');
    });
    await check('faults stand first, by line and column, and the faulty lines can stay out', async () => {
        await choose(page, 'faults.csv');
        await choose_answer(page, 'dates', 'day, month, year');
        assert_has(await page.textContent('[data-line="2"]'), 'fault', 'Use by: ', 'has day 31');
        assert(await page.isDisabled('section[aria-label="Take on"] .key-main'), 'it could be taken on all the same');
        await choose_answer(page, 'leave-out', 'Leave out the 22 lines');
        assert(await page.isEnabled('section[aria-label="Take on"] .key-main'), 'it cannot be taken on');
        await picture(page, 'stock-list-faults');
        await eyes(page, 'stock-list-faults', folder);
    });
}

/** A badge counts for a while only. */
async function sign_in(counter) {
    await counter.scan((await read('/api/people')).people.find(person => person.name === 'Maren').serial);
}

async function words(page) {
    await check('an unknown item is mapped, an unknown place is made', async () => {
        const sheet = join(folder, 'unknown.csv');
        await writeFile(sheet, 'Item;Lot;Use by;Shelf\nGrey stuff;GS-1;2027-08-31;Regal 3\nOAK;OK-5;2027-08-31;Regal 3\n');
        await choose(page, sheet);
        assert_has(await page.textContent('[data-question=word][data-field=item]'), 'Grey stuff', 'line 2', 'is no item of this room');
        await picture(page, 'stock-list-words');
        await planned(page, () => page.selectOption('[data-question=word][data-field=item] select', 'FLINT'));
        await planned(page, () => page.click('text="Make shelf REGAL-3 and print its label"'));
        assert_has(await page.textContent('[data-line="2"]'), 'Flint cartridge', 'REGAL-3', 'to take on');
        await writeFile(sheet, 'Item;Lot;Use by;Shelf\nOAK;OK-6;2027-08-31;Regal 3\n'); // corrected, under the same name
        await choose(page, sheet);
        assert_has(await page.textContent('[data-line="2"]'), 'OK-6');
        assert((await read('/api/places')).places.some(place => place.code === 'REGAL-3'), 'the place was not made');
    });
}

async function take_on(page) {
    const before = await units();
    await check('300 cartridges and 20 vats are taken on, each once', async () => {
        await choose(page, 'kestrel-320.csv');
        await planned(page, () => page.click('[data-question=dates][data-field=expires] button:has-text("day, month, year")'));
        await planned(page, () => page.click('[data-question=dates][data-field=filled] button:has-text("day, month, year")'));
        assert_has(await page.textContent('.stock-totals'), 'Flint cartridge (FLINT)120', 'Small vat (VAT-S)20');
        await picture(page, 'stock-list-ready');
        await page.click('section[aria-label="Take on"] .key-main');
        await page.waitForSelector('.noted >> text=320 units taken on', {timeout: 120000});
        await page.waitForSelector('text="All of it is taken on"');
        const after = await units();
        assert(after.length === before.length + 320, `${after.length - before.length} units came`);
        await picture(page, 'stock-list-taken-on');
    });
    await check('the vat has its resin, lot, dates, hours and the shop\u2019s own number', async () => {
        const vat = (await units()).find(unit => unit.kind === 'vat' && unit.amount_ml === 400.5);
        assert(vat.lot === 'FL-2201' && vat.expires === '2028-02-02' && vat.filled === '2026-01-01' && vat.hours === 10 &&
               vat.film === 'clear' && vat.resin === 'Flint', JSON.stringify(vat));
        await page.goto(`${base}/#/unit/${vat.serial}`);
        await page.waitForSelector('.history >> text=Old no.: 4700');
        assert_has(await page.textContent('.history'), 'by Maren');
    });
    await check('the same file again is known, and books nothing', async () => {
        await page.goto(`${base}/#/stock-list`);
        await page.waitForSelector('text="All of it is taken on"'); // the page forgot nothing meanwhile
        await page.reload();
        await page.waitForSelector('label:has-text("Choose the CSV file")');
        await choose(page, 'kestrel-320.csv');
        await planned(page, () => page.click('[data-question=dates][data-field=expires] button:has-text("day, month, year")'));
        await planned(page, () => page.click('[data-question=dates][data-field=filled] button:has-text("day, month, year")'));
        assert_has(await page.textContent('section[aria-label="Take on"]'), 'Everything of this list is taken on: 320 units', 'All of it is taken on');
        assert((await units()).length === before.length + 320, 'something was booked');
    });
}

await mkdir(folder, {recursive: true});
await with_browser({}, async context => {
    const page = context.pages()[0] || await context.newPage();
    page.setDefaultTimeout(8000);
    const complaints = [];
    page.on('pageerror', error => complaints.push(error.message));
    page.on('console', message => /error|warning/.test(message.type()) && !/status of 4\d\d/.test(message.text()) && complaints.push(message.text()));
    const counter = new Counter(page);
    await ask(page, counter);
    await sign_in(counter);
    await words(page);
    await sign_in(counter);
    await take_on(page);
    await check('the browser has nothing to complain about of the stock list', () => assert(complaints.length === 0, complaints.join('\n      ')));
});
summary();

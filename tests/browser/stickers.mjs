// Stickers of plain text and typed lots in a real browser, against a kiosk that serves a fresh demo:
//
//   node stickers.mjs http://127.0.0.1:PORT FOLDER
//
// The storekeeper opens a delivery, teaches a supplier's sticker by pointing at its parts, scans another one, and types a
// lot that is spelt almost like one that is here. Pictures of the page go to FOLDER.

import {mkdir} from 'node:fs/promises';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';

const [base, folder] = process.argv.slice(2);
if (!base || !folder) {
    console.error('usage: node stickers.mjs http://127.0.0.1:PORT FOLDER');
    process.exit(2);
}

async function read(path) {
    const response = await fetch(base + path);
    assert(response.ok, `${path} answered ${response.status}`);
    return response.json();
}

function picture(page, name) {
    return page.screenshot({path: join(folder, `${name}.png`), fullPage: true});
}

/** Taps the part's key, then its first and its last letter. */
async function point(page, example, part, text) {
    const from = example.indexOf(text);
    await page.click(`[data-part="${part}"]`);
    const letters = page.locator('.letter');
    await letters.nth(from).click();
    await letters.nth(from + text.length - 1).click();
    await page.waitForTimeout(400); // the page takes a second tap at once for the tail of the first
}

await mkdir(folder, {recursive: true});
await with_browser({}, async context => {
    const page = await context.newPage();
    const counter = new Counter(page);
    const {people} = await read('/api/people');
    const storekeeper = people.find(person => person.role === 'storekeeper').serial;
    const example = 'OAK-1L LOT RS24117B EXP 31.01.2029';
    await page.goto(base);
    await page.waitForSelector('#scan');
    await counter.scan(storekeeper);
    await counter.go('receiving', 'Receiving');
    await page.fill('[name="supplier"]', 'North Resins');
    await page.click('button:text-is("Open")');
    await page.waitForSelector('.delivery-here');

    await check('a plain sticker means nothing before it is taught', async () => {
        await counter.scan(example);
        assert_has(await page.textContent('.verdict'), 'is not a label of this room');
    });
    await check('a part is pointed at with three taps, and a date has no order until one is said', async () => {
        await page.click('a[href="#/stickers"]');
        await page.waitForSelector('#sticker-example');
        assert(await page.inputValue('#sticker-supplier') === 'North Resins', 'the open delivery names the supplier');
        await page.fill('#sticker-example', example);
        await point(page, example, 'item', 'OAK-1L');
        await point(page, example, 'lot', 'RS24117B');
        await point(page, example, 'expires', '31.01.2029');
        assert_has(await page.textContent('.marks'), 'RS24117B', 'not said yet');
        await page.click('button:has-text("See what it reads")');
        await page.waitForSelector('#teach .trouble');
        assert_has(await page.textContent('#teach .trouble'), 'order');
        await picture(page, 'stickers-pointing');
    });
    await check('it shows what it reads before it is kept', async () => {
        await page.click('[data-order="dmy"]');
        await page.click('button:has-text("See what it reads")');
        await page.waitForSelector('#reading');
        assert_has(await page.textContent('#reading'), 'OAK-1L', 'RS24117B', '31 Jan 2029');
        await picture(page, 'stickers-reading');
        await page.click('button:has-text("keep it")');
        await page.waitForSelector('#taught .card');
        assert_has(await page.textContent('#taught'), 'North Resins', example);
    });
    for (const width of [390, 1280])
        await check(`the page is not wider than a screen of ${width} px, its keys not lower than 76 px`, async () => {
            await page.fill('#sticker-example', example);
            await page.setViewportSize({width, height: 844});
            assert(await page.evaluate(() => document.scrollingElement.scrollWidth <= innerWidth), 'too wide');
            const keys = await page.$$eval('#teach .key', all => all.map(key => key.getBoundingClientRect().height));
            assert(keys.every(height => height >= 76), `heights ${keys}`);
        });
    await page.setViewportSize({width: 1280, height: 800});
    await counter.go('receiving', 'Receiving');
    await check('another sticker of that supplier is received by a scan', async () => {
        await counter.scan('OAK-1L LOT RS24200 EXP 28.02.2029');
        assert_has(await page.textContent('.verdict'), 'OAK-1L', 'lot RS24200');
        assert((await page.textContent('.keys [data-word="YES"]')).includes('Yes, receive 1'), 'the quantity stands on the key');
        await counter.press('YES');
        await counter.wait_title('Received 1');
        await counter.press('NO');
    });
    await check('a lot typed almost like one that is here is asked about, and what was typed stays', async () => {
        const {items} = await read('/api/items');
        const item = items.find(row => row.name.includes('OAK-1L')).code;
        await page.selectOption('[name="item"]', item);
        await page.fill('[name="lot"]', 'RS 24200');
        await page.fill('[name="quantity"]', '2');
        await page.click('button:text-is("Receive")');
        await page.waitForSelector('.lot-question');
        assert_has(await page.textContent('.lot-question'), 'RS 24200', 'The same lot: RS24200', '1 unit here');
        await picture(page, 'stickers-lot-question');
        await page.click('.lot-question button:has-text("Neither")');
        await until(page, () => !document.querySelector('.lot-question'));
        assert(await page.inputValue('[name="lot"]') === 'RS 24200', 'the form forgot the lot');
        await page.click('button:text-is("Receive")');
        await page.click('.lot-question button:has-text("The same lot")');
        await until(page, () => document.body.textContent.includes('Received 2'));
        const {units} = await read(`/api/units?item=${item}&lot=RS24200`);
        assert(units.length === 3, `${units.length} units of the lot, not 3`);
    });
    await check('a code that contradicts stops with both values', async () => {
        await counter.scan('OAK-1L LOT RS24300 EXP 28.02.2029');
        await counter.scan('OAK-1L LOT RS24301 EXP 28.02.2029');
        assert_has(await page.textContent('.verdict'), 'contradicts', 'RS24300 (code 1, sticker)', 'RS24301 (code 2, sticker)');
        await picture(page, 'stickers-contradiction');
        await counter.press('OTHER');
        await counter.wait_title('lot RS24301');
        await counter.press('NO');
    });
});
summary();

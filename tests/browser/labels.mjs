// What waits for the label printer, in a real browser, against a kiosk that serves a demo and its simulated printer:
//
//   node labels.mjs http://127.0.0.1:PORT PICTURES FIXTURES PRINTER
//
// The printer runs out of labels: the page says so and what to do, a label is put first, one is withdrawn, and with a
// new roll the rest comes out and waits for its proof. PRINTER is the folder that steers the printer.

import {mkdir, rm, writeFile} from 'node:fs/promises';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {eyes} from './eyes.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';

const [base, folder, , printer] = process.argv.slice(2);
if (!base || !folder || !printer) {
    console.error('usage: node labels.mjs http://127.0.0.1:PORT PICTURES FIXTURES PRINTER');
    process.exit(2);
}
await mkdir(folder, {recursive: true});

async function read(path) {
    const response = await fetch(base + path);
    assert(response.ok, `${path} answered ${response.status}`);
    return response.json();
}

function picture(page, name) {
    return page.screenshot({path: join(folder, `${name}.png`), fullPage: true});
}

async function delivery_of_this_test(counter, person) {
    await counter.act('delivery-open', {supplier: 'Tern & Daughters'}, person);
    return (await read('/api/deliveries')).deliveries.find(row => row.open && row.supplier === 'Tern & Daughters').id;
}

await with_browser({}, async context => {
    const page = await context.newPage();
    await page.goto(base);
    await page.waitForSelector('nav');
    const counter = new Counter(page);
    const person = (await read('/api/people')).people.find(row => row.role === 'storekeeper').serial;
    const main_has = (...parts) => until(page, wanted => wanted.every(part => document.querySelector('main').textContent.includes(part)), parts, 20000);

    await check('a printer without labels is said with what to do, and what waits stands in its order', async () => {
        await until(page, () => fetch('/api/labels').then(answer => answer.json()).then(labels =>
            labels.batches.length + labels.sent.length === 0), undefined, 30000); // the demo's badges
        await writeFile(join(printer, 'reason'), 'media-empty');
        const delivery = await delivery_of_this_test(counter, person);
        await counter.act('receive', {delivery, item: 'FLINT', lot: 'TD-1', expires: '2031-12-31', quantity: 3}, person);
        await counter.act('receive', {delivery, item: 'OAK', lot: 'TD-2', expires: '2031-12-31', quantity: 2}, person);
        await counter.go('labels', 'Labels');
        await main_has('out of labels', 'At the printer now', '1. 2 labels: Flint cartridge', '2. 2 labels: Oak cartridge');
        await picture(page, 'labels-waiting');
    });
    await check('what is put to the front stands first', async () => {
        await counter.tap('button[aria-label^="Print next: Oak"]');
        await main_has('1. 2 labels: Oak cartridge', '2. 2 labels: Flint cartridge');
    });
    await check('a batch shows each of its labels, and one of a range is withdrawn', async () => {
        await counter.tap('button[aria-label^="Each label: Oak"]');
        await page.waitForSelector('.label-range');
        await page.fill('.label-range input >> nth=0', '2');
        await counter.tap('button[aria-label="Withdraw labels 2 to 2 of 2"]');
        await main_has('1. 1 label: Oak cartridge', '2 of 2:');
        await picture(page, 'labels-batch');
    });
    await eyes(page, 'labels', folder);
    await check('with a new roll they come out, and each waits for its proof with a key to reprint it', async () => {
        await rm(join(printer, 'reason'));
        await main_has('Nothing waits.', 'printed, not scanned back yet');
        const {open} = await read('/api/labels');
        assert(open.filter(row => row.lot === 'TD-1').length === 3 && open.filter(row => row.lot === 'TD-2' && row.state === 'printed').length === 1,
               JSON.stringify(open));
        await picture(page, 'labels-proof');
        const again = open.find(row => row.lot === 'TD-1').unit;
        await counter.tap(`button[aria-label="Reprint the label of ${again}"]`);
        await until(page, serial => fetch(`/api/units/${serial}`).then(answer => answer.json()).then(unit =>
            unit.history.filter(movement => movement.kind === 'print' && movement.word === 'printed').length === 2), again, 20000);
    });
    await check('thousands by a slip are asked about, with the number, before anything is booked', async () => {
        const before = (await read('/api/labels')).unproved_units;
        await counter.go('receiving', 'Receiving');
        const form = page.locator('form[aria-label="Receive without a code"]');
        if (!await form.isVisible())
            await counter.tap('button:has-text("Go on")');
        await form.locator('[name=item]').selectOption('FLINT');
        await form.locator('[name=lot]').fill('TD-9');
        await form.locator('[name=quantity]').fill('1000');
        await form.locator('button[type=submit]').click();
        await counter.wait_title('that is 1000 labels');
        assert_has(await page.textContent('main'), 'ASK');
        await picture(page, 'labels-slip');
        await counter.press('NO');
        assert((await read('/api/labels')).unproved_units === before, 'something was booked');
    });
});
summary();

// Tracing a lot in a real browser, against a kiosk that serves a demo:
//
//   node tracing.mjs http://127.0.0.1:PORT FOLDER
//
// A cartridge has stood over a vat; the storekeeper, who is told of a bad lot, finds both and their job, and how much of
// the lot is where, and puts them on hold with one key. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check, until} from './counter.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, folder, read}) => {
    const {units} = await read('/api/units?limit=500'), {people} = await read('/api/people');
    const person = people.find(row => row.role === 'technician').serial;
    const in_stock = units.filter(unit => unit.status === 'in' && !unit.hold && unit.labelled);
    const cartridge = in_stock.find(unit => unit.kind === 'cartridge' && unit.lot && unit.use_by.state === 'good');
    const vat = in_stock.find(unit => unit.kind === 'vat');

    await check('a lot is traced from the shelf it stands on into the vat and the job', async () => {
        await counter.act('check-out', {units: [vat.serial, cartridge.serial], printer: 'SEXTANT', taken: true}, person);
        await counter.go('shelves', 'Shelves');
        await page.fill('#stock-filter', cartridge.lot);
        await page.click(`.stock-item .key-open:has-text("Lot ${cartridge.lot}")`);
        await page.click('a:has-text("Where did this lot go?")');
        await page.waitForSelector('main h1:text-is("Tracing")', {state: 'attached'});
        await page.waitForSelector(`.traced a[href="#/unit/${vat.serial}"]`);
        const text = await page.textContent('main');
        assert_has(text, cartridge.serial, vat.serial, `Lot ${cartridge.lot}`, 'Sextant'.toUpperCase(), 'Tell the person who has the parts');
        assert_has(text, 'may be some, none is booked'); // the job runs: nobody has said yet what it took
        await page.screenshot({path: join(folder, 'tracing.png'), fullPage: true});
    });
    await check('the page says how much is where, once the job has told what it took', async () => {
        await counter.act('job-end', {printer: 'SEXTANT', how: 'done', used_ml: 120.5}, person);
        await until(page, () => document.querySelector('.account')?.textContent.includes('120.5'));
        const {account, jobs, units} = await read(`/api/tracing?item=${cartridge.item}&lot=${cartridge.lot}`);
        const sum = account.held_ml + account.used_ml + account.wasted_ml + account.unaccounted_ml;
        assert(Math.abs(account.received_ml + account.corrected_ml - sum) < 0.0005, `${JSON.stringify(account)} does not add up`);
        const job = jobs.at(-1), held = units.find(unit => unit.serial === vat.serial);
        assert(job.lot_booked && job.lot_ml > 0 && job.lot_of_ml === 120.5, JSON.stringify(job));
        assert(held.lot_booked && held.lot_share > 0 && held.lot_share <= 1, JSON.stringify(held));
        const text = await page.textContent('main');
        assert_has(text, 'Came in', 'Is in things now', 'Went into parts', 'Not accounted for', 'Of the lot');
        await page.screenshot({path: join(folder, 'tracing-amounts.png'), fullPage: true});
    });
    await check('an amount that nobody knows is called unknown', async () => {
        await counter.act('check-in', {units: [{unit: cartridge.serial, amount_unknown: true}], place: cartridge.place}, person);
        await until(page, () => document.querySelector('.account')?.textContent.includes('1 thing of an unknown amount'));
        const text = await page.textContent('main');
        assert_has(text, 'is not accounted for', 'Weigh what is here', 'unknown');
        await page.screenshot({path: join(folder, 'tracing-unknown.png'), fullPage: true});
    });
    await check('on a telephone the tables stand below each other and nothing is cut off', async () => {
        const wide = page.viewportSize();
        await page.setViewportSize({width: 390, height: 844});
        assert(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'the page is wider than the telephone');
        await page.screenshot({path: join(folder, 'tracing-telephone.png'), fullPage: true});
        await page.setViewportSize(wide);
    });
    await check('one key puts everything it is in on hold', async () => {
        await counter.tap('.do-key .key-main');
        await until(page, () => document.querySelectorAll('.do-key .key-main').length === 0);
        for (const serial of [vat.serial, cartridge.serial])
            assert((await read(`/api/units/${serial}`)).hold === 'recall', `${serial} is not on hold`);
        await page.screenshot({path: join(folder, 'tracing-held.png'), fullPage: true});
    });
    await check('a lot nobody knows is said in a sentence', async () => {
        await page.fill('#tracing-lot', 'NO-SUCH-LOT');
        await page.click('main form .key-main');
        await until(page, () => document.querySelector('main').textContent.includes('Nothing came in with lot NO-SUCH-LOT'));
    });
});

// A label printer is calibrated by a photograph, in a real browser against a kiosk that serves a demo:
//
//   node label_printers.mjs http://127.0.0.1:PORT PICTURES FIXTURES PRINTER
//
// CALIBRATION_PHOTOGRAPH in the environment is a photograph of the calibration label of 50 x 25 mm at 203 dpi by the
// camera model, from a printer that is 1.2 mm to the right, prints 1.5 % long across and 1 % short down (tests/browser/run).

import {mkdir} from 'node:fs/promises';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {eyes} from './eyes.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';

const [base, folder] = process.argv.slice(2), photograph = process.env.CALIBRATION_PHOTOGRAPH;
if (!base || !folder || !photograph) {
    console.error('usage: CALIBRATION_PHOTOGRAPH=FILE node label_printers.mjs http://127.0.0.1:PORT PICTURES');
    process.exit(2);
}
await mkdir(folder, {recursive: true});

async function printers() {
    return (await (await fetch(`${base}/api/label-printers`)).json()).label_printers;
}

await with_browser({}, async context => {
    const page = await context.newPage();
    await page.goto(base);
    await page.waitForSelector('nav');
    const counter = new Counter(page);
    const {people} = await (await fetch(`${base}/api/people`)).json();
    await counter.scan(people.find(row => row.role === 'storekeeper').serial);
    const form = page.locator('form[aria-label="Calibrate label-printer"]');
    const value = name => form.locator(`[name=${name}]`).inputValue().then(Number);

    await check('the photograph fills the form, each number with its error, and sets nothing', async () => {
        await page.goto(`${base}/#/label-printers`);
        await page.waitForSelector('main h1:text-is("Label printers")');
        await page.setInputFiles('#look-picture', photograph);
        await until(page, () => document.querySelector('main').textContent.includes('Measured on a label of 50 x 25 mm'), undefined, 20000);
        assert_has(await page.textContent('main'), 'from the left edge', '\u00b1', 'nothing is set before');
        const close = (name, found, wanted, most) => assert(Math.abs(found - wanted) < most, `${name} is ${found}, not ${wanted}`);
        close('left_mm', await value('left_mm'), 1.2 + 5 * 1.015, 0.1);
        close('top_mm', await value('top_mm'), 5 * 0.99, 0.1);
        close('came_out_mm', await value('came_out_mm'), 40 * 1.015, 0.12);
        close('came_out_down_mm', await value('came_out_down_mm'), 10 * 0.99, 0.03);
        assert(await value('stretch_mm') === 40 && await value('stretch_down_mm') === 10, 'the stretches are not the rulers\'');
        assert((await printers()).length === 0, 'something was set');
        await page.screenshot({path: join(folder, 'label-printers-measured.png'), fullPage: true});
    });
    await eyes(page, 'label-printers', folder, 'main .key-main');
    await check('what a person changed in the form stays, and Set this sets it', async () => {
        await form.locator('[name=module_dots]').fill('3');
        await counter.act('delivery-open', {supplier: 'Tern & Daughters'}, people.find(row => row.role === 'storekeeper').serial); // news
        await page.waitForTimeout(500);
        assert(await value('module_dots') === 3, 'the page forgot it');
        await form.locator('button[type=submit]').click();
        await until(page, () => document.querySelector('main').textContent.includes('% long across'), undefined, 10000);
        const [row] = await printers();
        assert(row.printer === 'label-printer' && row.module_dots === 3, JSON.stringify(row));
        assert(Math.abs(row.size_across - 101500) < 300 && Math.abs(row.size_down - 99000) < 300, JSON.stringify(row));
        assert(row.shift_right === -9 && Math.abs(row.shift_down) <= 1, JSON.stringify(row)); // 1.2 mm in dots of 0.127 mm are 9.4
        await page.screenshot({path: join(folder, 'label-printers-set.png'), fullPage: true});
    });
});
summary();

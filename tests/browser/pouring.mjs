// Pouring resin in a real browser, against a kiosk that serves a demo:
//
//   node pouring.mjs http://127.0.0.1:PORT FOLDER
//
// A technician fills a vat from a cartridge by scans and keys, makes a mix of two lots that the vat's page tells, and says
// that it was cleaned. Pictures of the page go to FOLDER.

import {mkdir} from 'node:fs/promises';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';
import {eyes} from './eyes.mjs';

const [base, folder] = process.argv.slice(2);
if (!base || !folder) {
    console.error('usage: node pouring.mjs http://127.0.0.1:PORT FOLDER');
    process.exit(2);
}
await mkdir(folder, {recursive: true});

async function read(path) {
    const response = await fetch(base + path);
    assert(response.ok, `${path} answered ${response.status}`);
    return response.json();
}

await with_browser({}, async context => {
    const page = await context.newPage();
    await page.goto(base);
    await page.waitForSelector('nav');
    const counter = new Counter(page);
    const {units} = await read('/api/units?limit=500'), {people} = await read('/api/people');
    const person = people.find(row => row.role === 'technician').serial;
    const usable = units.filter(unit => unit.status === 'in' && !unit.hold && unit.labelled);
    const of_resin = resin => usable.filter(unit => unit.kind === 'cartridge' && unit.resin === resin &&
                                                    unit.use_by.state !== 'expired');
    const flint = of_resin('Flint'), vat = usable.find(unit => unit.kind === 'vat' && !unit.resin);
    const other = flint.find(unit => unit.lot !== flint[0].lot);

    await check('a vat is filled: badge, vat, cartridge, the key, an amount', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.scan(vat.serial);
        await counter.scan(flint[0].serial);
        await counter.press('POUR');
        await counter.wait_title(`How much from ${flint[0].serial} into ${vat.serial}`);
        assert_has(await page.textContent('main'), 'Nitrile gloves', 'follow the SDS');
        await page.screenshot({path: join(folder, 'pouring-amount.png'), fullPage: true});
        await eyes(page, 'pouring', folder, '.key:not(.key-demo)');
        await counter.press('250ML');
        await counter.wait_title('Booked: 250 ml');
        const now = await read(`/api/units/${vat.serial}`);
        assert(now.amount_ml === 250 && now.lot === flint[0].lot, JSON.stringify(now));
    });
    await check('another lot on top makes a mix', async () => {
        await counter.scan(person);
        await counter.scan(other.serial);
        await counter.scan(vat.serial);
        await counter.press('POUR');
        await counter.press('100ML');
        await counter.wait_title('Booked: 100 ml');
    });
    await check('the vat\'s page tells the mix, lot by lot', async () => {
        await page.goto(`${base}/#/unit/${vat.serial}`);
        await until(page, () => document.querySelector('main').textContent.includes('Mix of'));
        assert_has(await page.textContent('main'), `${flint[0].lot} (250 ml)`, `${other.lot} (100 ml)`, 'topped up in', 'filled into');
        await page.screenshot({path: join(folder, 'pouring-mix.png'), fullPage: true});
    });
    await check('what was cleaned holds nothing', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.scan(vat.serial);
        await counter.press('CLEAN');
        await counter.wait_title('The 350 ml in');
        assert_has(await page.textContent('main'), 'lint-free', 'no solvent on the inner film');
        await page.screenshot({path: join(folder, 'pouring-clean.png'), fullPage: true});
        await counter.press('YES');
        await counter.wait_title('is clean and empty');
        const now = await read(`/api/units/${vat.serial}`);
        assert(now.resin === null && now.amount_ml === 0 && now.lots.length === 0, JSON.stringify(now));
    });
});
summary();

// Pouring resin in a real browser, against a kiosk that serves a demo:
//
//   node pouring.mjs http://127.0.0.1:PORT FOLDER
//
// A technician fills a vat from a cartridge by scans and keys, makes a mix of two lots that the vat's page tells, and says
// that it was cleaned. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check, until} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, base, folder, read}) => {
    const {people} = await read('/api/people');
    const person = people.find(row => row.name === 'Tobias').serial;
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const day = days => new Date(Date.now() + days * 86400000).toISOString().slice(0, 10);

    /** A thing of this story's own, labelled: other stories have used what the demo began with. */
    async function take_on(content) {
        await counter.act('take-on', {place: content.item[0] === 'V' ? 'B01' : 'A01', labelled: true, ...content}, storekeeper);
        const {units} = await read('/api/units?limit=500');
        return units.filter(unit => unit.item === content.item).map(unit => unit.serial).sort().pop();
    }
    const tag = String(Date.now()).slice(-6);
    const first = {serial: await take_on({item: 'FLINT', lot: `PA-${tag}`, expires: day(200), amount_ml: 1000}), lot: `PA-${tag}`};
    const other = {serial: await take_on({item: 'FLINT', lot: `PB-${tag}`, expires: day(100), amount_ml: 1000}), lot: `PB-${tag}`};
    const vat = {serial: await take_on({item: 'VAT-S'})};

    await check('a vat is filled: badge, vat, cartridge, the key, an amount', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.scan(vat.serial);
        await counter.scan(first.serial);
        await counter.press('POUR');
        await counter.wait_title(`How much from ${first.serial} into ${vat.serial}`);
        assert_has(await page.textContent('main'), 'Nitrile gloves', 'follow the SDS');
        await page.screenshot({path: join(folder, 'pouring-amount.png'), fullPage: true});
        await eyes(page, 'pouring', folder, '.key:not(.key-demo)');
        await counter.press('250ML');
        await counter.wait_title('Booked: 250 ml');
        const now = await read(`/api/units/${vat.serial}`);
        assert(now.amount_ml === 250 && now.lot === first.lot, JSON.stringify(now));
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
        assert_has(await page.textContent('main'), `${first.lot} (250 ml)`, `${other.lot} (100 ml)`, 'topped up in', 'filled into');
        await page.screenshot({path: join(folder, 'pouring-mix.png'), fullPage: true});
    });
    await check('a weight that is asked about is shown as a question, and what was typed stays', async () => {
        const item = `W${tag}`;
        await counter.act('item-entry', {code: item, letter: 'C', name: 'Oak cartridge', resin: 'Oak', content_ml: 1000,
                                         density_g_ml: 1.1}, storekeeper);
        const weighed = await take_on({item, lot: `PW-${tag}`, expires: day(100), amount_ml: 1000});
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await page.goto(`${base}/#/unit/${weighed}`);
        const form = page.getByRole('form', {name: `Weigh ${weighed}`});
        await form.getByLabel('The scale shows').fill('500');
        await form.getByRole('spinbutton', {name: 'It weighs when empty'}).fill('150');
        await form.getByRole('button', {name: 'Book the weight'}).click();
        await form.locator('.asked').waitFor();
        assert(await form.locator('.noted, .trouble').count() === 0, 'a question is shown as a question alone');
        assert(await form.getByLabel('The scale shows').inputValue() === '500', 'what was typed stays');
        await page.screenshot({path: join(folder, 'weighing-asked.png'), fullPage: true});
        await form.getByLabel('It was weighed again').check();
        await form.getByRole('button', {name: 'Book the weight'}).click();
        await form.locator('.noted').waitFor();
        assert(await form.locator('.asked').count() === 0, 'the question was answered');
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

// Take-on in a real browser, against a kiosk that serves a demo:
//
//   node take_on.mjs http://127.0.0.1:PORT FOLDER
//
// A storekeeper takes on what stands on a shelf, at the desk: a cartridge, a vat whose hours the printer's screen shows;
// and fetches an item's card from the page Room. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, folder, read}) => {
    const {people} = await read('/api/people');
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const shelf = `TO-${String(Date.now()).slice(-5)}`;
    await counter.act('place-entry', {code: shelf, kind: 'shelf'}, storekeeper);

    async function last_unit() {
        const {units} = await read('/api/units?limit=500');
        return units.filter(unit => unit.place === shelf).sort((one, two) => two.version - one.version)[0];
    }

    await check('the card, the shelf, an item: it says what is unknown', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(storekeeper);
        await counter.press('TAKE-ON');
        await counter.wait_title('Take on what stands here: scan the shelf');
        await counter.scan(shelf);
        await counter.scan('FLINT');
        await counter.wait_title('amount unknown, at');
        await counter.press('1000ML');
        await counter.wait_title('1000 ml');
        await page.screenshot({path: join(folder, 'take-on-cartridge.png'), fullPage: true});
        await eyes(page, 'take on', folder, '.key:not(.key-demo)');
        await counter.press('YES');
        await counter.wait_title('Taken on:');
        assert((await last_unit()).amount_ml === 1000, 'the amount is not 1000 ml');
    });

    await check('a vat waits for its hours, typed as the printer shows them', async () => {
        await counter.scan('VAT-S');
        await counter.wait_title('how many hours of light?');
        assert(await page.$('[data-word="YES"]') === null, 'YES without hours');
        await page.fill('#typed-H', '128');
        await page.click('#typed-H + button');
        await counter.wait_title('128 h');
        await counter.press('FILM-CLEAR');
        await counter.wait_title('film clear');
        await page.screenshot({path: join(folder, 'take-on-vat.png'), fullPage: true});
        await counter.press('YES');
        await counter.wait_title('Taken on:');
        const vat = await last_unit();
        assert(vat.hours === 128 && vat.film === 'clear', JSON.stringify(vat));
        await counter.scan(vat.serial);
        await counter.wait_title(`Label ${vat.serial} is proved.`);
        assert_has(await page.textContent('main'), `${shelf}: scan the item's card`);
        await page.screenshot({path: join(folder, 'take-on-proved.png'), fullPage: true});
    });

    await check('the form on the page Room asks about an amount that is off by a thousand', async () => {
        await counter.go('room', 'Room');
        const form = page.locator('form[aria-label="Take on"]');
        await form.locator('[name=item]').selectOption('FLINT');
        await form.locator('[name=place]').selectOption(shelf);
        await form.locator('[name=amount_ml]').fill('1');
        await form.locator('button.key-main').click();
        await form.locator('.asked >> text=which holds 1000 ml when full: was 1000 ml meant?').waitFor();
        const before = (await last_unit()).serial;
        await page.screenshot({path: join(folder, 'take-on-form.png'), fullPage: true});
        await form.locator('[name=sure]').check({force: true});
        await form.locator('button.key-main').click();
        await form.locator('.noted >> text=Taken on: Flint cartridge').waitFor();
        const unit = await last_unit();
        assert(unit.serial !== before && unit.amount_ml === 1, JSON.stringify(unit));
    });

    await check('an item has a card to print', async () => {
        await counter.go('room', 'Room');
        const download = page.waitForEvent('download');
        await page.click('button[aria-label^="Card of Flint"]');
        assert((await download).suggestedFilename() === 'item-card-FLINT.pdf', 'another file came');
        await (await download).saveAs(join(folder, 'item-card-FLINT.pdf'));
    });
});

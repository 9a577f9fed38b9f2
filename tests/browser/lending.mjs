// Lending in a real browser, against a kiosk that serves a demo:
//
//   node lending.mjs http://127.0.0.1:PORT FOLDER
//
// A technician lends a cartridge to another room by scans and a key; the storekeeper's page lists it; it is lent for
// longer and comes back. Then it is kept for a person, for a job, and freed. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check, until} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, base, folder, read}) => {
    const {people} = await read('/api/people');
    const person = people.find(row => row.name === 'Tobias').serial;
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const day = days => new Date(Date.now() + days * 86400000).toISOString().slice(0, 10);
    await counter.act('place-entry', {code: 'ANNEX', kind: 'room', name: 'the Annex'}, storekeeper);
    await counter.act('take-on', {item: 'FLINT', lot: `LE-${String(Date.now()).slice(-6)}`, expires: day(200), amount_ml: 1000,
                                  place: 'A01', labelled: true}, storekeeper);
    const {units} = await read('/api/units?limit=500');
    const serial = units.filter(unit => unit.item === 'FLINT').map(unit => unit.serial).sort().pop();

    await check('a cartridge is lent: badge, cartridge, the room, a card of days', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.scan(serial);
        await page.waitForSelector('[data-scan="ANNEX"]'); // the room is a key, too
        await page.screenshot({path: join(folder, 'lending-rooms.png'), fullPage: true});
        await counter.scan('ANNEX');
        await counter.wait_title('Lent to the Annex: back by when?');
        await page.screenshot({path: join(folder, 'lending-day.png'), fullPage: true});
        await eyes(page, 'lending', folder, '.key:not(.key-demo)');
        await counter.press('7D');
        await counter.wait_title('to the Annex, back by');
        const now = await read(`/api/units/${serial}`);
        assert(now.status === 'out' && now.place === 'ANNEX' && now.due_days_left === 7, JSON.stringify(now));
    });
    await check('the page Questions lists it with the day it is promised back', async () => {
        await counter.go('questions', 'Questions');
        await until(page, wanted => document.querySelector('main').textContent.includes(wanted), serial);
        assert_has(await page.textContent('#main'), 'Lent out and promised back', 'lent to ANNEX', 'in 7 days');
        await page.screenshot({path: join(folder, 'lending-list.png'), fullPage: true});
        await eyes(page, 'lending-list', folder);
    });
    await check('its own page says where it is and by when it is promised', async () => {
        await page.goto(`${base}/#/unit/${serial}`);
        await until(page, () => document.querySelector('main').textContent.includes('Promised back'));
        assert_has(await page.textContent('main'), 'with Tobias, lent to ANNEX', 'Lent to ANNEX, back by');
    });
    await check('scanned again it is lent for longer, and comes back to a shelf', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(serial);
        await counter.scan(person);
        await page.screenshot({path: join(folder, 'lending-again.png'), fullPage: true});
        await counter.press('7D');
        await counter.wait_title('Booked');
        await counter.scan(serial);
        await counter.scan(person);
        await counter.scan('A01');
        await counter.wait_title('is back, at A01');
        const {lent} = await read('/api/lent');
        assert(!lent.some(unit => unit.serial === serial), 'it is lent still');
    });
    await check('a cartridge is kept by scans for who took it in hand, and its page says so', async () => {
        await counter.scan(person);
        await counter.scan(serial);
        await counter.press('KEEP');
        await counter.wait_title('Kept for Tobias: until when?');
        await page.screenshot({path: join(folder, 'keeping-day.png'), fullPage: true});
        await counter.press('7D');
        await counter.wait_title('is kept for Tobias until');
        await page.goto(`${base}/#/unit/${serial}`);
        await until(page, () => document.querySelector('main').textContent.includes('kept for Tobias until'));
        await page.screenshot({path: join(folder, 'keeping-kept.png'), fullPage: true});
    });
    await check('another is stopped, and the key FREE frees it', async () => {
        const other = people.find(row => row.name === 'Jarl').serial;
        await counter.go('desk', 'Desk');
        await counter.scan(other);
        await counter.scan(serial);
        await counter.wait_title('is kept for Tobias');
        assert(await counter.word() === 'STOP', await counter.word());
        await page.screenshot({path: join(folder, 'keeping-stop.png'), fullPage: true});
        await eyes(page, 'keeping', folder, '.key:not(.key-demo)');
        await counter.press('FREE');
        await counter.wait_title('is kept no more');
    });
    await check('its page keeps it for a job that is still to come', async () => {
        await counter.scan(person);
        await page.goto(`${base}/#/unit/${serial}`);
        const form = `form[aria-label="Keep ${serial}"]`;
        await page.waitForSelector(form);
        await page.fill(`${form} input[name="job"]`, 'KQ-1042');
        await page.fill(`${form} input[name="until"]`, day(5));
        await page.screenshot({path: join(folder, 'keeping-form.png'), fullPage: true});
        await page.click(`${form} button[type="submit"]`);
        await until(page, () => document.querySelector('main').textContent.includes('It is kept for job KQ-1042 until'));
        await eyes(page, 'keeping-page', folder, 'main .key-main');
        await page.click('button:text-is("Free it")');
        await until(page, () => document.querySelector('main').textContent.includes('Kept no more'));
    });
});

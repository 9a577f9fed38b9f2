// What a check-out and a check-in ask about, in a real browser, against a kiosk that serves a demo:
//
//   node check_out.mjs http://127.0.0.1:PORT FOLDER
//
// An older cartridge is named and takes the place of the newer one; an amount off by a thousand is asked about at the
// counter and on the page of the unit. Pictures of the page go to FOLDER.

import {randomUUID} from 'node:crypto';
import {join} from 'node:path';
import {assert, assert_has, check, until} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, base, folder, read}) => {
    const {people} = await read('/api/people');
    const person = people.find(row => row.name === 'Tobias').serial;
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const day = days => new Date(Date.now() + days * 86400000).toISOString().slice(0, 10);
    const tag = String(Date.now()).slice(-5);

    /** Of a resin of this story's own, so that nothing else is older. */
    async function take_on(lot, days) {
        await counter.act('take-on', {item: `RW-${tag}`, lot, expires: day(days), amount_ml: 1000, place: 'A03', labelled: true},
                          storekeeper);
        const {units} = await read('/api/units?limit=500');
        return units.filter(unit => unit.item === `RW-${tag}`).map(unit => unit.serial).sort().pop();
    }
    async function post(kind, content) {
        const response = await fetch(`${base}/api/acts`, {
            method: 'POST', headers: {'Content-Type': 'application/json'},
            body: JSON.stringify({id: randomUUID(), kind, counter: 'desk', content})});
        assert(response.ok, `${kind}: the kiosk answered ${response.status}`);
    }
    await counter.act('item-entry', {code: `RW-${tag}`, letter: 'C', name: 'Rowan cartridge', resin: 'Rowan',
                                     revision: tag, content_ml: 1000}, storekeeper);
    const older = await take_on('RW-1', 40), newer = await take_on('RW-2', 110);

    await check('ASK: an older one stands there: which, where, and both days', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.scan(newer);
        assert_has(await counter.word(), 'ASK');
        assert_has(await counter.title(), `An older Rowan stands at A03: ${older}, use by ${day(40)} (this one: ${day(110)})`);
        assert_has(await page.textContent('main'), 'take that one first; this one all the same: the printer, then YES');
        await page.screenshot({path: join(folder, 'older-first.png'), fullPage: true});
        await eyes(page, 'older-first', folder, '.key:not(.key-demo)');
    });

    await check('the older one, scanned, takes its place', async () => {
        await counter.scan(older);
        await counter.wait_title('may go');
        const shown = await page.$$eval('.unit .serial', links => links.map(link => link.textContent));
        assert(shown.includes(older) && !shown.includes(newer), `shown are ${shown}`);
        await counter.press('NO');
        await counter.wait_title('Put aside');
    });

    await check('YES takes the newer one all the same', async () => {
        await counter.scan(person);
        await counter.scan(newer);
        await counter.scan('SEXTANT');
        if ((await page.textContent('main')).includes('How much resin will the job'))
            await counter.press('UNKNOWN');
        await counter.press('YES');
        await counter.wait_title('Booked: Rowan cartridge');
        assert((await read(`/api/units/${newer}`)).status === 'out', 'the kiosk has it otherwise');
    });

    await check('a check-in with an amount off by a thousand is asked about, and another card corrects it', async () => {
        await counter.scan(person);
        await counter.scan(newer);
        await post('press', {word: '1ML'}); // a card, by the counter's scanner
        await counter.scan('A03');
        assert_has(await counter.word(), 'ASK');
        assert_has(await counter.title(), `1 ml in ${newer}, which holds 1000 ml when full: was 1000 ml meant?`);
        await page.screenshot({path: join(folder, 'amount-unlikely.png'), fullPage: true});
        await counter.press('500ML'); // what is left in it
        await counter.wait_title('is back, at A03');
    });

    await check('on its page too: asked once, then it is so', async () => {
        await counter.scan(person);
        await page.goto(`${base}/#/unit/${newer}`);
        const form = page.locator(`form[aria-label="Amount ${newer}"]`);
        await form.waitFor();
        await form.locator('input[type=number]').fill('0.3');
        await form.locator('button').click();
        await until(page, () => document.querySelector('main').textContent.includes('was 300 ml meant?'));
        await page.screenshot({path: join(folder, 'unit-amount.png'), fullPage: true});
        await form.locator('input[type=checkbox]').check();
        await form.locator('button').click();
        await until(page, () => document.querySelector('main').textContent.includes('Booked: 0.3 ml are in'));
        assert((await read(`/api/units/${newer}`)).amount_ml === 0.3, 'the kiosk has it otherwise');
    });
});

// A revision that stands in for another in a real browser, against a kiosk that serves a demo:
//
//   node substitution.mjs http://127.0.0.1:PORT FOLDER
//
// The storekeeper lets revision 3 of Oak stand in for 1 with the PIN, a technician takes a cartridge of it to a vat of 1 and
// reads why it may, and the storekeeper ends it. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check, until} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, folder, read}) => {
    const {people} = await read('/api/people');
    const person = people.find(row => row.name === 'Tobias').serial;
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const day = days => new Date(Date.now() + days * 86400000).toISOString().slice(0, 10);
    const until_day = day(60);

    async function take_on(content) {
        await counter.act('take-on', {place: content.item[0] === 'V' ? 'B01' : 'A01', labelled: true, ...content}, storekeeper);
        const {units} = await read('/api/units?limit=500');
        return units.filter(unit => unit.item === content.item).map(unit => unit.serial).sort().pop();
    }
    await counter.act('item-entry', {code: 'OAK3', letter: 'C', name: 'Oak cartridge, new', resin: 'Oak', revision: '3'}, storekeeper);
    const vat = await take_on({item: 'VAT-S', resin: 'OAK', lot: 'OV-1', amount_ml: 300, expires: day(200), film: 'clear'});
    const cartridge = await take_on({item: 'OAK3', lot: 'ON-1', amount_ml: 1000, expires: day(200)});

    async function ask_for_both() {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.scan(vat);
        await counter.scan(cartridge);
    }
    await check('another revision is a stop while no row says otherwise', async () => {
        await ask_for_both();
        await counter.wait_title('holds revision');
        await counter.press('NO');
    });
    await check('the storekeeper lets it stand in, with the PIN', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(storekeeper);
        await counter.go('room', 'Room');
        await page.waitForSelector('#substitutions form');
        await page.selectOption('#substitutions [name="pair"]', {label: 'Oak revision 3'});
        await page.fill('#substitutions [name="wanted"]', '1');
        await page.fill('#substitutions [name="until"]', until_day);
        await page.click('#substitutions form button[type="submit"]');
        const {demo_pin} = await read('/health');
        await counter.give_pin(demo_pin);
        await until(page, () => document.querySelector('#substitutions .room-list')?.textContent.includes('revision 3 may come where 1 is wanted'));
        assert_has(await page.textContent('#substitutions'), 'approved by Maren', 'Not the other way');
        await page.locator('#substitutions').screenshot({path: join(folder, 'substitution-room.png')});
        await eyes(page, 'substitution', folder, '#substitutions .key-main');
    });
    await check('the counter says what stands in until when, and by whose word', async () => {
        await ask_for_both();
        await counter.wait_title('may go');
        assert(await counter.word() === 'GO', await counter.word());
        assert_has(await page.textContent('.verdict'), `Oak: revision 3 stands in for 1 until ${until_day} (approved by Maren).`);
        await page.screenshot({path: join(folder, 'substitution-go.png'), fullPage: true});
        await counter.press('NO');
    });
    await check('ended by the storekeeper, it is a stop again that says so', async () => {
        await counter.scan(storekeeper);
        await counter.go('room', 'Room');
        await page.click('#substitutions button:text-is("End it")');
        await until(page, () => document.querySelector('#substitutions .room-list')?.textContent.includes('ended on'));
        await page.locator('#substitutions').screenshot({path: join(folder, 'substitution-ended.png')});
        await ask_for_both();
        await counter.wait_title('The substitution ended on');
        await page.screenshot({path: join(folder, 'substitution-stop.png'), fullPage: true});
        await counter.press('NO');
    });
});

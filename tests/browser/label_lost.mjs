// A label that is lost, in a real browser, against a kiosk that serves a demo:
//
//   node label_lost.mjs http://127.0.0.1:PORT FOLDER
//
// A technician finds by elimination which cartridge has no label and gives it a new one; the old label alarms; among two
// that cannot be told apart one is chosen, and the storekeeper is asked. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, base, folder, read}) => {
    const {people} = await read('/api/people');
    const person = people.find(row => row.name === 'Tobias').serial;
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const tag = String(Date.now()).slice(-5), item = `LL${tag}`, shelf = `LL-${tag}`;

    await counter.act('place-entry', {code: shelf, kind: 'shelf'}, storekeeper);
    await counter.act('item-entry', {code: item, letter: 'C', name: 'Rowan cartridge', resin: 'Rowan', revision: '1', content_ml: 1000}, storekeeper);
    const serials = [];
    for (const amount_ml of [640, 1000, 1000]) {
        await counter.act('take-on', {item, lot: `RW-${tag}`, place: shelf, amount_ml, labelled: true, expires: '2031-01-31'}, storekeeper);
        const {units} = await read('/api/units?limit=500');
        serials.push(units.filter(unit => unit.item === item).map(unit => unit.serial).sort().pop());
    }
    let fresh;

    await check('the counter says how many it may be, and in what they differ', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.press('LABEL-LOST');
        await counter.wait_title('A label is lost');
        await counter.scan(shelf);
        await counter.scan(item);
        await counter.wait_title('3 may be it');
        assert_has(await page.textContent('main'), 'amount (weigh it)', '3 things it may be', 'should stand here');
        await page.screenshot({path: join(folder, 'label-lost-several.png'), fullPage: true});
        await eyes(page, 'label lost', folder, '.key:not(.key-demo)');
    });

    await check('each label that is seen leaves one less, and the last one is proposed', async () => {
        await counter.scan(serials[1]);
        await counter.wait_title('2 may be it');
        await counter.scan(serials[2]);
        await counter.wait_title(`It must be ${serials[0]} (Rowan cartridge, lot RW-${tag}, 640 ml`);
        await page.screenshot({path: join(folder, 'label-lost-one.png'), fullPage: true});
        await counter.press('YES');
        await counter.wait_title(`Booked: ${serials[0]} is`);
        const old = await read(`/api/units/${serials[0]}`);
        assert(old.status === 'relabelled', `the old one is ${old.status}`);
        fresh = old.heir;
        assert((await read(`/api/units/${fresh}`)).amount_ml === 640, 'the new one is not what the old one was');
    });

    await check('the old label alarms, and the question is opened once', async () => {
        await counter.scan(serials[0]);
        await counter.wait_title(`${serials[0]} was given up as lost on`);
        assert_has(await page.textContent('main'), fresh, 'two labels may be on two things');
        await page.screenshot({path: join(folder, 'label-lost-alarm.png'), fullPage: true});
        await counter.scan(serials[0]);
        const {questions} = await read('/api/questions');
        assert(questions.filter(row => row.code === 'lost-label-found' && row.unit === serials[0]).length === 1, 'not one question');
    });

    await check('the page of either serial leads to the other', async () => {
        await page.goto(`${base}/#/unit/${serials[0]}`);
        await page.waitForSelector(`a[href="#/unit/${fresh}"]`);
        await page.screenshot({path: join(folder, 'label-lost-old-unit.png'), fullPage: true});
        await page.goto(`${base}/#/unit/${fresh}`);
        await page.waitForSelector(`.history >> text=The label of ${serials[0]} was lost`);
    });

    await check('one of two that are alike is chosen, and the storekeeper is asked', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.press('LABEL-LOST');
        await counter.scan(shelf);
        await counter.scan(item);
        await counter.scan(fresh);
        await counter.wait_title('2 may be it');
        await counter.tap(`[data-choose="${serials[1]}"]`);
        await counter.wait_title(`Booked: ${serials[1]} is`);
        const {questions} = await read('/api/questions');
        assert(questions.some(row => row.code === 'label-chosen'), 'nobody is asked about the choice');
    });

    await check('a page that is behind says why a new label was refused', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await counter.act('place-entry', {code: `${shelf}-2`, kind: 'shelf'}, storekeeper);
        await counter.act('take-on', {item, place: `${shelf}-2`, labelled: true}, storekeeper);
        const {units} = await read('/api/units?limit=500');
        const old = units.filter(unit => unit.item === item).map(unit => unit.serial).sort().pop();
        await page.goto(`${base}/#/unit/${old}`);
        await page.waitForSelector('text="Its label is lost"');
        await page.route(`**/api/units/${old}*`, route => route.abort()); // the net is down while others are at it
        for (let times = 0; times < 2; times++)
            await counter.act('relabel', {unit: old, confirm: true}, storekeeper);
        await page.click('text="Its label is lost"');
        await page.waitForSelector(`.panel [role=status] >> text=${old} was given up as lost`);
        await page.screenshot({path: join(folder, 'label-lost-refused.png'), fullPage: true});
    });
});

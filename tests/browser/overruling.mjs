// A stop that a storekeeper overrules in a real browser, against a kiosk that serves a demo:
//
//   node overruling.mjs http://127.0.0.1:PORT FOLDER
//
// At the counter with an expired cartridge, on a unit's page with a vat that is to be retired, and a stop that nobody
// overrules. Before people.mjs, which gives her another PIN. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, base, folder, read}) => {
    const picture = name => page.screenshot({path: join(folder, `${name}.png`), fullPage: true});
    const {people} = await read('/api/people'), {demo_pin} = await read('/health');
    const [maren, tobias] = ['Maren', 'Tobias'].map(name => people.find(row => row.name === name).serial);
    const day = days => new Date(Date.now() + days * 86400000).toISOString().slice(0, 10);

    /** A thing of this story's own, labelled: other stories have used what the demo began with. */
    async function take_on(content) {
        await counter.act('take-on', {place: content.item[0] === 'V' ? 'B01' : 'A01', labelled: true, ...content}, maren);
        const {units} = await read('/api/units?limit=500');
        return units.filter(unit => unit.item === content.item).map(unit => unit.serial).sort().pop();
    }
    const status = async serial => (await read(`/api/units/${serial}`)).status;

    // a printer of this story's own, so that nothing is in it
    await counter.act('printer-entry', {code: 'LOFT', name: 'Loft', slots: 1}, maren);
    const expired = await take_on({item: 'FLINT', lot: 'OLD-1', expires: day(-3), amount_ml: 800});

    await check('an expired cartridge is stopped, and beside "already taken" stands that a storekeeper overrules', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(tobias);
        await counter.scan(expired);
        await counter.scan('LOFT');
        assert_has(await page.textContent('.verdict'), 'STOP', 'expired: its last usable day was');
        await page.waitForSelector('[data-word="TAKEN"]');
        await page.waitForSelector('[data-word="OVERRULE"] >> text=Storekeeper overrules');
        await picture('overrule-stop');
    });
    await eyes(page, 'overrule', folder, '.key:not(.key-demo)');
    await check('the key asks for the PIN and says which reasons; without it nothing changes', async () => {
        await counter.press('OVERRULE');
        await page.waitForSelector('.dialog >> text=A storekeeper overrules a stop (expired)');
        await picture('overrule-pin');
        await page.keyboard.press('Escape');
        await page.waitForSelector('.trouble >> text=no storekeeper approved it');
        assert(await status(expired) === 'in', 'it is out');
        assert_has(await page.textContent('.verdict'), 'STOP');
    });
    await check('with the PIN it is booked, and the answer says what was overruled', async () => {
        await counter.press('OVERRULE');
        await counter.give_pin(demo_pin);
        await counter.wait_title('to Loft. A storekeeper overruled: expired.');
        assert(await status(expired) === 'out', 'it is not out');
        await picture('overrule-booked');
    });
    await check('the unit\'s page says who overruled which reason, and no question was opened', async () => {
        await page.goto(`${base}/#/unit/${expired}`);
        await page.waitForSelector('.history >> text=Taken to LOFT by Tobias; Maren overruled the stop (expired).');
        await picture('overrule-unit');
        assert(!(await read('/api/questions')).questions.some(row => row.unit === expired), 'a question was opened');
    });
    await check('UNDO takes it back', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(tobias);
        await counter.press('UNDO');
        await counter.wait_title('Taken back');
        assert(await status(expired) === 'in', 'it is not in');
    });
    await check('resins are never mixed: no key, whoever asks', async () => {
        const oak = await take_on({item: 'OAK', lot: 'OK-9', expires: day(200), amount_ml: 800});
        const vat = await take_on({item: 'VAT-S', resin: 'FLINT', lot: 'VT-9', expires: day(200), amount_ml: 300, film: 'clear'});
        await counter.scan(tobias);
        await counter.scan(vat);
        await counter.scan(oak);
        await counter.scan('LOFT');
        assert_has(await page.textContent('.verdict'), 'STOP', 'holds Oak, but');
        assert(await page.$('[data-word="TAKEN"]') !== null && await page.$('[data-word="OVERRULE"]') === null, 'the key is there');
        await counter.press('NO');
    });
    await check('a vat on hold is retired from its page once a storekeeper overrules that', async () => {
        const old = await take_on({item: 'VAT-S', resin: 'FLINT', lot: 'VT-8', expires: day(200), amount_ml: 300, film: 'clear'});
        const fresh = await take_on({item: 'VAT-S'});
        await counter.act('hold', {unit: old, reason: 'contaminated'}, tobias);
        await counter.scan(tobias);
        await page.goto(`${base}/#/unit/${old}`);
        await page.selectOption(`[aria-label="Retire ${old}"] [name=reason]`, 'worn');
        await page.fill(`[aria-label="Retire ${old}"] [name=to]`, fresh);
        await page.click(`[aria-label="Retire ${old}"] button`);
        await page.click('text="Storekeeper overrules"');
        await counter.give_pin(demo_pin);
        await page.waitForSelector('text=End of service');
        await page.waitForSelector('.history >> text=Maren overruled the stop (on hold)');
        assert(await status(old) === 'retired', 'it is not retired');
        await picture('overrule-retired');
    });
    await page.close();
});

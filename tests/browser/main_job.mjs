// The main job, by hand and by scanner, in a real browser against a kiosk that serves a fresh demo:
//
//   node main_job.mjs http://127.0.0.1:PORT FOLDER
//
// A delivery is received and its labels proved; a vat goes to a printer, a wrong cartridge is stopped, the vat comes
// back and that is undone; a question is settled. Pictures of the pages go to FOLDER. The last line is
// "N passed, N failed"; the exit status is 0 when none failed.
//
// Makers' codes begin with 950, the prefix of GS1's own office, so that no trade item has them. What a page must be for
// everybody's eyes is in WCAG 2.1, level AA, checked by axe-core.

import {mkdir, readFile} from 'node:fs/promises';
import {createRequire} from 'node:module';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';

const [base, folder] = process.argv.slice(2);
if (!base || !folder) {
    console.error('usage: node main_job.mjs http://127.0.0.1:PORT FOLDER');
    process.exit(2);
}
const axe_source = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const lot = `KP-${String(Date.now()).slice(-6)}`; // a lot of this run's own

async function read(path) {
    const response = await fetch(base + path);
    assert(response.ok, `${path} answered ${response.status}`);
    return response.json();
}

async function find_unit(what) {
    const {units} = await read('/api/units?limit=500');
    const found = units.find(what);
    assert(found, 'the demo has no such unit: start it afresh');
    return found.serial;
}

async function find_badge(name) {
    const {people} = await read('/api/people');
    const found = people.find(person => person.name === name);
    assert(found, `${name} is not of the demo`);
    return found.serial;
}

/** YYMMDD, some days from now. */
function gs1_day(days) {
    return new Date(Date.now() + days * 86400000).toISOString().slice(2, 10).replace(/-/g, '');
}

function picture(page, name) {
    return page.screenshot({path: join(folder, `${name}.png`)});
}

async function receive(page, counter) {
    const ines = await find_badge('Ines');
    await check('the page says that this is the demo, and waits for a scan', async () => {
        await page.goto(`${base}/`);
        await page.waitForSelector('.verdict');
        assert_has(await page.textContent('.band-demo'), 'DEMO');
        assert_has(await counter.word(), 'READY');
        assert(await page.evaluate(() => document.activeElement.id === 'scan'), 'the scan box has not the focus');
    });
    await check('a badge signs in', async () => {
        await counter.scan(ines);
        assert_has(await page.textContent('.person'), 'Ines');
    });
    await check('a delivery is opened by its supplier\u2019s name', async () => {
        await counter.go('receiving', 'Receiving');
        await page.fill('[aria-label="Open a delivery"] [name=supplier]', 'Gannet Supply');
        await page.click('[aria-label="Open a delivery"] button');
        await counter.wait_title('The delivery from Gannet Supply is open');
        await page.waitForSelector('.delivery-here >> text=Gannet Supply');
    });
    await check('one maker\u2019s code fills item, lot, use-by date and quantity', async () => {
        await counter.scan(`(01)09506000135021(17)${gs1_day(400)}(10)${lot}(30)2`);
        await counter.wait_title(`Receive 2 \u00D7 Kelp cartridge, lot ${lot}?`);
        assert_has(await page.textContent('.proposal'), lot, '400 days left', '1000 ml');
        assert(await page.inputValue('#quantity') === '2', 'the quantity is not 2');
    });
    await check('the quantity is corrected by + and \u2212', async () => {
        await page.click('[aria-label="one more"]');
        assert_has(await page.textContent('[data-word=YES]'), 'Yes, receive 3');
        await page.click('[aria-label="one less"]');
        assert_has(await page.textContent('[data-word=YES]'), 'Yes, receive 2');
    });
    await check('YES receives 2 units and orders their labels', async () => {
        await counter.press('YES');
        await counter.wait_title('Received 2 \u00D7 Kelp cartridge');
        await until(page, () => document.querySelectorAll('.lot tbody tr').length === 2);
        assert_has(await page.textContent('.lot'), lot, '0 of 2 labels proved');
        await picture(page, 'receiving');
    });
    await check('each label is proved by a scan of it', async () => {
        for (const serial of await page.$$eval('.lot tbody a.serial', links => links.map(link => link.textContent))) {
            await counter.scan(serial);
            await counter.wait_title(`Label ${serial} is proved`);
        }
        await page.waitForSelector('.lot >> text=2 of 2 labels proved');
    });
    await check('the shelf puts both away', async () => {
        await counter.scan('A02');
        if ((await counter.title()).includes('badge')) { // the receiver's badge no longer counts
            await counter.scan(ines);
            await counter.scan('A02');
        }
        await counter.wait_title('A02');
        const {units} = await read('/api/units?limit=500');
        assert(units.filter(unit => unit.lot === lot && unit.place === 'A02' && unit.labelled).length === 2,
               'the kiosk has not both at A02');
    });
    await check('the delivery is closed', async () => {
        await page.click('.delivery-here button');
        await page.waitForSelector('.delivery-here', {state: 'detached'});
        const {deliveries} = await read('/api/deliveries');
        assert(!deliveries.some(delivery => delivery.supplier === 'Gannet Supply'), 'it is still open');
    });
}

async function check_out(page, counter) {
    const tobias = await find_badge('Tobias');
    const vat = await find_unit(unit => unit.item === 'VAT-S' && unit.resin === 'Flint' && unit.status === 'in');
    const oak = await find_unit(unit => unit.item === 'OAK' && unit.status === 'in' && unit.lot === 'OK-0931');
    await check('a vat in storage proposes to go: GO, its card and the printers as keys', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(tobias);
        await counter.scan(vat);
        await counter.wait_title('may go');
        assert_has(await counter.word(), 'GO');
        assert_has(await page.textContent('.unit'), 'Small vat', vat, 'Flint, revision 2', 'FL-2207', '420 ml', 'B01');
        assert_has(await page.textContent('.prompts'), 'gloves', 'follow the SDS, your local rules and the maker');
        await page.waitForSelector('[data-scan=CAPSTAN]');
        await picture(page, 'desk-go');
    });
    await check('the printer closes the group, what the job needs is asked, and the check-out is booked', async () => {
        await counter.tap('[data-scan=CAPSTAN]');
        await counter.wait_title('How much resin will the job on');
        await page.waitForSelector('[data-word=UNKNOWN]');
        await counter.press('100ML');
        await counter.wait_title(`Booked: Small vat ${vat} to Capstan.`);
        assert_has(await page.textContent('[data-word=UNDO]'), 'Tobias', 'check-out', vat);
    });
    await check('a cartridge of another resin is stopped, with the reason and what to do', async () => {
        await counter.scan(tobias);
        await counter.scan(oak);
        await counter.scan('CAPSTAN');
        await counter.wait_title(`${oak} holds Oak, but ${vat} in Capstan holds Flint.`);
        assert_has(await counter.word(), 'STOP');
        assert_has(await page.textContent('.verdict'), 'What to do', 'resins are never mixed');
        assert(await page.$('[data-word=YES]') === null, 'STOP can be answered by YES');
        await page.waitForSelector('[data-word=TAKEN]');
        await picture(page, 'desk-stop');
    });
    await check('\u201Calready taken\u201D books reality and opens a question', async () => {
        await counter.press('TAKEN');
        await counter.wait_title('Booked as taken');
        await page.waitForSelector('nav .count');
    });
    await check('the vat comes back: the film is asked, then said', async () => {
        await counter.scan(tobias);
        await counter.scan(vat);
        await counter.wait_title('how is its film?');
        assert_has(await counter.word(), 'ASK');
        await counter.press('FILM-CLEAR');
        await page.waitForSelector('.said >> text=film clear');
        await counter.press('250ML');
        await page.waitForSelector('.said >> text=250 ml');
    });
    await check('the shelf books the check-in', async () => {
        await counter.tap('[data-scan=B01]');
        await counter.wait_title(`Booked: ${vat} is back, at B01.`);
        const unit = await read(`/api/units/${vat}`);
        assert(unit.status === 'in' && unit.place === 'B01' && unit.amount_ml === 250, 'the kiosk has it otherwise');
    });
    await check('UNDO names the act and the person, and takes it back', async () => {
        assert_has(await page.textContent('[data-word=UNDO]'), 'Tobias', 'check-in', vat);
        await counter.scan(tobias);
        await counter.press('UNDO');
        await counter.wait_title('Taken back');
        const unit = await read(`/api/units/${vat}`);
        assert(unit.status === 'out' && unit.amount_ml === 420, 'the kiosk has it otherwise');
    });
    return {vat, oak, tobias};
}

async function scan_fast(page, counter) {
    const cartridges = (await read('/api/units?limit=500')).units
        .filter(unit => unit.item === 'FLINT' && unit.status === 'in' && unit.labelled).slice(0, 2).map(unit => unit.serial);
    await check('scans typed faster than the kiosk answers are all taken, in order', async () => {
        await page.keyboard.type(cartridges.map(serial => `${serial}\n`).join(''));
        await until(page, serials => serials.every(serial =>
            [...document.querySelectorAll('.unit .serial')].some(link => link.textContent === serial)), cartridges);
    });
    await check('a scanner that types control characters is understood: Ctrl+] is GS', async () => {
        const sent = page.waitForRequest(request => request.url().endsWith('/api/scans'));
        await page.keyboard.type(`]d2010950600013502110${lot}`);
        await page.keyboard.press('Control+]');
        await page.keyboard.type(`17${gs1_day(400)}`);
        await page.keyboard.press('Enter');
        const {text} = JSON.parse((await sent).postData());
        assert(text === `]d2010950600013502110${lot}\u001d17${gs1_day(400)}`, `sent was ${JSON.stringify(text)}`);
        await counter.wait_title('stands on 2 units in stock');
    });
    await check('what is typed while a key has the focus still goes to the scan box', async () => {
        await counter.scan(cartridges[0]);
        await page.focus('[data-word=NO]');
        await page.keyboard.type(cartridges[1]);
        assert(await page.inputValue('#scan') === cartridges[1], 'the box has not the text');
        await page.keyboard.press('Enter');
        await until(page, serial => [...document.querySelectorAll('.unit .serial')].some(link => link.textContent === serial),
                    cartridges[1]);
        await counter.press('NO');
        await counter.wait_title('Put aside');
    });
}

async function lose_an_answer(page, counter) {
    await check('a scan whose answer is lost is sent again under the same id, and done once', async () => {
        const ids = [], answers = [];
        await page.route('**/api/scans', async route => {
            ids.push(JSON.parse(route.request().postData()).id);
            const response = await route.fetch();
            answers.push(await response.json());
            if (ids.length === 1)
                await route.abort('connectionreset'); // done by the kiosk, never heard of
            else
                await route.fulfill({response});
        });
        await page.focus('#scan');
        await page.keyboard.type('A01\n');
        await page.waitForSelector('.band-lost');
        await page.waitForSelector('.band-lost', {state: 'detached'});
        await page.unroute('**/api/scans');
        assert(ids.length === 2 && ids[0] === ids[1], `ids were ${ids}`);
        assert(answers[1].repeated === true, 'the kiosk did it twice');
        await counter.wait_title('A01');
    });
}

async function look_around(page, counter, {vat, oak, tobias}) {
    const maren = await find_badge('Maren'), pin = (await read('/health')).demo_pin;
    await check('Shelves shows the stock by item and lot, and finds a lot', async () => {
        await counter.go('shelves', 'Shelves');
        await page.waitForSelector('.stock-item');
        await picture(page, 'shelves');
        await page.fill('#stock-filter', lot);
        await until(page, () => document.querySelectorAll('.stock-item').length === 1);
        await page.waitForSelector('.stock-lot');
        assert_has(await page.textContent('.stock-item'), 'Kelp cartridge', lot, '2 units found', '2000 ml');
    });
    await check('a lot opens to its units, each with its place, by hand or by key', async () => {
        assert(await page.$('.unit-row') === null, 'units are read before anybody asks');
        await page.focus('.stock-lot .key-open');
        await page.keyboard.press('Enter');
        await until(page, () => document.querySelectorAll('.stock-lot .unit-row').length === 2);
        assert_has(await page.textContent('.stock-lot .unit-row'), 'A02', '1000 ml');
        await picture(page, 'shelves-lot');
    });
    await check('an item opens to its lots', async () => {
        await page.fill('#stock-filter', '');
        await page.click('.stock-item:has-text("VAT-S") .key-open');
        await page.waitForSelector('.stock-item:has-text("VAT-S") .stock-lot >> text=FL-2207');
    });
    await check('Shelves finds what is out or on hold by these words', async () => {
        await page.fill('#stock-filter', 'small out');
        await until(page, () => document.querySelectorAll('.stock-item').length === 1 &&
                                document.querySelectorAll('.stock-lot').length === 1);
        assert_has(await page.textContent('.stock-lot'), '1 out');
        await page.fill('#stock-filter', 'nothing has this');
        await page.waitForSelector('text=Nothing here has these words.');
    });
    await check('a place typed or chosen shows what stands there', async () => {
        await page.fill('#stock-filter', 'a02');
        await page.waitForSelector('.stock-place .unit-row >> text=Kelp cartridge');
        assert_has(await page.textContent('.stock-place'), 'At A02', `lot ${lot}`);
        await page.selectOption('#stock-place', 'B01');
        await page.waitForSelector('.stock-place >> text=At B01');
        assert(await page.inputValue('#stock-filter') === 'B01', 'the field does not say B01');
        await picture(page, 'shelves-place');
        await page.click('text="Show all"');
        await page.waitForSelector('.stock-place', {state: 'detached'});
    });
    await check('what moves while its lot is open is shown without a touch', async () => {
        await page.fill('#stock-filter', lot);
        await page.click('.stock-lot .key-open');
        const serial = await page.textContent('.stock-lot .unit-row .serial');
        await until(page, () => document.querySelectorAll('.stock-lot .unit-row').length === 2);
        await counter.act('hold', {unit: serial, reason: 'to-inspect'}, tobias);
        await page.waitForSelector('.stock-lot .unit-row >> text=on hold: to inspect');
        await page.waitForSelector('.stock-lot .key-open >> text=1 on hold');
        await counter.act('release', {unit: serial}, maren, {person: maren, pin});
        await page.waitForSelector('.stock-lot .tag-hold', {state: 'detached'});
    });
    await check('a movement makes the page read again what it changed, and nothing else', async () => {
        const asked = [];
        const listen = request => asked.push(new URL(request.url()));
        await counter.go('room', 'Room');
        await page.waitForSelector('.room-list >> text=A01');
        await page.waitForTimeout(600); // what the movements before made it read
        page.on('request', listen);
        await counter.act('hold', {unit: vat, reason: 'to-inspect'}, tobias); // no table of this page
        await page.waitForTimeout(800);
        assert(asked.length === 0 || asked.every(url => url.pathname.startsWith('/api/counters/')), `a hold: ${asked.join(' ')}`);
        asked.length = 0;
        await counter.act('place-entry', {code: 'A01', kind: 'shelf', name: 'cartridges, top'}, maren);
        await page.waitForTimeout(800);
        page.off('request', listen);
        const tables = asked.map(url => url.pathname).filter(path => !path.startsWith('/api/counters/'));
        assert(tables.join(' ') === '/api/places', `a place's entry: ${tables.join(' ')}`);
        await counter.act('release', {unit: vat}, maren, {person: maren, pin});
        await counter.go('shelves', 'Shelves');
    });
    await check('no page asks for all units', async () => {
        const asked = [];
        const listen = request => asked.push(new URL(request.url()));
        page.on('request', listen);
        for (const name of ['receiving', 'shelves', 'questions', 'room']) {
            await page.goto('about:blank'); // nothing is known then
            await visit(page, name, vat);
        }
        page.off('request', listen);
        const lists = asked.filter(url => url.pathname === '/api/units').map(url => url.search);
        assert(lists.every(search => /[?&](place|delivery|lot)=/.test(search)), lists.join(' '));
        assert(asked.some(url => url.pathname === '/api/stock'), 'nothing was asked at all');
    });
    await check('a serial typed opens that unit', async () => {
        await counter.go('shelves', 'Shelves');
        await page.fill('#stock-filter', vat.toLowerCase());
        await page.waitForSelector(`.stock-unit >> text=Open Small vat ${vat}`);
        await page.press('#stock-filter', 'Enter');
        await page.waitForSelector(`h1 >> text=${vat}`);
    });
    await check('a unit tells what happened to it', async () => {
        await page.goto(`${base}/#/unit/${vat}`);
        await page.waitForSelector('.history');
        assert_has(await page.textContent('.history'), 'Taken to CAPSTAN by Tobias.', 'was taken back', 'film clear');
    });
    await check('anyone puts on hold, only a storekeeper releases, and the refusal is a sentence', async () => {
        await counter.scan(tobias);
        await page.selectOption('[name=reason]', 'to-inspect');
        await page.click('text="Put on hold" >> nth=-1');
        await page.waitForSelector('.tag-hold >> text=to inspect');
        await page.click('text="Release it"');
        await page.waitForSelector('.trouble >> text=a storekeeper releases what is on hold');
        await counter.scan(maren);
        await page.click('text="Release it"');
        await counter.give_pin(pin);
        await page.waitForSelector('.tag-hold', {state: 'detached'});
    });
    await check('the storekeeper settles the question', async () => {
        await counter.go('questions', 'Questions');
        await page.waitForSelector('.question');
        assert_has(await page.textContent('.question'), 'against the verdict stop', oak, 'Tobias');
        await counter.scan(maren);
        await page.fill('.question [name=how]', 'Emptied and cleaned; nobody printed with it.');
        await page.click('.question button');
        await page.waitForSelector('text=No question is open.');
    });
    await check('the room is entered: a person, whose badge is ordered', async () => {
        await counter.go('room', 'Room');
        await counter.scan(maren);
        await page.fill('[aria-label="Enter a person"] [name=name]', 'Solveig');
        await page.selectOption('[aria-label="Enter a person"] [name=role]', 'technician');
        await page.click('[aria-label="Enter a person"] button');
        await page.waitForSelector('.noted >> text=Entered: Solveig, technician');
        await page.waitForSelector('.room-list >> text=Solveig');
    });
    await check('what comes in without a code is typed', async () => {
        await counter.go('receiving', 'Receiving');
        await page.fill('[aria-label="Open a delivery"] [name=supplier]', 'Skua Works');
        await page.click('[aria-label="Open a delivery"] button');
        await page.fill('#item-filter', 'small vat');
        await until(page, () => document.querySelectorAll('[name=item] option').length === 1);
        await page.fill('[name=quantity]', '1');
        await page.click('[aria-label="Receive without a code"] button');
        await counter.wait_title('Received 1 \u00D7 Small vat');
        await page.waitForSelector('.lot >> text=1 \u00D7 Small vat');
    });
}

// ---- for everybody's eyes ----

const pages = ['desk', 'receiving', 'shelves', 'questions', 'room', 'unit'];

async function visit(page, name, vat) {
    await page.goto(`${base}/#/${name === 'unit' ? `unit/${vat}` : name}`);
    await page.waitForSelector('main h1');
    if (name === 'shelves') { // with all that opens
        await page.click('.stock-item .key-open');
        await page.click('.stock-lot .key-open');
        await page.waitForSelector('.stock-lot .unit-row');
    }
    await page.waitForTimeout(300);
}

async function eyes(page, vat) {
    for (const name of pages) {
        await check(`${name}: axe-core finds nothing against WCAG 2.1 AA`, async () => {
            await visit(page, name, vat);
            await page.evaluate(axe_source);
            const {violations} = await page.evaluate(() => window.axe.run(document, {
                runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa']}));
            assert(violations.length === 0, violations.map(found =>
                `${found.id}: ${found.nodes.map(node => node.target.join(' ')).join('; ')}`).join('\n      '));
        });
        await check(`${name}: no letter is smaller than 16 px`, async () => {
            const small = await page.evaluate(() => [...document.querySelectorAll('body *')].filter(element =>
                [...element.childNodes].some(node => node.nodeType === 3 && node.data.trim()) &&
                parseFloat(getComputedStyle(element).fontSize) < 16).map(element => element.textContent.slice(0, 40)));
            assert(small.length === 0, small.join(' | '));
        });
    }
    for (const width of [390, 1280, 1920]) {
        await check(`no page is wider than a screen of ${width} px`, async () => {
            await page.setViewportSize({width, height: width < 700 ? 844 : 1080});
            for (const name of pages) {
                await visit(page, name, vat);
                const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
                assert(wide <= 0, `${name} is ${wide} px too wide`);
            }
        });
    }
    await page.setViewportSize({width: 1280, height: 800});
}

/** Contrast by WCAG 2.1, relative luminance of sRGB. */
const contrast_in_page = selector => {
    const numbers = color => color.match(/[\d.]+/g).slice(0, 3).map(Number);
    const light = color => numbers(color).map(part => part / 255)
        .map(part => part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
        .reduce((sum, part, i) => sum + part * [0.2126, 0.7152, 0.0722][i], 0);
    const word = document.querySelector(selector), band = word.closest('.verdict');
    const [one, two] = [light(getComputedStyle(word).color), light(getComputedStyle(band).backgroundColor)];
    return {contrast: (Math.max(one, two) + 0.05) / (Math.min(one, two) + 0.05), size: parseFloat(getComputedStyle(word).fontSize)};
};

async function verdict_eyes(page, counter, {vat}) {
    const kelp = await find_unit(unit => unit.item === 'KELP' && unit.status === 'in'); // the only one: none is older
    await counter.go('desk', 'Desk');
    for (const [word, codes] of Object.entries({GO: [kelp], STOP: ['nothing of ours'], ASK: [vat]})) {
        await check(`${word}: its word is 40 px or more with contrast 7:1, keys are 76 px high or more`, async () => {
            if (await page.$('[data-word=NO]'))
                await counter.press('NO');
            for (const code of codes)
                await counter.scan(code);
            assert_has(await counter.word(), word);
            const {contrast, size} = await page.evaluate(contrast_in_page, '.verdict-word');
            assert(contrast >= 7 && size >= 40, `contrast ${contrast.toFixed(1)}, ${size} px`);
            const low = await page.$$eval('.key:not(.key-demo)', keys => keys.map(key => key.getBoundingClientRect().height));
            assert(low.every(height => height >= 76), `heights ${low}`);
        });
    }
    if (await page.$('[data-word=NO]'))
        await counter.press('NO');
}

async function streams(context, page) {
    await check('two tabs of one browser share one event stream', async () => {
        const other = await context.newPage();
        await other.goto(`${base}/`);
        await other.waitForSelector('.verdict');
        await page.waitForTimeout(500);
        const metrics = await (await fetch(`${base}/metrics`)).text();
        await other.close();
        const count = Number(/^ambershelf_event_streams (\d+)$/m.exec(metrics)[1]);
        assert(count === 1, `${count} streams are open`);
    });
}

await mkdir(folder, {recursive: true});
await with_browser({}, async context => {
    const page = context.pages()[0] || await context.newPage();
    page.setDefaultTimeout(8000);
    const counter = new Counter(page);
    const complaints = [];
    page.on('pageerror', error => complaints.push(error.message));
    page.on('console', message => /error|warning/.test(message.type()) && !/status of 4\d\d|ERR_CONNECTION_RESET/.test(message.text()) &&
                                  complaints.push(message.text()));
    await receive(page, counter);
    const things = await check_out(page, counter);
    await scan_fast(page, counter);
    await lose_an_answer(page, counter);
    await look_around(page, counter, things);
    await streams(context, page);
    await eyes(page, things.vat);
    await verdict_eyes(page, counter, things);
    await check('the browser has nothing to complain about', () => assert(complaints.length === 0, complaints.join('\n      ')));
});
summary();

// People in a real browser: a release with a storekeeper's PIN against a kiosk that serves a fresh demo, and the first
// storekeeper of a real room, which this starts itself:
//
//   AMBERSHELF=PROGRAM node people.mjs http://127.0.0.1:PORT FOLDER
//
// Pictures of the page go to FOLDER.

import {spawn} from 'node:child_process';
import {mkdir, mkdtemp, readFile, rm, stat, writeFile} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';
import {eyes} from './eyes.mjs';

const [base, folder] = process.argv.slice(2);
if (!base || !folder || !process.env.AMBERSHELF) {
    console.error('usage: AMBERSHELF=PROGRAM node people.mjs http://127.0.0.1:PORT FOLDER');
    process.exit(2);
}

async function read(path, from = base) {
    const response = await fetch(from + path);
    assert(response.ok, `${path} answered ${response.status}`);
    return response.json();
}

function picture(page, name) {
    return page.screenshot({path: join(folder, `${name}.png`), fullPage: true});
}

/** Another one than `pin`. */
function wrong(pin) {
    return pin.slice(0, 5) + (Number(pin[5]) + 1) % 10;
}

/** A real, empty room: its address, the code it wrote, and what ends it. */
async function start_room() {
    const home = await mkdtemp(join(tmpdir(), 'ambershelf-room.'));
    const ledger = join(home, 'room.db');
    await writeFile(join(home, 'kiosk.ini'), `[ledger]\naddress = ${ledger}\n[web]\nport = 0\n`);
    const kiosk = spawn(process.env.AMBERSHELF, ['serve', '--config', join(home, 'kiosk.ini')], {stdio: ['ignore', 'pipe', 'ignore']});
    let said = '';
    const address = await new Promise((done, failed) => {
        kiosk.stdout.on('data', bytes => {
            said += bytes;
            const found = said.match(/ is at (http\S*)\/\n/);
            if (found)
                done(found[1]);
        });
        kiosk.on('exit', code => failed(new Error(`the kiosk ended with ${code}`)));
    });
    const end = async () => {
        kiosk.removeAllListeners('exit');
        const ended = new Promise(done => kiosk.on('exit', done));
        kiosk.kill('SIGTERM');
        await ended;
        await rm(home, {recursive: true, force: true});
    };
    return {address, code: said.match(/PIN: (\S+) /)[1], file: `${ledger}.code`, end};
}

async function release_with_pin(context) {
    const page = await context.newPage();
    const counter = new Counter(page);
    const {people} = await read('/api/people'), {demo_pin} = await read('/health');
    const [maren, tobias, ines] = ['Maren', 'Tobias', 'Ines'].map(name => people.find(person => person.name === name).serial);
    const {units} = await read('/api/units');
    const unit = units.find(row => row.kind === 'platform' || row.item === 'KELP').serial;
    await page.goto(base);
    await page.waitForSelector('#scan');

    await check('the demo says the PIN of its storekeeper, and only a demo does', async () => {
        assert(/^\d{6}$/.test(demo_pin), `demo_pin is ${demo_pin}`);
        await page.waitForSelector(`.band-demo >> text=${demo_pin}`);
    });
    await check('a release asks for the PIN, whose digits are never shown', async () => {
        await counter.act('hold', {unit, reason: 'to-inspect'}, tobias);
        await counter.scan(maren);
        await page.goto(`${base}/#/unit/${unit}`);
        await page.click('text="Release it"');
        await page.waitForSelector('.dialog >> text=A storekeeper approves what is released');
        const high = await page.$$eval('.dialog .key', keys => keys.map(key => key.getBoundingClientRect().height));
        assert(high.length >= 13 && high.every(height => height >= 76), `keys of ${high} px`);
        for (const digit of '12')
            await page.click(`[data-digit="${digit}"]`);
        assert_has(await page.textContent('.pin-dots'), '\u25CF\u25CF\u25CB', '2 of 6 digits');
        await picture(page, 'pin');
        await page.click('[aria-label="Take the last digit back"]');
        await page.click('[aria-label="Take the last digit back"]');
    });
    await eyes(page, 'pin', folder, '.dialog .key, .dialog select');
    await check('a wrong PIN is said, and the right one releases', async () => {
        await counter.give_pin(wrong(demo_pin));
        await page.waitForSelector('.dialog .trouble >> text=That is not the PIN: try again.');
        await counter.give_pin(demo_pin);
        await page.waitForSelector('.dialog', {state: 'detached'});
        await page.waitForSelector('.tag-hold', {state: 'detached'});
    });
    await check('by keyboard alone, and what a scanner types is no PIN', async () => {
        await counter.act('hold', {unit, reason: 'to-inspect'}, tobias);
        await page.click('text="Release it"');
        await page.waitForSelector('.dialog');
        await page.keyboard.type('C123456X');
        assert_has(await page.textContent('.pin-dots'), '0 of 6 digits');
        assert(await page.inputValue('#scan') === '', 'the scan box took it');
        await page.waitForTimeout(1100);
        for (let i = 0; i < 30; i++) { // the focus stays inside
            await page.keyboard.press('Tab');
            assert(await page.evaluate(() => document.activeElement.closest('.dialog') !== null), 'the focus left the dialog');
        }
        await page.focus('.dialog');
        await page.keyboard.type(demo_pin);
        await page.keyboard.press('Enter');
        await page.waitForSelector('.dialog', {state: 'detached'});
        await page.waitForSelector('.tag-hold', {state: 'detached'});
    });
    await check('left without a PIN, nothing is done', async () => {
        await counter.act('hold', {unit, reason: 'to-inspect'}, tobias);
        await page.click('text="Release it"');
        await page.waitForSelector('.dialog');
        await page.keyboard.press('Escape');
        await page.waitForSelector('.trouble >> text=no storekeeper approved it');
        await page.waitForSelector('.tag-hold');
    });
    await check('training is entered where people are', async () => {
        await counter.go('room', 'Room');
        await page.click('[aria-label="Change Ines"]');
        await page.check('[aria-label="Enter a person"] [name=retire]');
        await page.click('text="Keep this"');
        await page.waitForSelector('.room-list >> text=may retire a vat');
    });
    await check('an act of a role that may not is a stop with who may', async () => {
        await page.goto(`${base}/#/desk`);
        await counter.scan(ines);
        await counter.scan(units.find(row => row.kind === 'cartridge' && row.status === 'in' && row.labelled && !row.hold).serial);
        assert_has(await page.textContent('.verdict'), 'STOP', 'technician or storekeeper takes things to a printer');
        await picture(page, 'not-allowed');
        await counter.press('NO');
    });
    await check('a new PIN is shown once', async () => {
        await counter.scan(maren);
        await counter.go('room', 'Room');
        await page.click('[aria-label="Issue a new PIN to Maren"]');
        await counter.give_pin(demo_pin);
        await page.waitForSelector('.pin-told');
        assert(/^\d{3} \d{3}$/.test(await page.textContent('.pin-told')), 'no six digits');
        await picture(page, 'pin-told');
        await page.click('text="It is written down"');
        await page.waitForSelector('.pin-told', {state: 'detached'});
    });
    await page.close();
}

async function first_storekeeper(context) {
    const room = await start_room();
    const page = await context.newPage();
    const counter = new Counter(page);
    try {
        await check('a new room says where its first storekeeper is entered, and no PIN or code', async () => {
            const health = await read('/health', room.address);
            assert(health.enrolment === true && health.demo_pin === undefined, JSON.stringify(health));
            await page.goto(room.address);
            await page.click('.band-clock a >> text=page Room');
            await page.waitForSelector('.enrolment >> text=The first storekeeper');
            assert(!(await page.content()).includes(room.code), 'the page knows the code');
        });
        await check('the code stands in a file that only its owner can read', async () => {
            assert(((await stat(room.file)).mode & 0o777) === 0o600, 'its mode is not 0600');
            assert((await readFile(room.file, 'utf8')).trim() === room.code, 'another code');
        });
        await eyes(page, 'enrolment', folder, '.enrolment .key-main');
        await check('a wrong code enters nobody', async () => {
            await page.fill('.enrolment [name=name]', 'Maren');
            await page.fill('.enrolment [name=code]', 'AAAA-AAAA');
            await page.click('text="Enter the first storekeeper"');
            await page.waitForSelector('.enrolment .trouble >> text=that is not the code');
            assert((await read('/api/people', room.address)).people.length === 0, 'somebody was entered');
        });
        let pin = '';
        await check('the right one enters her, shows the PIN once, and counts no more', async () => {
            await page.fill('.enrolment [name=code]', room.code.toLowerCase());
            await page.click('text="Enter the first storekeeper"');
            await page.waitForSelector('.pin-told');
            pin = (await page.textContent('.pin-told')).replace(' ', '');
            assert(/^\d{6}$/.test(pin), pin);
            await picture(page, 'first-storekeeper');
            await page.click('text="It is written down"');
            await page.waitForSelector('.enrolment', {state: 'detached'});
            await page.waitForSelector('.room-list >> text=Maren');
            await stat(room.file).then(() => { throw new Error('the file is still there'); }, () => {});
        });
        await check('she enters the room with her badge, and her PIN approves', async () => {
            const [maren] = (await read('/api/people', room.address)).people;
            assert(maren.role === 'storekeeper', maren.role);
            await counter.scan(maren.serial);
            await page.fill('[aria-label="Enter a printer"] [name=code]', 'CAPSTAN');
            await page.fill('[aria-label="Enter a printer"] [name=name]', 'Capstan');
            await page.fill('[aria-label="Enter a printer"] [name=slots]', '1');
            await page.click('[aria-label="Enter a printer"] button');
            await page.waitForSelector('.room-list >> text=Capstan');
            await page.click('[aria-label="Issue a new PIN to Maren"]');
            await counter.give_pin(pin);
            await page.waitForSelector('.pin-told');
            await until(page, before => document.querySelector('.pin-told').textContent.replace(' ', '') !== before, pin);
        });
    } finally {
        await page.close();
        await room.end();
    }
}

await mkdir(folder, {recursive: true});
await with_browser({}, async context => {
    await release_with_pin(context);
    await first_storekeeper(context);
});
summary();

// Label templates in a real browser, against a kiosk that serves a fresh demo:
//
//   node templates.mjs http://127.0.0.1:PORT FOLDER
//
// The list shows every label as it looks; one is opened, changed, wrong for a moment with the sentence beside its line,
// looked at dot by dot, saved as the shop's own through another person's edit, and given back. Pictures go to FOLDER.

import {mkdir, readFile} from 'node:fs/promises';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {eyes} from './eyes.mjs';
import {Counter, assert, assert_has, check, summary, until} from './counter.mjs';

const [base, folder] = process.argv.slice(2);
if (!base || !folder) {
    console.error('usage: node templates.mjs http://127.0.0.1:PORT FOLDER');
    process.exit(2);
}
const shipped = ['bottle', 'bottle-hazard', 'bottle-hazard-red', 'waste-hazard', 'card', 'card-sheet', 'cartridge', 'hold', 'person', 'place', 'platform', 'vat', 'vat-case', 'waste'];

async function ask(method, path, body) {
    const response = await fetch(base + path, {method, headers: {'Content-Type': 'application/json'}, body: body && JSON.stringify(body)});
    return {status: response.status, body: await response.json()};
}

function picture(page, name) {
    return page.screenshot({path: join(folder, `${name}.png`), fullPage: true});
}

/** What a person sees of the label: is the dot of the shown picture black? */
function black_dots(page) {
    return page.evaluate(async () => {
        const image = document.querySelector('.tpl-paper img'), canvas = document.createElement('canvas');
        await image.decode();
        [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
        const drawn = canvas.getContext('2d');
        drawn.drawImage(image, 0, 0);
        const {data} = drawn.getImageData(0, 0, canvas.width, canvas.height);
        let black = 0, grey = 0;
        for (let i = 0; i < data.length; i += 4) {
            black += data[i] === 0;
            grey += data[i] !== 0 && data[i] !== 255;
        }
        return {black, grey, wide: canvas.width, high: canvas.height};
    });
}

async function drawn_anew(page, run) {
    const before = await page.getAttribute('.tpl-paper img', 'src');
    await run();
    await until(page, src => document.querySelector('.tpl-paper img').src !== src && !document.querySelector('.tpl-stale'), before);
}

async function look(page, counter) {
    await check('the page Labels leads to it; every shipped label is drawn, with where to stick it', async () => {
        await page.goto(`${base}/`);
        await counter.go('labels', 'Labels');
        await page.click('a[href="#/templates"]');
        await page.waitForSelector('main h1:text-is("Label templates")');
        const drawn = () => until(page, () => document.querySelectorAll('.tpl-look').length === document.querySelectorAll('.tpl-look > .tpl-label').length);
        await drawn();
        const names = await page.$$eval('.tpl-card h2', titles => titles.map(title => title.textContent));
        assert(shipped.every(name => names.includes(name)), names.join(' '));
        const troubles = await page.$$eval('.tpl-card .trouble', found => found.map(one => one.textContent));
        assert(troubles.length === 0, troubles.join('\n'));
        assert(await page.$$eval('.tpl-where img', found => found.length) >= names.length - 1, 'a picture of where to stick it is missing');
        await page.click('[aria-label="Size of vat-case"] button:has-text("25 x 13")');
        await drawn();
        await page.click('[aria-label="Size of vat-case"] button:has-text("50 x 25")');
        for (const paper of ['A4, 297 x 210', 'US Letter, 279.4 x 215.9']) {
            await page.click(`[aria-label="Size of card-sheet"] button:has-text("${paper}")`);
            const [sheet] = await Promise.all([page.waitForEvent('download'), page.click(`a[download^="card-sheet"]:text("PDF for an office printer, ${paper.split(',')[0]}") >> nth=0`)]);
            const bytes = await readFile(await sheet.path());
            assert(bytes.subarray(0, 5).toString() === '%PDF-' && bytes.length > 5000, `${sheet.suggestedFilename()}: ${bytes.length} bytes`);
        }
        const where = await page.$$eval('.tpl-where p', found => found.map(words => words.textContent));
        assert(where.length >= shipped.length && where.every(words => words.startsWith('Where to stick it: ')), where.join(' | '));
        await picture(page, 'templates-list');
    });
    await eyes(page, 'templates-list', folder, 'main .key, main input');
}

async function edit(page) {
    await check('one opened shows its text and its label, exact dots, marked SAMPLE', async () => {
        await page.click('button[aria-label="Look at and change vat-case"]');
        await page.waitForSelector('.tpl-paper img');
        assert_has(await page.inputValue('#tpl-text'), 'label 50 x 25', '"{serial}"');
        const {wide, high, black, grey} = await black_dots(page);
        assert(wide === 400 && high === 200, `${wide} x ${high} dots`); // 50 x 25 mm at 203 dpi: 399.6 x 199.8
        assert(grey === 0 && black > 5000, `${black} black, ${grey} grey`);
        assert(await page.inputValue('#tpl-sample') === 'SAMPLE', 'no sample mark');
        await picture(page, 'templates-editor');
    });
    await check('another resolution and every dot: the label has its millimetres, a dot is four pixels', async () => {
        await drawn_anew(page, () => page.click('text="300 dpi"'));
        const {wide, high} = await black_dots(page);
        assert(wide === 591 && high === 295, `${wide} x ${high} dots`); // 590.6 x 295.3
        await page.click('text="Every dot"');
        const shown = await page.$eval('.tpl-paper img', image => [image.getBoundingClientRect().width, getComputedStyle(image).imageRendering]);
        assert(shown[0] === 591 * 4 && shown[1] === 'pixelated', shown.join(' '));
        await picture(page, 'templates-dots');
        await page.click('text="True size"');
        const paper = await page.$eval('.tpl-paper img', image => image.getBoundingClientRect().width);
        assert(Math.abs(paper - 50 / 25.4 * 96) < 1, `${paper} px wide`); // CSS Values 4: an inch is 96 px
    });
    await check('another sample field changes the label; one that does not fit is said by its name', async () => {
        await drawn_anew(page, () => page.fill('#tpl-lot', 'KP-1'));
        await page.fill('#tpl-lot', 'ABCDEFGHIJKLMNOPQRST');
        await drawn_anew(page, () => page.fill('#tpl-lot', 'FL-2207'));
        await page.fill('#tpl-resin', 'W'.repeat(60));
        await page.waitForSelector('.tpl-preview .trouble');
        assert_has(await page.textContent('.tpl-preview .trouble'), "field 'resin'", 'shorten');
        await drawn_anew(page, () => page.fill('#tpl-resin', 'Flint rev 2'));
    });
    await check('a wrong line has the sentence beside it, and cannot be saved', async () => {
        const text = await page.inputValue('#tpl-text');
        await page.fill('#tpl-text', text.replace('margin 1', 'margn 1'));
        await page.waitForSelector('.tpl-note');
        assert_has(await page.textContent('.tpl-note'), 'Line 3', "'margn' is not known");
        const [note, bad] = await page.evaluate(() => ['.tpl-note', '.tpl-bad'].map(found => document.querySelector(found).getBoundingClientRect().top));
        assert(Math.abs(note - bad) < 4, `the sentence is at ${note}, its line at ${bad}`);
        assert(await page.isDisabled('text="Save as ours"'), 'a broken template could be saved');
        await picture(page, 'templates-wrong');
        await eyes(page, 'templates-wrong', folder, 'main .key, main input');
        await page.fill('#tpl-text', text);
        await page.waitForSelector('.tpl-note', {state: 'detached'});
    });
    await eyes(page, 'templates-editor', folder, 'main .key, main input');
}

async function save(page) {
    await check('what was typed waits while another page is looked at', async () => {
        const text = await page.inputValue('#tpl-text');
        await drawn_anew(page, () => page.fill('#tpl-text', text.replace('"vat case"', '"case of a vat"').replace('bold "{serial}"', '"{serial}"')));
        await page.goto(`${base}/#/questions`);
        await page.waitForSelector('main h1:text-is("Questions")', {state: 'attached'});
        await page.goto(`${base}/#/templates`);
        await page.click('button[aria-label="Look at and change vat-case"]');
        await page.waitForSelector('.tpl-paper img');
        assert_has(await page.inputValue('#tpl-text'), '"case of a vat"');
    });
    await check('another person saved meanwhile: told, both texts at hand, then ours is saved', async () => {
        const {body: {text, digest}} = await ask('GET', '/api/templates/vat-case');
        assert((await ask('PUT', '/api/templates/vat-case', {text: `${text}# theirs\n`, seen: digest})).status === 200, 'not saved');
        await page.click('text="Save as ours"');
        await page.waitForSelector('.tpl-keys .trouble');
        assert_has(await page.textContent('.tpl-keys .trouble'), 'changed by somebody else');
        await page.click('text="Show the text that counts now"');
        await page.waitForSelector('text="Put back what I typed"');
        assert_has(await page.inputValue('#tpl-text'), '# theirs');
        await page.click('text="Put back what I typed"');
        assert_has(await page.inputValue('#tpl-text'), '"case of a vat"');
        await page.click('text="Save as ours"');
        await page.waitForSelector('.noted >> text=Saved as the shop');
        const saved = (await ask('GET', '/api/templates/vat-case')).body;
        assert(saved.own && saved.text.includes('"case of a vat"'), JSON.stringify(saved));
        await picture(page, 'templates-saved');
    });
    await check('and back to the shipped one, in two steps', async () => {
        await page.click('text="Back to the shipped one"');
        await page.waitForSelector('.tpl-sure');
        assert_has(await page.textContent('.tpl-sure'), 'vat-case.label~');
        await page.click('.tpl-sure .key-grave');
        await page.waitForSelector('.noted >> text=The shipped one counts again');
        await until(page, () => !document.querySelector('#tpl-text').value.includes('case of a vat')); // the old text goes
        assert((await ask('GET', '/api/templates/vat-case')).body.own === false, 'it is still the shop\u2019s');
        await page.click('text="All templates"');
        await page.waitForSelector('.tpl-card');
    });
}

await mkdir(folder, {recursive: true});
await with_browser({}, async context => {
    const page = context.pages()[0] || await context.newPage();
    page.setDefaultTimeout(8000);
    const complaints = [];
    page.on('pageerror', error => complaints.push(error.message));
    page.on('console', message => /error|warning/.test(message.type()) && !/status of 4\d\d/.test(message.text()) && complaints.push(message.text()));
    await look(page, new Counter(page));
    await edit(page);
    await save(page);
    await check('the browser has nothing to complain about of the templates', () => assert(complaints.length === 0, complaints.join('\n      ')));
});
summary();

// What an item's SDS says is entered in the room, asked about, kept, and ordered as a label:
//
//   node hazard_label.mjs http://127.0.0.1:PORT FOLDER
//
// against a kiosk that serves a fresh demo. The last line is "N passed, N failed". The statements are those of the UN
// GHS annex 3; what an invented resin gets here is invented as well.

import {mkdir, readFile} from 'node:fs/promises';
import {createRequire} from 'node:module';
import {join} from 'node:path';
import {with_browser} from './browser.mjs';
import {Counter, assert, assert_has, check, summary} from './counter.mjs';

const [base, folder] = process.argv.slice(2);
if (!base || !folder) {
    console.error('usage: node hazard_label.mjs http://127.0.0.1:PORT FOLDER');
    process.exit(2);
}
const axe_source = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const form = '[aria-label="Hazard label"]';

async function item(code) {
    const {items} = await (await fetch(`${base}/api/items`)).json();
    return items.find(row => row.code === code);
}

async function badge(name) {
    const {people} = await (await fetch(`${base}/api/people`)).json();
    return people.find(person => person.name === name).serial;
}

async function enter(page) {
    await check('an item of the room has a form for its hazard label', async () => {
        await page.click('[aria-label="Hazard label of Flint bottle"]');
        await page.waitForSelector(form);
        assert_has(await page.textContent('#item-sds'), 'word for word', 'Follow the SDS, your local rules');
    });
    await check('a code without words is refused with a sentence, and what was typed stays', async () => {
        await page.fill(`${form} [name=sds_product]`, 'Flint resin');
        await page.fill(`${form} [name=sds_signal_word]`, 'Warning');
        await page.fill(`${form} [name=sds_pictograms]`, 'GHS09');
        await page.fill(`${form} [name=sds_statements]`, 'H317\nH411 Toxic to aquatic life with long lasting effects.');
        await page.click(`${form} button[type=submit]`);
        await page.waitForSelector('.trouble >> text=H317 without words');
        assert(await page.inputValue(`${form} [name=sds_product]`) === 'Flint resin', 'the product is gone');
    });
    await check('what looks like a slip is asked, and kept as it was said', async () => {
        await page.fill(`${form} [name=sds_statements]`, 'H317 May cause an allergic skin reaction.\nH411 Toxic to aquatic life with long lasting effects.');
        await page.fill(`${form} [name=sds_precautions]`, 'P280 Wear protective gloves and eye protection.');
        await page.fill(`${form} [name=sds_revised]`, '2026-01-10');
        await page.fill(`${form} [name=sds_place]`, 'binder 3, shelf A');
        await page.selectOption(`${form} [name=sds_label]`, 'bottle-hazard');
        await page.fill(`${form} [name=sds_supplier]`, 'Kestrel Quay Resins');
        await page.fill(`${form} [name=sds_address]`, '2 Harbour Row, Kestrel Quay');
        await page.fill(`${form} [name=sds_phone]`, '+00 555 0100');
        await page.fill(`${form} [name=sds_quantity]`, '0.5 l');
        await page.selectOption(`${form} [name=sds_language]`, 'de');
        await page.fill(`${form} [name=sds_ufi]`, 'N1QV-R02N-J00M-WQD6');
        await page.click(`${form} button[type=submit]`);
        await page.waitForSelector('.trouble >> text=does not agree with the others');
        await page.fill(`${form} [name=sds_ufi]`, 'N1QV-R02N-J00M-WQD5');
        await page.click(`${form} button[type=submit]`);
        await page.waitForSelector('.sds-questions >> text=H317 usually goes with GHS07');
        await page.screenshot({path: join(folder, 'hazard-label.png'), fullPage: true});
        const kept = await item('FLINT-B');
        assert(kept.sds_pictograms === 'GHS09', `kept: ${kept.sds_pictograms}`);
        assert(kept.sds_supplier === 'Kestrel Quay Resins' && kept.sds_phone === '+00 555 0100' && kept.sds_quantity === '0.5 l' &&
            kept.sds_ufi === 'N1QV-R02N-J00M-WQD5' && kept.sds_language === 'de', JSON.stringify(kept));
        assert_has(kept.sds_statements, 'H317 May cause an allergic skin reaction.|H411 Toxic');
    });
    await check('the form shows what was kept, and the rest of the item stayed as it was', async () => {
        await page.fill(`${form} [name=sds_pictograms]`, 'GHS07 GHS09');
        await page.click(`${form} button[type=submit]`);
        await page.waitForSelector('.sds-questions', {state: 'detached'});
        await page.waitForSelector(`${form} .noted`);
        const kept = await item('FLINT-B');
        assert(kept.sds_pictograms === 'GHS07 GHS09' && kept.content_ml === 500 && kept.name === 'Flint bottle', JSON.stringify(kept));
        assert((await page.inputValue(`${form} [name=sds_statements]`)).includes('\nH411'), 'not a line a statement');
    });
}

await mkdir(folder, {recursive: true});
await with_browser({}, async context => {
    const page = context.pages()[0] || await context.newPage();
    page.setDefaultTimeout(8000);
    const counter = new Counter(page);
    const maren = await badge('Maren');
    await page.goto(`${base}/`);
    await page.waitForSelector('.verdict');
    await counter.act('item-entry', {code: 'FLINT-B', letter: 'R', name: 'Flint bottle', resin: 'Flint', content_ml: 500}, maren);
    await counter.go('room', 'Room');
    await counter.scan(maren);
    await enter(page);
    await check('a bottle of it gets that label', async () => {
        await counter.act('take-on', {item: 'FLINT-B', place: 'A01', lot: 'L24117'}, maren);
        const lists = await (await fetch(`${base}/api/prints`)).json();
        const prints = Object.values(lists).flat();
        assert(prints.some(print => (print.unit || '').startsWith('R') && print.template === 'bottle-hazard'), JSON.stringify(prints).slice(0, 400));
    });
    await check('the form is for everybody\u2019s eyes', async () => { // WCAG 2.1, level AA
        await page.evaluate(axe_source);
        const {violations} = await page.evaluate(() => globalThis.axe.run(document.querySelector('#item-sds'), {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa']}));
        assert(violations.length === 0, violations.map(found => `${found.id}: ${found.nodes[0].html}`).join('\n'));
    });
});
summary();

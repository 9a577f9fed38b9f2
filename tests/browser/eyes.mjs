// For everybody's eyes, gloves and screens: what every page must keep.

import {readFile} from 'node:fs/promises';
import {createRequire} from 'node:module';
import {join} from 'node:path';
import {assert, check} from './counter.mjs';

const axe_source = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** WCAG 2.1, level AA, checked by axe-core; letters of 16 px, keys of 76 px (20 mm at 96 px an inch); no wider than a
 *  telephone's or a counter's screen. Leaves NAME-narrow.png in `folder`. */
export async function eyes(page, name, folder, keys = 'main .key, main select, main input:not(.unseen)') {
    await check(`${name}: axe-core finds nothing against WCAG 2.1 AA, no letter under 16 px, keys of 76 px`, async () => {
        await page.evaluate(axe_source);
        const {violations} = await page.evaluate(() => window.axe.run(document, {
            runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa']}));
        assert(violations.length === 0, violations.map(found =>
            `${found.id}: ${found.nodes.map(node => node.target.join(' ')).join('; ')}`).join('\n      '));
        const small = await page.evaluate(() => [...document.querySelectorAll('body *')].filter(element =>
            [...element.childNodes].some(node => node.nodeType === 3 && node.data.trim()) &&
            parseFloat(getComputedStyle(element).fontSize) < 16).map(element => element.textContent.slice(0, 40)));
        assert(small.length === 0, small.join(' | '));
        const low = await page.$$eval(keys, found => found.map(key => key.getBoundingClientRect().height));
        assert(low.every(height => height >= 76), `heights ${low}`);
    });
    for (const width of [390, 1280]) {
        await check(`${name}: not wider than a screen of ${width} px`, async () => {
            await page.setViewportSize({width, height: 844});
            const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
            assert(wide <= 0, `${wide} px too wide`);
            if (width === 390)
                await page.screenshot({path: join(folder, `${name}-narrow.png`), fullPage: true});
        });
    }
    await page.setViewportSize({width: 1280, height: 800});
}

// A story: one kiosk that serves a demo, one browser, one page of it, and a line of counts at the end.
//
//   node STORY.mjs http://127.0.0.1:PORT FOLDER [FIXTURES PRINTER]

import {mkdir} from 'node:fs/promises';
import {basename} from 'node:path';
import {with_browser} from './browser.mjs';
import {Counter, assert, summary} from './counter.mjs';

/** Calls `tell` with {page, counter, base, folder, read}: `base` the kiosk's address, `folder` where pictures go,
 *  `read(path)` what the kiosk answers to a GET. */
export async function story(tell) {
    const [base, folder] = process.argv.slice(2);
    if (!base || !folder) {
        console.error(`usage: node ${basename(process.argv[1])} http://127.0.0.1:PORT FOLDER [FIXTURES PRINTER]`);
        process.exit(2);
    }
    await mkdir(folder, {recursive: true});
    async function read(path) {
        const response = await fetch(base + path);
        assert(response.ok, `${path} answered ${response.status}`);
        return response.json();
    }
    await with_browser({}, async context => {
        const page = await context.newPage();
        await page.goto(base);
        await page.waitForSelector('nav');
        await tell({page, counter: new Counter(page), base, folder, read});
    });
    summary();
}

// A browser of the machine's own, with a new profile, that reaches nothing but the kiosk.

import {mkdtemp, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {chromium} from 'playwright-core';

const quiet = ['--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
               '--disable-component-update', '--disable-sync'];
const as_root = process.getuid && process.getuid() === 0 ? ['--no-sandbox'] : []; // the sandbox needs another user

/** Opens the browser, hands its context to `run`, and leaves nothing behind. */
export async function with_browser(options, run) {
    const profile = await mkdtemp(join(tmpdir(), 'ambershelf-browser.'));
    const context = await chromium.launchPersistentContext(profile, {
        executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: [...quiet, ...as_root], headless: true,
        viewport: {width: 1280, height: 800}, ...options});
    try {
        return await run(context);
    } finally {
        await context.close();
        await rm(profile, {recursive: true, force: true});
    }
}

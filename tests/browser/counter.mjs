// A person at the counter's page, and the tally of what was checked.

import {randomUUID} from 'node:crypto';

let passed = 0, failed = 0;

export function assert(holds, why) {
    if (!holds)
        throw new Error(why);
}

export function assert_has(text, ...parts) {
    for (const part of parts)
        assert(text.includes(part), `"${part}" is missing in "${text.trim().slice(0, 300)}"`);
}

/** Runs one check; a failed one is told and the next goes on. */
export async function check(sentence, run) {
    try {
        await run();
        passed++;
        console.log(`ok   ${sentence}`);
    } catch (error) {
        failed++;
        console.log(`FAIL ${sentence}\n      ${error.message}`);
    }
}

export function summary() {
    console.log(`${passed} passed, ${failed} failed`);
    process.exitCode = failed > 0 || passed === 0 ? 1 : 0;
}

/** Waits until `holds(argument)` is true in the page. The page's own security policy forbids Playwright's waiting
 *  function, which evaluates a text there; and the policy stays on in a test. */
export async function until(page, holds, argument, patience_ms = 8000) {
    const end = Date.now() + patience_ms;
    while (!await page.evaluate(holds, argument)) {
        if (Date.now() > end)
            throw new Error(`${holds} did not become true within ${patience_ms} ms`);
        await page.waitForTimeout(40);
    }
}

const CALM_MS = 400; // the page takes a second tap within 350 ms for the tail of the first

export class Counter {
    constructor(page) {
        this.page = page;
    }

    async go(name, title) {
        await this.page.click(`nav a[href="#/${name}"]`);
        await this.page.waitForSelector(`main h1:text-is("${title}")`, {state: 'attached'});
    }

    /** As a scanner that types does: characters, then Enter. Waits for the kiosk's answer. */
    async scan(text) {
        await this.page.focus('#scan');
        const answered = this.page.waitForResponse(response => response.url().endsWith('/api/scans'));
        await this.page.keyboard.type(text);
        await this.page.keyboard.press('Enter');
        const response = await answered;
        assert(response.ok(), `the kiosk answered ${response.status()} to the scan of ${text}`);
        const {title} = await response.json();
        await this.wait_title(title);
    }

    async tap(selector) {
        await this.page.waitForSelector(selector);
        await this.page.waitForTimeout(CALM_MS);
        await this.page.click(selector);
    }

    /** An act of a person that this page has no part in, as another counter's or a script's. */
    async act(kind, content, person, approval) {
        const response = await fetch(new URL('/api/acts', this.page.url()), {
            method: 'POST', headers: {'Content-Type': 'application/json'},
            body: JSON.stringify({id: randomUUID(), kind, counter: 'elsewhere', person, content, approval})});
        assert(response.ok, `${kind}: the kiosk answered ${response.status} ${await response.text()}`);
    }

    async press(word) {
        const answered = this.page.waitForResponse(response => response.url().endsWith('/api/acts'));
        await this.tap(`[data-word="${word}"]`);
        await answered;
    }

    /** The PIN pad, as fingers use it. */
    async give_pin(pin) {
        await this.page.waitForSelector('.dialog [data-digit="0"]');
        for (const digit of pin)
            await this.page.click(`[data-digit="${digit}"]`);
        await this.page.click('.dialog button:text-is("OK")');
    }

    word() {
        return this.page.textContent('.verdict-word');
    }

    title() {
        return this.page.textContent('.verdict-title, .verdict-line');
    }

    async wait_title(part) {
        try {
            await until(this.page, wanted =>
                [...document.querySelectorAll('.verdict-title, .verdict-line')].some(title => title.textContent.includes(wanted)),
            part, 5000);
        } catch {
            throw new Error(`"${part}" did not come; the page says "${await this.title().catch(() => 'nothing')}"`);
        }
    }
}

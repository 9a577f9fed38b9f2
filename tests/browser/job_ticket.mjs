// A job's ticket in a real browser, against a kiosk that serves a demo:
//
//   node job_ticket.mjs http://127.0.0.1:PORT FOLDER
//
// A job is planned on the page Jobs, its ticket is printed, scanned at the desk, stops another resin and opens the job
// under its code; another plan is dropped. Pictures of the page go to FOLDER.

import {join} from 'node:path';
import {assert, assert_has, check, until} from './counter.mjs';
import {eyes} from './eyes.mjs';
import {story} from './story.mjs';

await story(async ({page, counter, base, folder, read}) => {
    const {people} = await read('/api/people');
    const person = people.find(row => row.name === 'Tobias').serial;
    const storekeeper = people.find(row => row.role === 'storekeeper').serial;
    const day = days => new Date(Date.now() + days * 86400000).toISOString().slice(0, 10);
    const tag = String(Date.now()).slice(-6), code = `KQ-${tag}`;

    /** A vat of this story's own, labelled: other stories have used what the demo began with. */
    async function vat_of(resin) {
        await counter.act('take-on', {item: 'VAT-S', place: 'B01', labelled: true, resin, lot: `JT-${tag}`, expires: day(200), amount_ml: 300}, storekeeper);
        const {units} = await read('/api/units?limit=500');
        return units.filter(unit => unit.item === 'VAT-S').map(unit => unit.serial).sort().pop();
    }
    await counter.act('printer-entry', {code: 'HALYARD', name: 'Halyard', slots: 1}, storekeeper);
    const flint = await vat_of('FLINT'), oak = await vat_of('OAK');

    /** The ticket as the label says it, all that a scanner hands over. */
    async function scan_ticket(wanted) {
        const bytes = `[)>\x1e06\x1dW${wanted}\x1e\x04`;
        const response = await fetch(`${base}/api/acts`, {method: 'POST', headers: {'Content-Type': 'application/json'},
            body: JSON.stringify({id: `ticket-${tag}-${Math.random().toString(36).slice(2)}`, kind: 'scan', counter: 'desk', content: {
                bytes: Buffer.from(bytes).toString('hex'), symbology: ']d1', source: 'scanner'}})});
        const {title} = await response.json();
        await counter.wait_title(title.slice(0, 60));
    }

    await check('a job is planned on its page, and its ticket is ordered', async () => {
        await counter.go('jobs', 'Jobs');
        const form = page.locator('form[aria-label="Plan a job"]');
        await form.locator('[name=job]').fill(code);
        await form.locator('[name=name]').fill('Gear housing');
        await form.locator('[name=printer]').selectOption('HALYARD');
        await form.locator('[name=resin]').selectOption('Flint');
        await form.locator('[name=need_ml]').fill('121');
        await form.locator('[name=ends]').fill(`${day(1)}T18:30`);
        await form.locator('[name=print]').check();
        await form.locator('button[type=submit]').click();
        await until(page, wanted => document.querySelector('.label-rows') && document.querySelector('.label-rows').textContent.includes(wanted), code);
        assert_has(await page.textContent('main'), 'Gear housing', 'Halyard', 'Flint', '121 ml', 'ends ');
        const {jobs} = await read('/api/jobs');
        const job = jobs.find(row => row.job === code);
        assert(job.planned && job.need_ml === 121 && job.printer === 'HALYARD', JSON.stringify(job));
        await until(page, () => document.querySelector('.label-rows').textContent.includes('ticket printed'), null, 20000);
        await page.screenshot({path: join(folder, 'jobs.png'), fullPage: true});
        await eyes(page, 'jobs', folder, '.key-plain');
    });
    await check('its ticket is seen on the page of labels by the job\'s code', async () => {
        await page.click(`button[aria-label="Print the ticket of job ${code}"]`);
        await counter.go('labels', 'Labels');
        await until(page, wanted => document.querySelector('main').textContent.includes(`ticket of job ${wanted}`), code);
    });
    await check('scanned first it says what goes out is for, and stops another resin', async () => {
        await counter.go('desk', 'Desk');
        await counter.scan(person);
        await scan_ticket(code);
        await until(page, wanted => document.querySelector('main').textContent.includes(`Job ${wanted} Gear housing`), code);
        await counter.scan(oak);
        assert_has(await counter.title(), `Job ${code} is for Flint`, 'holds Oak');
        await page.screenshot({path: join(folder, 'ticket-stop.png'), fullPage: true});
        await counter.press('NO');
    });
    await check('badge, vat, ticket: three scans, and the job runs under its code', async () => {
        await counter.scan(person);
        await counter.scan(flint);
        await scan_ticket(code);
        await counter.wait_title(`job ${code}`);
        assert_has(await page.textContent('main'), 'check-out of');
        await page.screenshot({path: join(folder, 'ticket-booked.png'), fullPage: true});
        const {printers} = await read('/api/printers');
        assert(printers.find(row => row.code === 'HALYARD').job.job === code, 'another job runs there');
    });
    await check('a plan that is not wanted is dropped', async () => {
        await counter.act('job-plan', {job: `${code}-B`, printer: 'HALYARD', resin: 'Oak'}, person);
        await counter.go('jobs', 'Jobs');
        await page.click(`button[aria-label="Drop the plan of job ${code}-B"]`);
        await until(page, wanted => !document.querySelector('main').textContent.includes(wanted), `${code}-B`);
        const {jobs} = await read('/api/jobs');
        assert(!jobs.some(row => row.job === `${code}-B`), 'it is still there');
    });
});

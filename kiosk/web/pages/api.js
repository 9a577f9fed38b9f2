// Talking to the kiosk. Reads are plain; acts go out one at a time, in the order in which they were made, each with an
// id of its own, so that an act whose answer was lost can be sent again without being done twice.

const RETRY_MS = 1000;
const PATIENCE_MS = 20000; // an act without an answer for so long is sent again

/** What the kiosk answered instead of doing it: `message` is its sentence for a person. */
export class Problem extends Error {
    constructor(sentence, code, status, line) {
        super(sentence);
        this.code = code;
        this.status = status;
        this.line = line || null; // of a template's text
    }
}

/** The kiosk did not answer at all: worth trying again. */
class Silence extends Error {}

export function new_id() {
    if (crypto.randomUUID)
        return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, byte => byte.toString(16).padStart(2, '0')).join('');
}

async function problem_of(response) {
    try {
        const told = await response.json();
        return new Problem(told.detail || told.title, told.code || '', response.status, told.line);
    } catch {
        return new Problem(`The kiosk answered with number ${response.status} and no sentence: try again.`, '',
                           response.status);
    }
}

async function fetched(path, options, take = response => response.json()) {
    let response;
    try {
        response = await fetch(path, {...options, signal: AbortSignal.timeout(PATIENCE_MS)});
    } catch (error) {
        throw new Silence(error.message);
    }
    if (!response.ok)
        throw await problem_of(response);
    try {
        return await take(response);
    } catch (error) { // cut in the middle
        throw new Silence(error.message);
    }
}

async function fetched_once(path, options, take) {
    try {
        return await fetched(path, options, take);
    } catch (error) {
        if (error instanceof Silence)
            throw new Problem('The kiosk does not answer: is it running?', 'silence', 0);
        throw error;
    }
}

function with_body(method, body) {
    return {method, headers: {'Content-Type': 'application/json'}, body: JSON.stringify(body)};
}

export function read(path) {
    return fetched_once(path, {});
}

/** How the kiosk is; it also answers when it is not well. Nothing when it does not answer. */
export async function read_health() {
    try {
        return await (await fetch('/health', {signal: AbortSignal.timeout(PATIENCE_MS)})).json();
    } catch {
        return null;
    }
}

/** One question or act, sent once; the same act may be sent again when it fails with code "silence" or "busy". */
export function post_once(path, body) {
    return fetched_once(path, with_body('POST', body));
}

export function put_once(path, body) {
    return fetched_once(path, with_body('PUT', body));
}

export function delete_once(path) {
    return fetched_once(path, {method: 'DELETE'});
}

/** A question whose answer is a picture: its bytes. */
export function post_for_picture(path, body) {
    return fetched_once(path, with_body('POST', body), response => response.blob());
}

/** A picture for the kiosk's reader; `query` as /api/pictures takes it. */
export async function post_picture(file, query) {
    try {
        return await fetched(`/api/pictures${query}`, {method: 'POST', headers: {'Content-Type': file.type}, body: file});
    } catch (error) {
        if (error instanceof Silence)
            throw new Problem('The kiosk does not answer: is it running?', 'silence', 0);
        throw error;
    }
}

/** A file's bytes in base64. */
export async function read_base64(file) {
    const bytes = new Uint8Array(await file.arrayBuffer());
    let text = '';
    for (let i = 0; i < bytes.length; i += 32768)
        text += String.fromCharCode(...bytes.subarray(i, i + 32768));
    return btoa(text);
}

/** All rows of a list that comes by the page; for lists that do not grow with the years. */
export async function read_all(path, key) {
    const rows = [], ask = path.includes('?') ? '&' : '?';
    let after = null;
    do {
        const page = await read(after === null ? path : `${path}${ask}after=${encodeURIComponent(after)}`);
        rows.push(...page[key]);
        after = page.next;
    } while (after);
    return rows;
}

// ---- acts ----

const waiting = [];
let sending = false;
let on_queue = () => {};

/** `told(count, stuck)` is called when the number of acts without an answer changes. */
export function watch_queue(told) {
    on_queue = told;
}

function pause(ms) {
    return new Promise(done => setTimeout(done, ms));
}

async function send_all() {
    sending = true;
    while (waiting.length > 0) {
        const act = waiting[0];
        try {
            const answer = await fetched(act.path, {
                method: 'POST', headers: {'Content-Type': 'application/json'}, body: JSON.stringify(act.body)});
            if (act === waiting[0])
                waiting.shift();
            on_queue(waiting.length, false);
            act.done(answer);
        } catch (error) {
            const again = error instanceof Silence || error.code === 'busy';
            if (again && act === waiting[0]) {
                on_queue(waiting.length, true);
                await pause(RETRY_MS);
                continue;
            }
            if (act === waiting[0])
                waiting.shift();
            on_queue(waiting.length, false);
            act.failed(again ? new Problem('This was given up before the kiosk answered.', 'silence', 0) : error);
        }
    }
    sending = false;
}

function queue(path, body) {
    return new Promise((done, failed) => {
        waiting.push({path, body, done, failed});
        on_queue(waiting.length, false);
        if (!sending)
            send_all();
    });
}

export function post_scan(counter, text) {
    return queue('/api/scans', {id: new_id(), counter, text, source: 'typed'});
}

/** `approval`: {person, pin} or {code}, beside the content, which the kiosk keeps a digest of; null: none. */
export function post_act(counter, kind, content, approval) {
    return queue('/api/acts', {id: new_id(), kind, counter, content, ...(approval && {approval})});
}

/** A person gives up on what the kiosk has not answered. */
export function forget_waiting() {
    const given_up = waiting.splice(0);
    on_queue(0, false);
    for (const act of given_up)
        act.failed(new Problem('This was given up before the kiosk answered: look whether it was booked.', 'silence', 0));
}

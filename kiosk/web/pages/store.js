// What the page knows: the counter's view, the tables that the open page shows, the state of the link. One object;
// whoever changes it calls `set`, and the page is drawn anew.

import {Problem, forget_waiting, post_act, post_scan, read, read_all, read_health, watch_queue} from './api.js';
import {follow_stream} from './stream.js';
import {play, tone_of} from './tones.js';

const FRESH_MS = 30000;      // after so long a verdict on an idle counter is yesterday's news
const SIGNED_IN_MS = 10000;  // how often to look whether the badge still counts
const LOST_MS = 1500;        // a stream that comes back at once was not lost
const RELOAD_MS = 250;       // movements come in groups: one reload for all
const STOCK_MS = 1000;       // the whole stock is added up again at most so often

const counter_said = new URLSearchParams(location.search).get('counter');
export const counter = /^[0-9A-Za-z_-]{1,16}$/.test(counter_said || '') ? counter_said : 'desk';

export const state = {
    view: null,        // the counter's view
    fresh_until: 0,    // the view's verdict is shown as news until then
    problem: null,     // the kiosk's sentence when an act was refused
    link: 'starting',  // of the event stream: starting, open, lost
    waiting: 0,        // acts without an answer
    stuck: false,      // ... and the kiosk does not answer
    tables: {},        // name -> rows, null until read
    pressed: null,     // key whose answer is awaited
    devices: {},       // device -> what is wrong with it, as a sentence
    stopped: null,     // the ledger is damaged: the kiosk's sentence
    notes: [],         // what a person should know though the kiosk works
    enrolment: false,  // a code from the kiosk's terminal counts just now
    demo_pin: null,    // a demo tells its storekeeper's PIN
    pin_asked: null,   // a storekeeper's PIN is awaited: {sentence, trouble, person, answer(approval or null)}
    pin_told: null,    // one was made just now: {name, pin}
};

const readers = {
    stock: async () => (await read('/api/stock?by=item')).totals,
    items: () => read_all('/api/items', 'items'),
    places: () => read_all('/api/places', 'places'),
    people: () => read_all('/api/people', 'people'),
    demo_units: async () => (await read('/api/units')).units, // the first hundred: a demo has no more
    printers: async () => (await read('/api/printers')).printers,
    jobs: async () => (await read('/api/jobs')).jobs,
    label_printers: async () => (await read('/api/label-printers')).label_printers,
    deliveries: async () => (await read('/api/deliveries')).deliveries,
    substitutions: async () => (await read('/api/substitutions')).substitutions,
    stickers: async () => (await read('/api/stickers')).stickers,
    devices: async () => (await read('/api/devices')).devices,
    health: async () => await read('/health'),
    lent: async () => (await read('/api/lent')).lent,
    questions: async () => (await read('/api/questions')).questions,
    prints: async () => {
        const lists = await read('/api/prints');
        return [...lists.unknown, ...lists.failed, ...lists.waiting, ...lists.sent, ...lists.printed];
    },
};

let draw = () => {};
let needed = [];
let page_changed = null; // the open page's own reading
let reload_timer = 0;
let view_number = 0;     // answers that arrive in the wrong order are known by it

export function set(change) {
    Object.assign(state, change);
    draw();
}

export function watch_state(told) {
    draw = told;
}

// ---- the view ----

function same_news(one, two) {
    return one && two && one.title === two.title && one.verdict === two.verdict && one.step === two.step &&
        JSON.stringify(one.units) === JSON.stringify(two.units);
}

function show_view(view, own) {
    const news = own || !same_news(state.view, view);
    const first = !state.view;
    view_number++;
    set({view, fresh_until: news && !first ? Date.now() + FRESH_MS : state.fresh_until});
    if (news && !first && view.verdict)
        play(tone_of(view));
    if (news && !first)
        setTimeout(draw, FRESH_MS + 50);
}

export async function reload_view() {
    const number = view_number;
    try {
        const view = await read(`/api/counters/${counter}`);
        if (number === view_number && state.waiting === 0)
            show_view(view, false);
    } catch (problem) {
        if (!state.view)
            set({problem: problem.message});
    }
}

async function reload_health() {
    const health = await read_health();
    if (health)
        set({stopped: health.stopped || null, notes: health.notes || [], enrolment: Boolean(health.enrolment),
             demo_pin: health.demo_pin || null});
}

// ---- acts ----

async function settle(promise, quiet) {
    try {
        const answer = await promise;
        state.problem = null;
        if (answer.step !== undefined)
            show_view(answer, true);
        return answer;
    } catch (problem) {
        if (!quiet) {
            play('stop');
            set({problem: problem.message});
        }
        throw problem;
    }
}

// ---- approvals ----

/** Asks for a storekeeper's PIN over the page; null: nobody gave one. */
function ask_pin(sentence, trouble, person) {
    if (stale.has('people') || !state.tables.people)
        reload_table('people');
    return new Promise(done => set({pin_asked: {sentence, trouble, person, answer: approval => {
        set({pin_asked: null});
        done(approval);
    }}}));
}

/** An act that may need an approval: asked for until it is right or given up. Fails with the kiosk's Problem. */
async function settle_approved(kind, content) {
    let approval = null, why = null;
    for (;;) {
        try {
            return await settle(post_act(counter, kind, content, approval), true);
        } catch (problem) {
            if (problem.code !== 'approval')
                throw problem;
            why = why || sentence_of(problem.message);
            approval = await ask_pin(why, approval ? sentence_of(problem.message) : null, approval ? approval.person : null);
            if (!approval)
                throw new Problem('Nothing was done: no storekeeper approved it.', 'given-up', 0);
        }
    }
}

function sentence_of(text) {
    return `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}`;
}

/** The first storekeeper, or a first PIN, by the code of the kiosk's terminal. */
export async function enrol(content, code) {
    const answer = await settle(post_act(counter, 'enrol', content, {code}), true);
    reload_health();
    return answer;
}

/** Shown on the page, with its tone; the promise always ends well. */
async function shown(promise) {
    try {
        return await promise;
    } catch (problem) {
        play('stop');
        set({problem: problem.message});
        return null;
    }
}

/** Scans and keys: what goes wrong is shown on the page; the promise always ends well. */
export function scan(text) {
    return settle(post_scan(counter, text), false).catch(() => null);
}

export async function press(word, more) {
    set({pressed: word});
    const answer = await shown(settle_approved('press', {word, ...more}));
    set({pressed: null});
    return answer;
}

/** An act from a form: fails with the kiosk's Problem, which the form shows beside its key. */
export function act(kind, content) {
    return settle_approved(kind, content);
}

/** An act from a single key: what goes wrong is shown on the page. */
export function act_shown(kind, content) {
    return shown(settle_approved(kind, content));
}

export {forget_waiting};

// ---- tables ----

const unit_kinds = ['stock', 'printers', 'demo_units'];
const out_kinds = [...unit_kinds, 'lent'];
const touched_by = { // kind of a movement -> tables that it may change
    'item-entry': ['items', 'stock'], 'place-entry': ['places'], 'printer-entry': ['printers'], 'person-entry': ['people'],
    'delivery-open': ['deliveries'], 'delivery-close': ['deliveries'],
    'receipt': ['stock', 'deliveries', 'demo_units'], 'take-on': ['stock', 'demo_units'],
    'put-away': ['demo_units'], 'fill': unit_kinds, 'pour': unit_kinds, 'use': unit_kinds, 'waste': unit_kinds,
    'clean': unit_kinds, 'weighing': unit_kinds, 'retire': out_kinds, 'dispose': unit_kinds, 'check-out': out_kinds, 'check-in': out_kinds,
    'lend': out_kinds, 'relabel': [...out_kinds, 'prints'], 'reserve': ['demo_units'], 'unreserve': ['demo_units'],
    'hold': ['stock', 'demo_units'], 'release': ['stock', 'demo_units'],
    'calibration': ['label_printers'], 'print-look': ['label_printers'], 'print-baseline': ['label_printers'],
    'job-start': ['printers', 'jobs'], 'job-ticket': ['printers', 'jobs'], 'job-end': ['printers', 'jobs'],
    'job-plan': ['jobs'], 'job-drop': ['jobs'], 'inspection': unit_kinds, 'stir': unit_kinds, 'pair': unit_kinds, 'surface-renewal': unit_kinds, 'life-shown': unit_kinds,
    'device-entry': ['devices'], 'device-revoke': ['devices'],
    'sticker-entry': ['stickers'], 'sticker-forget': ['stickers'],
    'substitution-entry': ['substitutions'], 'substitution-end': ['substitutions'],
    'print-move': ['prints'], 'print-tell': [], 'pin-issue': [], 'approval': [],
    'question': ['questions'], 'settlement': ['questions'],
    'correction': [...out_kinds, 'deliveries', 'prints'], 'clock-confirmed': [], 'supply': [],
};

function tables_touched(movement) {
    if (movement.kind === 'print' && (movement.place || '').startsWith('JOB/'))
        return ['prints', 'jobs'];
    if (movement.kind === 'print') // on its way a label changes nothing; scanned back it makes a unit ready
        return movement.word === 'proved' ? ['prints', 'stock', 'deliveries', 'demo_units'] : ['prints'];
    return touched_by[movement.kind] || Object.keys(readers);
}

const stale = new Set(Object.keys(readers)); // tables to read before they are shown again
const numbers = {};                          // table -> of its newest reading: an older answer comes too late
let stock_read_at = 0;
let moved = []; // movements that the open page was not told of; null: anything may have changed

async function reload_table(name) {
    const number = numbers[name] = (numbers[name] || 0) + 1;
    stale.delete(name);
    try {
        const rows = await readers[name]();
        if (number !== numbers[name])
            return;
        state.tables = {...state.tables, [name]: rows};
        draw();
    } catch (problem) {
        stale.add(name);
        if (!state.tables[name])
            set({problem: problem.message});
    }
}

function reload_stale() {
    for (const name of needed.filter(table => stale.has(table))) {
        if (name === 'stock' && state.tables.stock && Date.now() - stock_read_at < STOCK_MS) {
            reload_soon();
            continue;
        }
        if (name === 'stock')
            stock_read_at = Date.now();
        reload_table(name);
    }
    const told = moved;
    moved = [];
    if (page_changed && (!told || told.length > 0))
        page_changed(told);
}

/** The tables that the open page shows: read now unless they are known, and again after a movement that changes them.
 *  `changed(movements)`, if any, is told of the movements after each group; null: read everything afresh. */
export function need(names, changed) {
    needed = [...new Set([...names, 'questions', 'prints', 'lent'])];
    stale.add('health'); // changes by itself: as it was when the page was opened
    stale.add('lent');   // a day passes
    page_changed = changed || null;
    moved = [];
    reload_stale();
}

function reload_soon() {
    if (reload_timer)
        return;
    reload_timer = setTimeout(() => {
        reload_timer = 0;
        reload_stale();
    }, RELOAD_MS);
}

function movement_told(movement) {
    tables_touched(movement).forEach(name => stale.add(name));
    if (moved)
        moved.push(movement);
    reload_soon();
}

function everything_may_have_changed() {
    Object.keys(readers).forEach(name => stale.add(name));
    moved = null;
    reload_soon();
}

// ---- the stream ----

let lost_timer = 0;

function link_told(link) {
    clearTimeout(lost_timer);
    if (link === 'open' && state.link === 'starting') // another tab's stream, which said hello before we listened
        everything_may_have_changed();
    if (link === 'lost')
        lost_timer = setTimeout(() => set({link}), LOST_MS);
    else
        set({link});
}

function stream_told({link, event, data}) {
    if (link)
        link_told(link);
    else if (event === 'movement')
        movement_told(JSON.parse(data));
    else if (event === 'counter' && JSON.parse(data).counter === counter)
        setTimeout(reload_view, 60); // our own act's answer comes first
    else if (event === 'ledger')
        reload_health();
    else if (event === 'device') {
        const {device, sentence} = JSON.parse(data);
        set({devices: {...state.devices, [device]: sentence || ''}});
    } else if (event === 'hello' || event === 'reload') {
        reload_view();
        reload_health();
        everything_may_have_changed();
    }
}

export function start() {
    watch_queue((waiting, stuck) => set({waiting, stuck}));
    follow_stream(stream_told);
    reload_view();
    reload_health();
    setInterval(() => {
        if (state.view && state.view.person && document.visibilityState === 'visible')
            reload_view();
    }, SIGNED_IN_MS);
    document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && reload_view());
}

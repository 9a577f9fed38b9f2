// A stock list on its way into the ledger: the file, what was answered, the kiosk's plan, the booking. It lives beside
// the page, so that looking elsewhere forgets nothing and a booking goes on.

import {post_once, read_base64} from './api.js';

const SIDE_BY_SIDE = 8;    // acts under way at once: the kiosk books them in groups
const FILE_MOST = 1048576; // bytes; as the kiosk has it
const RETRY_MS = 1000;

export const list = {
    name: null,     // of the file
    file: null,     // its bytes in base64
    answers: {},
    plan: null,
    trouble: null,  // the kiosk's sentence
    busy: false,
    answered: 0,    // times the kiosk was asked and the answer is shown
    booking: null,  // {total, done, before, failed: [{line, sentence}], stuck, over}
};

let draw = () => {};

export function watch_list(told) {
    draw = told;
}

let drawing = 0;

/** Many acts end within one breath: they are drawn together. */
function set(change) {
    Object.assign(list, change);
    drawing = drawing || setTimeout(() => {
        drawing = 0;
        draw();
    }, 30);
}

let asked = 0; // an older answer that comes late is not shown

async function make_plan() {
    if (!list.file) // another one is being read
        return;
    const number = ++asked;
    set({busy: true, trouble: null});
    try {
        const plan = await post_once('/api/stock-lists', {file: list.file, answers: list.answers});
        if (number === asked)
            set({plan, busy: false, answered: list.answered + 1});
    } catch (problem) {
        if (number === asked)
            set({busy: false, trouble: problem.message, answered: list.answered + 1});
    }
}

export async function choose_file(file) {
    if (!file)
        return;
    asked++; // what is still to come of the file before is not shown
    set({name: file.name, file: null, answers: {}, plan: null, trouble: null, booking: null});
    if (file.size > FILE_MOST) {
        set({trouble: `The file is larger than ${FILE_MOST / 1024} KiB: divide it into several.`});
        return;
    }
    try {
        set({file: await read_base64(file)});
    } catch {
        set({trouble: 'The browser cannot read that file: choose it again.'});
        return;
    }
    await make_plan();
}

/** Answers are merged one level deep: {dates: {expires: 'dmy'}} leaves the other dates as they are. */
export function answer(change) {
    const answers = {...list.answers};
    for (const [key, value] of Object.entries(change))
        answers[key] = value !== null && typeof value === 'object' ? {...answers[key], ...value} : value;
    list.answers = answers;
    return make_plan();
}

export function answer_word(field, text, value) {
    const words = list.answers.words || {};
    return answer({words: {[field]: {...words[field], [text]: value}}});
}

/** A column means another field, or none. */
export function answer_column(column, field) {
    const columns = {};
    const before = list.plan.columns[column - 1].field;
    if (before)
        columns[before] = null;
    if (field)
        columns[field] = column;
    return answer({columns});
}

export const plan_anew = make_plan;

// ---- booking ----

async function take_on(act, person, booking) {
    const body = {id: act.id, kind: 'take-on', content: act.content, ...(person && {person})};
    for (;;) {
        try {
            const answered = await post_once('/api/acts', body);
            booking.before += answered.repeated ? 1 : 0;
            booking.stuck = false;
            return;
        } catch (problem) {
            if (problem.code !== 'silence' && problem.code !== 'busy') {
                booking.failed.push({line: act.line, sentence: problem.code === 'conflict'
                    ? 'it was taken on before with other values: correct the unit instead' : problem.message});
                return;
            }
            booking.stuck = problem.code === 'silence';
            set({});
            await new Promise(done => setTimeout(done, RETRY_MS)); // the same id: nothing is booked twice
        }
    }
}

/** Books all acts of the plan, some at a time. `person`: badge of who takes them on, or null. */
export async function take_on_all(person) {
    const waiting = [...list.plan.acts];
    const booking = {total: waiting.length, done: 0, before: 0, failed: [], stuck: false, over: false};
    set({booking});
    const work = async () => {
        for (let act = waiting.shift(); act; act = waiting.shift()) {
            await take_on(act, person, booking);
            booking.done++;
            set({});
        }
    };
    await Promise.all(Array.from({length: SIDE_BY_SIDE}, work));
    booking.over = true;
    set({});
    await make_plan();
}

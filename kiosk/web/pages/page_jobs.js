// Jobs: what is to be printed and has its ticket, what runs. A job may be planned here, by hand.

import {Component, h} from '/vendor/preact/preact.js';
import {DoKey, Form, Tag, Trouble} from './parts.js';
import {act, need} from './store.js';
import {day_words, instant_words, ml_words, plural, resin_words} from './words.js';

const tickets = { // the state of a ticket's newest print, as a person says it
    waiting: ['wait', 'ticket waits for the label printer'], sent: ['wait', 'ticket is at the label printer'],
    printed: ['good', 'ticket printed'], proved: ['good', 'ticket printed'], failed: ['hold', 'ticket did not come out'],
    unknown: ['ask', 'did the ticket come out?'], withdrawn: ['plain', 'ticket withdrawn'],
};

/** "ends 26 Nov 2026, 18:30", or null when nobody said. */
export function end_words({ends_at, end_day}) {
    if (ends_at)
        return `ends ${instant_words(ends_at)}`;
    return end_day ? `ends ${day_words(end_day)}` : null;
}

function TicketTag({ticket}) {
    const [look, words] = tickets[ticket] || ['plain', 'no ticket printed'];
    return h(Tag, {look}, words);
}

function Row({job}) {
    const called = job.job || 'without a name', can_print = /^[0-9A-Z./-]{1,16}$/.test(job.job || ''); // what a ticket's symbol holds
    const facts = [job.printer_name || job.printer, resin_words(job), job.need_ml === null ? null : ml_words(job.need_ml), end_words(job),
                   job.parts > 0 ? plural(job.parts, 'part') : null].filter(Boolean);
    return h('li', {class: 'label-row'},
             h('div', {class: 'label-what'},
               h('p', null, h('strong', null, called), job.name ? ` ${job.name}` : ''),
               h('p', null, facts.join(', ')),
               h('p', {class: 'tags'}, job.planned ? h(TicketTag, job) : h('span', {class: 'quiet'}, `runs since ${instant_words(job.started_at)}`))),
             h('div', {class: 'label-keys'},
               can_print ? h(DoKey, {word: 'Print ticket', look: 'key-plain', label: `Print the ticket of job ${called}`,
                                     done: () => act('job-ticket', {job: job.id})}) : null,
               job.planned ? h(DoKey, {word: 'Drop it', look: 'key-plain', label: `Drop the plan of job ${called}`,
                                       done: () => act('job-drop', {job: job.id})}) : null));
}

function Jobs({title, rows, none}) {
    return h('section', {class: 'panel'}, h('h2', null, title),
             rows.length === 0 ? h('p', null, none) : h('ul', {class: 'label-rows'}, rows.map(job => h(Row, {key: job.id, job}))));
}

/** The browser's clock is the room's: "2026-11-26T19:30" becomes an instant. */
async function plan(content) {
    const ends = content.ends && {ends: new Date(content.ends).toISOString()};
    return (await act('job-plan', {...content, ...ends})).title;
}

function Plan({printers, items}) {
    const resins = [...new Set((items || []).map(item => item.resin).filter(Boolean))].sort();
    return h('section', {class: 'panel'}, h('h2', null, 'Plan a job'),
             h('p', null, 'A slicer or a script says the same over HTTP. Its ticket goes with the print to the counter, where it is scanned.'),
             h(Form, {name: 'Plan a job', word: 'Plan it', keep: ['printer', 'resin', 'print'], done: plan, fields: [
                 {name: 'job', label: 'Code', required: true, longest: 16, raised: true, hint: 'Letters, digits, . / and -, such as KQ-1042.'},
                 {name: 'name', label: 'Name', longest: 48},
                 {name: 'printer', label: 'Printer', required: true,
                  options: (printers || []).map(printer => [printer.code, printer.name || printer.code])},
                 {name: 'resin', label: 'Resin type', options: resins},
                 {name: 'revision', label: 'Revision', longest: 16},
                 {name: 'need_ml', label: 'Resin it needs, ml', type: 'number', min: 0},
                 {name: 'ends', label: 'Ends', type: 'datetime-local'},
                 {name: 'print', label: 'Print its ticket', type: 'flag'}]}));
}

export class JobsPage extends Component {
    componentDidMount() {
        need(['jobs', 'printers', 'items']);
    }

    render({state}) {
        const {jobs, printers, items} = state.tables;
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Jobs'),
                 h(Trouble, {text: state.problem}),
                 jobs === undefined ? h('p', null, 'Reading\u2026') : h('div', {class: 'columns'},
                   h('div', null,
                     h(Jobs, {title: 'To be printed', rows: jobs.filter(job => job.planned), none: 'Nothing is planned.'}),
                     h(Jobs, {title: 'Printing now', rows: jobs.filter(job => !job.planned), none: 'Nothing runs by the books.'})),
                   h('div', null, h(Plan, {printers, items}))));
    }
}

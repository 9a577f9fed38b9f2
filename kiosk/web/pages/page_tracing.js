// Tracing: where a lot went. The storekeeper is told of a bad lot and must know, now, what to take off the shelves, which
// vats it may be in and whose parts it may have gone into.

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {DoKey, Trouble} from './parts.js';
import {act, need} from './store.js';
import {UnitTags, where_words} from './units.js';
import {instant_words, ml_words, plural, tracing_address} from './words.js';

const FRESH_MS = 1000; // what is shown is read again at most so often

function Asked({items, asked}) {
    const resins = (items || []).filter(item => item.resin);
    const submit = event => {
        event.preventDefault();
        const said = new FormData(event.target), item = said.get('item'), lot = said.get('lot').trim();
        if (item && lot)
            location.hash = tracing_address(item, lot);
    };
    return h('form', {class: 'stock-look', onSubmit: submit, 'aria-label': 'Which lot'},
             h('div', {class: 'field'}, h('label', {for: 'tracing-item'}, 'Resin'),
               h('select', {id: 'tracing-item', name: 'item', key: asked ? asked.item : ''},
                 resins.map(item => h('option', {key: item.code, value: item.code, selected: Boolean(asked) && asked.item === item.code},
                                      item.name)))),
             h('div', {class: 'field'}, h('label', {for: 'tracing-lot'}, 'Lot, as the cartridge says it'),
               h('input', {id: 'tracing-lot', name: 'lot', autocomplete: 'off', spellcheck: false, maxLength: 20, required: true,
                           defaultValue: asked ? asked.lot : '', key: asked ? asked.lot : ''})),
             h('button', {class: 'key key-main', type: 'submit'}, 'Trace it'));
}

/** How much of the lot: what is unknown is said so, and what only may have come there has no amount. */
function lot_words(row) {
    if (!row.lot_booked)
        return 'may be some, none is booked';
    if (row.lot_ml === null)
        return 'unknown';
    return `${row.lot_estimated ? 'about ' : ''}${ml_words(row.lot_ml)}`;
}

function share_words(row) {
    if (row.lot_share === null || !row.lot_booked)
        return null;
    return row.lot_share > 0 && row.lot_share < 0.01 ? 'under 1 %' : `${Math.round(row.lot_share * 100)} %`;
}

/** What became of the lot where it is no more. */
function gone_words(unit) {
    return unit.status === 'relabelled' ? `none: it is ${unit.heir} now` : 'none: cleaned since';
}

function Held({unit}) {
    return h('tr', null,
             h('td', {'data-title': 'Thing'}, h('span', null, h('a', {class: 'serial', href: `#/unit/${unit.serial}`}, unit.serial), ' ', unit.name)),
             h('td', {'data-title': 'Of the lot', class: 'amount'}, unit.lot_present ? lot_words(unit) : gone_words(unit)),
             h('td', {'data-title': 'Share', class: 'amount'}, unit.lot_present ? share_words(unit) : null),
             h('td', {'data-title': 'Where'}, h('span', null, where_words(unit), ' ', h(UnitTags, {unit}))),
             h('td', {'data-title': 'Since'}, instant_words(unit.since)));
}

function Job({job, people}) {
    const person = (people || []).find(row => row.serial === job.person);
    return h('tr', null,
             h('td', {'data-title': 'Job'}, h('strong', null, job.job || 'without a name')),
             h('td', {'data-title': 'Of the lot', class: 'amount'}, lot_words(job)),
             h('td', {'data-title': 'Share', class: 'amount'}, share_words(job)),
             h('td', {'data-title': 'Printer'}, job.printer || 'no printer known'),
             h('td', {'data-title': 'Begun'}, `${instant_words(job.started_at)}${job.ended_at ? '' : ', still running'}`),
             h('td', {'data-title': 'Person'}, person ? person.name : job.person || ''));
}

/** A sum and, where some of it is not known, how many are missing from it. */
function Sum({title, ml, missing}) {
    return h('tr', null, h('th', {scope: 'row'}, title), h('td', {class: 'amount'}, ml === null ? 'unknown' : ml_words(ml)),
             h('td', {class: 'quiet'}, missing));
}

function missing_words(count, one, many) {
    return count > 0 ? `and ${count} ${count === 1 ? one : many} of an unknown amount` : null;
}

function Account({account}) {
    return h('section', {class: 'panel', 'aria-label': 'How much is where'},
             h('h2', null, 'How much is where'),
             h('p', {class: account.unaccounted_ml === 0 ? null : 'open-account'}, account.sentence),
             h('table', {class: 'account'}, h('tbody', null,
               h(Sum, {title: 'Came in', ml: account.received_ml, missing: missing_words(account.received_unknown, 'thing', 'things')}),
               account.corrected_ml !== 0
                   ? h(Sum, {title: 'Told otherwise', ml: account.corrected_ml, missing: 'by weight, at a check-in or by somebody who looked'}) : null,
               h(Sum, {title: 'Is in things now', ml: account.held_ml, missing: missing_words(account.held_unknown, 'thing', 'things')}),
               h(Sum, {title: 'Went into parts', ml: account.used_ml, missing: missing_words(account.used_unknown, 'job', 'jobs')}),
               h(Sum, {title: 'Was wasted', ml: account.wasted_ml, missing: missing_words(account.wasted_unknown, 'time', 'times')}),
               h(Sum, {title: 'Not accounted for', ml: account.unaccounted_ml}))));
}

function Rows({titles, children}) {
    return h('div', {class: 'scroll lot'}, h('table', null,
             h('thead', null, h('tr', null, titles.map(title => h('th', {key: title, scope: 'col'}, title)))),
             h('tbody', null, children)));
}

/** Every thing it is in goes on hold, one act each; those that are on hold already stay as they are. */
async function hold_all(units) {
    for (const unit of units)
        if (!unit.hold && (unit.status === 'in' || unit.status === 'out'))
            await act('hold', {unit: unit.serial, reason: 'recall'});
}

function Reached({found, people}) {
    return h('div', {class: 'traced'},
             h('section', {class: 'panel', 'aria-label': 'What it reached'},
               h('p', {role: 'status'}, h('strong', null, found.sentence)),
               found.unit_count + found.job_count > 0
                   ? h('p', {class: 'quiet'}, 'A vat counts from when a cartridge of the lot stood over it, a job when one of them was in its printer.') : null,
               found.to_hold > 0
                   ? h(DoKey, {word: `Put ${plural(found.to_hold, 'thing')} on hold`, look: 'key-main', done: () => hold_all(found.units)}) : null),
             found.unit_count > 0 ? h(Account, {account: found.account}) : null,
             found.unit_count > 0
                 ? h('section', {class: 'panel'}, h('h2', null, `In ${plural(found.unit_count, 'thing')}`),
                     h(Rows, {titles: ['Thing', 'Of the lot', 'Share of what is in it', 'Where', 'Since']},
                       found.units.map(unit => h(Held, {key: unit.serial, unit}))),
                     found.units.length < found.unit_count ? h('p', null, `The first ${found.units.length} are shown.`) : null) : null,
             found.job_count > 0
                 ? h('section', {class: 'panel'}, h('h2', null, `It may have gone into the parts of ${plural(found.job_count, 'job')}`),
                     h('p', null, 'Tell the person who has the parts.'),
                     h(Rows, {titles: ['Job', 'Of the lot', 'Share of its resin', 'Printer', 'Begun', 'Person']},
                       [...found.jobs].reverse().map(job => h(Job, {key: job.id, job, people}))),
                     found.jobs.length < found.job_count ? h('p', null, `The newest ${found.jobs.length} are shown.`) : null) : null);
}

export class TracingPage extends Component {
    constructor(props) {
        super(props);
        this.state = {found: null, trouble: null};
        this.changed = this.changed.bind(this);
    }

    componentDidMount() {
        need(['items', 'people'], this.changed);
        this.load();
    }

    componentDidUpdate(before) {
        const {asked} = this.props, old = before.asked;
        if ((asked && asked.item) !== (old && old.item) || (asked && asked.lot) !== (old && old.lot)) {
            this.setState({found: null, trouble: null});
            this.load();
        }
    }

    componentWillUnmount() {
        clearTimeout(this.beat_timer);
        this.number = -1;
    }

    changed(movements) {
        if (this.beat_timer || (movements && !movements.some(movement => movement.unit)))
            return;
        this.beat_timer = setTimeout(() => {
            this.beat_timer = 0;
            this.load();
        }, FRESH_MS);
    }

    async load() {
        const {asked} = this.props;
        if (!asked || this.number === -1)
            return;
        const number = this.number = (this.number || 0) + 1;
        try {
            const found = await read(`/api/tracing?item=${encodeURIComponent(asked.item)}&lot=${encodeURIComponent(asked.lot)}`);
            if (number === this.number)
                this.setState({found, trouble: null});
        } catch (problem) {
            if (number === this.number)
                this.setState({found: null, trouble: problem.message});
        }
    }

    render({state, asked}, {found, trouble}) {
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Tracing'),
                 h('p', {class: 'traced-lead'}, 'A supplier calls a lot back, or a part fails: what has the lot been in?'),
                 h(Trouble, {text: state.problem || trouble}),
                 h(Asked, {items: state.tables.items, asked}),
                 found ? h(Reached, {found, people: state.tables.people}) : asked && !trouble ? h('p', null, 'Reading\u2026') : null);
    }
}

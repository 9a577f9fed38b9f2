// Labels: how the label printer is and what to do, what waits for it and in which order, and whose label is still to be
// proved by scanning it back.

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {LabelBatch, one_label, PrintTag} from './label_batch.js';
import {DoKey, Shape, Tag, Trouble} from './parts.js';
import {act, need} from './store.js';
import {instant_words, plural} from './words.js';

const FRESH_MS = 700; // what is shown is read again at most so often

/** "Flint cartridge, lot FL-77", "badge H9000012", "place A01". */
function what_words(row) {
    if (row.job)
        return `ticket of job ${row.job}`;
    if (!row.unit)
        return `place ${row.place}`;
    if (row.unit[0] === 'H')
        return `badge ${row.unit}`;
    return `${row.name || row.item || row.unit}${row.lot ? `, lot ${row.lot}` : ''}`;
}

function sentence(text) {
    return `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}`;
}

// ---- the printer ----

function LabelPrinter({said, waiting}) {
    const well = said === '';
    return h('section', {class: 'panel', 'aria-label': 'The label printer'},
             h('h2', null, 'The label printer'),
             h('div', {class: 'label-printer', role: 'status'},
               said === undefined ? h('p', null, 'Reading\u2026') : h(Shape, {name: well ? 'go' : 'ask'}),
               said === undefined ? null
                   : h('p', null, well ? h(Tag, {look: 'good'}, waiting > 0 ? 'printing' : 'ready') : sentence(said)),
               said ? h(DoKey, {word: 'Set it going', look: 'key-main', done: () => act('print-go', {})}) : null));
}

// ---- what waits ----

class Batch extends Component {
    render({row, place, beat}, {open}) {
        const many = row.waiting > 1, whole = {batch: row.batch};
        const about = row.batch ? whole : one_label(row), words = what_words(row);
        return h('li', {class: 'label-row'},
                 h('div', {class: 'label-what'},
                   h('p', null, h('strong', null, `${place}. ${plural(row.waiting, 'label')}: ${words}`)),
                   h('p', {class: 'quiet'}, many ? '' : h('span', {class: 'serial'}, row.unit || row.place), many ? '' : ', ',
                     `ordered ${instant_words(row.ordered_at)}`)),
                 h('div', {class: 'label-keys'},
                   place > 1 ? h(DoKey, {word: 'To the front', look: 'key-plain', label: `Print next: ${words}`,
                                         done: () => act('print-move', about)}) : null,
                   h(DoKey, {word: many ? `Withdraw all ${row.waiting}` : 'Withdraw', look: 'key-plain',
                             label: `Withdraw what waits: ${words}`, done: () => act('print-withdraw', about)}),
                   row.batch && (many || open) ? h('button', {type: 'button', class: 'key key-plain', 'aria-expanded': open ? 'true' : 'false',
                                                              'aria-label': `Each label: ${words}`,
                                                              onClick: () => this.setState({open: !open})}, open ? 'Close' : 'Show each') : null),
                 open ? h(LabelBatch, {batch: row.batch, beat}) : null);
    }
}

function Waiting({labels, beat}) {
    const {batches, sent, more_batches} = labels;
    return h('section', {class: 'panel'}, h('h2', null, 'What waits'),
             sent.map(row => h('p', {key: `${row.unit} ${row.place}`, class: 'label-row'},
                               h('span', {class: 'label-what'}, 'At the printer now: ', h('strong', null, what_words(row)), ' ',
                                 h('span', {class: 'serial'}, row.unit || '')),
                               h('span', {class: 'label-keys'},
                                 h(DoKey, {word: 'Drop it', look: 'key-plain', label: `Withdraw what the printer has: ${what_words(row)}`,
                                           done: () => act('print-withdraw', one_label(row))})))),
             batches.length === 0 && sent.length === 0 ? h('p', null, 'Nothing waits.') : null,
             h('ol', {class: 'label-rows'}, batches.map((row, i) =>
                 h(Batch, {key: row.batch || `${row.unit} ${row.place} ${row.number}`, row, place: i + 1, beat}))),
             more_batches ? h('p', {class: 'quiet'}, 'More waits behind these.') : null);
}

// ---- whose proof is still to come ----

class Open extends Component {
    render({row, beat}, {open}) {
        const of = row.unit || row.place, is_thing = row.unit && row.unit[0] !== 'H';
        return h('li', {class: 'label-row'},
                 h('div', {class: 'label-what'},
                   h('p', null, is_thing ? h('a', {class: 'serial', href: `#/unit/${of}`}, of) : null, is_thing ? ' ' : '',
                     h('strong', null, what_words(row)), row.at ? `, at ${row.at}` : ''),
                   h('p', {class: 'quiet'}, `since ${instant_words(row.ordered_at)}`),
                   h('p', {class: 'tags'}, h(PrintTag, row),
                     row.labelled ? h(Tag, {look: 'plain'}, 'an older label counts') : null)),
                 h('div', {class: 'label-keys'},
                   h(DoKey, {word: 'Reprint', look: 'key-plain', label: `Reprint the label of ${of}`,
                             done: () => act('reprint', one_label(row))}),
                   row.state === 'failed' ? h(DoKey, {word: 'Not wanted', look: 'key-plain', label: `Withdraw the label of ${of}`,
                                                      done: () => act('print-withdraw', one_label(row))}) : null,
                   row.batch ? h('button', {type: 'button', class: 'key key-plain', 'aria-expanded': open ? 'true' : 'false',
                                                     'aria-label': `The batch of ${of}`,
                                                     onClick: () => this.setState({open: !open})}, open ? 'Close' : 'Its batch') : null),
                 open ? h(LabelBatch, {batch: row.batch, beat}) : null);
    }
}

function Unproved({labels, more, beat}) {
    const count = labels.unproved_units;
    return h('section', {class: 'panel'},
             h('h2', null, count === 0 ? 'Every thing has its label'
                                       : `${plural(count, 'unit waits', 'units wait')} for their proof`.replace(/^1 unit waits for their/, '1 unit waits for its')),
             h('p', null, 'Stick the label on, then scan it back: that is the proof. When several lots came in one delivery, scan the maker\u2019s code on the thing first.'),
             count > 0 && labels.batches.length + labels.sent.length > 0
                 ? h('p', {class: 'quiet'}, 'Those whose label still waits for the printer stand above.') : null,
             labels.open.length === 0 ? null
                 : h('ul', {class: 'label-rows'}, labels.open.map(row =>
                     h(Open, {key: `${row.unit} ${row.place}`, row, beat}))),
             labels.next ? h('button', {type: 'button', class: 'key key-plain', onClick: more}, 'Show more') : null);
}

// ---- the page ----

export class LabelsPage extends Component {
    constructor(props) {
        super(props);
        this.state = {labels: null, trouble: null, beat: 0};
        this.changed = this.changed.bind(this);
        this.more = this.more.bind(this);
    }

    componentDidMount() {
        need(['health'], this.changed);
        this.load();
    }

    componentWillUnmount() {
        clearTimeout(this.timer);
        this.number = -1;
    }

    changed() {
        if (!this.timer)
            this.timer = setTimeout(() => {
                this.timer = 0;
                this.setState({beat: this.state.beat + 1});
                this.load();
            }, FRESH_MS);
    }

    async load() {
        await this.ask('/api/labels', labels => labels);
    }

    more() {
        return this.ask(`/api/labels?after=${this.state.labels.next}`,
                        labels => ({...labels, open: [...this.state.labels.open, ...labels.open]}));
    }

    async ask(path, joined) {
        const number = this.number = (this.number || 0) + 1;
        try {
            const labels = await read(path);
            if (number === this.number)
                this.setState({labels: joined(labels), trouble: null});
        } catch (problem) {
            if (number === this.number)
                this.setState({trouble: problem.message});
        }
    }

    render({state}, {labels, trouble, beat}) {
        const {health} = state.tables, live = state.devices['label-printer'];
        const said = live !== undefined ? live : health && health.label_printer && health.label_printer.sentence;
        return h('main', {class: 'page labels-page', id: 'main'},
                 h('h1', null, 'Labels'),
                 h('p', null, h('a', {href: '#/templates'}, 'How labels look, and where to stick them'), ' \u00B7 ',
                   h('a', {href: '#/label-printers'}, 'How label printers print, and how they are calibrated')),
                 h(Trouble, {text: state.problem || trouble}),
                 h(LabelPrinter, {said, waiting: labels ? labels.batches.length + labels.sent.length : 0}),
                 !labels ? h('p', null, 'Reading\u2026')
                         : h('div', null, h(Waiting, {labels, beat}), h(Unproved, {labels, more: this.more, beat})));
    }
}

// One batch opened: each label of it, and a range of it to have again or to withdraw ("labels 5 to 12 of 20").

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {DoKey, Tag, Trouble} from './parts.js';
import {act} from './store.js';
import {PRINT_STATES} from './words.js';

const print_looks = {failed: 'hold', unknown: 'ask', proved: 'good', withdrawn: 'plain'};

export function PrintTag({state}) {
    return h(Tag, {look: print_looks[state] || 'wait'}, PRINT_STATES[state]);
}

/** The act's content for one label. */
export function one_label(print) {
    return print.unit ? {unit: print.unit} : {place: print.place};
}

class Range extends Component {
    constructor(props) {
        super(props);
        this.state = {from: '1', to: String(props.size)};
    }

    field(name, label) {
        const id = `range-${name}-${this.props.batch}`;
        return h('div', {class: 'field'}, h('label', {for: id}, label),
                 h('input', {id, type: 'number', min: 1, max: this.props.size, inputMode: 'numeric', autocomplete: 'off',
                             value: this.state[name], onInput: event => this.setState({[name]: event.target.value})}));
    }

    render({batch, size}, {from, to}) {
        const range = {batch, from: Number(from), to: Number(to)}, words = `labels ${from} to ${to} of ${size}`;
        return h('div', {class: 'label-range', role: 'group', 'aria-label': 'Part of this batch'},
                 this.field('from', 'From label'), this.field('to', `to, of ${size}`),
                 h(DoKey, {word: 'Reprint these', look: 'key-plain', label: `Reprint ${words}`, done: () => act('reprint', range)}),
                 h(DoKey, {word: 'Withdraw these', look: 'key-plain', label: `Withdraw ${words}`,
                           done: () => act('print-withdraw', range)}));
    }
}

function LabelOfBatch({label, size}) {
    const of = label.unit || label.place;
    return h('li', {class: 'label-row'},
             h('div', {class: 'label-what'}, `${label.in_batch} of ${size}: `,
               label.unit && label.unit[0] !== 'H' ? h('a', {class: 'serial', href: `#/unit/${of}`}, of) : h('span', {class: 'serial'}, of),
               ' ', h(PrintTag, label)),
             h('div', {class: 'label-keys'},
               label.state === 'waiting'
                   ? h(DoKey, {word: 'To the front', look: 'key-plain', label: `Print the label of ${of} next`,
                               done: () => act('print-move', one_label(label))}) : null,
               label.state === 'waiting' || label.state === 'sent'
                   ? h(DoKey, {word: 'Withdraw', look: 'key-plain', label: `Withdraw the label of ${of}`,
                               done: () => act('print-withdraw', one_label(label))})
                   : h(DoKey, {word: 'Reprint', look: 'key-plain', label: `Reprint the label of ${of}`,
                               done: () => act('reprint', one_label(label))})));
}

/** props: batch (its name), beat (another number: read again). */
export class LabelBatch extends Component {
    constructor(props) {
        super(props);
        this.state = {labels: null, size: 0, next: null, trouble: null};
        this.more = this.more.bind(this);
    }

    componentDidMount() {
        this.load(0);
    }

    componentDidUpdate(before) {
        if (before.beat !== this.props.beat)
            this.load(0);
    }

    more() {
        return this.load(this.state.next);
    }

    async load(after) {
        const number = this.number = (this.number || 0) + 1;
        try {
            const page = await read(`/api/labels/${encodeURIComponent(this.props.batch)}?after=${after}`);
            if (number === this.number)
                this.setState({labels: [...(after ? this.state.labels : []), ...page.labels], size: page.size, next: page.next,
                               trouble: null});
        } catch (problem) {
            if (number === this.number)
                this.setState({trouble: problem.message});
        }
    }

    render({batch}, {labels, size, next, trouble}) {
        if (!labels)
            return h('div', {class: 'label-batch'}, trouble ? h(Trouble, {text: trouble}) : h('p', null, 'Reading\u2026'));
        return h('div', {class: 'label-batch'}, h(Trouble, {text: trouble}),
                 size > 1 ? h(Range, {batch, size}) : null,
                 h('ol', {class: 'label-rows'}, labels.map(label => h(LabelOfBatch, {key: `${label.unit} ${label.place} ${label.number}`, label, size}))),
                 next ? h('button', {type: 'button', class: 'key key-plain', onClick: this.more}, 'Show more') : null);
    }
}

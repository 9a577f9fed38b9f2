// Stickers of plain text: a person points at the parts of one example, sees what the pattern reads, and keeps it. Other
// stickers of that supplier are then received by a scan.

import {Component, h} from '/vendor/preact/preact.js';
import {tap} from './keys.js';
import {DoKey, Tag, Trouble} from './parts.js';
import {act, need} from './store.js';
import {day_words} from './words.js';

const LONGEST = 256; // bytes, as the kiosk has it

const PARTS = [
    {part: 'lot', word: 'Lot', noun: 'the lot'},
    {part: 'expires', word: 'Use by', noun: 'the use-by date', date: true},
    {part: 'item', word: 'Item', noun: 'the item\u2019s code'},
    {part: 'made', word: 'Made', noun: 'the day of making', date: true},
    {part: 'quantity', word: 'Quantity', noun: 'the quantity'},
    {part: 'other', word: 'Changes', noun: 'what changes and is not kept, such as a running number'},
];
const ORDERS = [['dmy', 'day, month, year'], ['mdy', 'month, day, year'], ['ymd', 'year, month, day']];

function kind_of(part) {
    return PARTS.find(row => row.part === part);
}

/** The kiosk counts bytes of UTF-8, people point at letters. */
function bytes_of(letters) {
    return new TextEncoder().encode(letters.join('')).length;
}

function shown(letter) {
    return letter === ' ' ? '\u2423' : letter === '\x1D' ? 'GS' : letter;
}

// ---- pointing ----

function Letters({letters, marks, first, choose}) {
    return h('div', {class: 'letters', role: 'group', 'aria-label': 'Letters of the example'}, letters.map((letter, at) => {
        const mark = marks.find(row => at >= row.from && at <= row.to);
        const word = mark ? kind_of(mark.part).word : at === first ? 'first' : '';
        return h('button', {key: at, type: 'button', class: `key letter ${mark ? `letter-${mark.part}` : ''} ${at === first ? 'letter-first' : ''}`,
                            'aria-label': `${letter === ' ' ? 'blank' : letter}, place ${at + 1}${word ? `, ${word}` : ''}`,
                            onClick: () => choose(at)},
                 h('span', {class: 'letter-itself'}, shown(letter)),
                 h('span', {class: 'letter-part'}, mark && at === mark.from ? word : mark ? '\u2014' : word));
    }));
}

function PartKeys({pointing, marks, choose}) {
    return h('div', {class: 'keys keys-tight', role: 'group', 'aria-label': 'Parts'}, PARTS.map(({part, word}) =>
        h('button', {key: part, type: 'button', class: `key ${pointing === part ? 'key-main' : 'key-plain'}`,
                     'aria-pressed': pointing === part ? 'true' : 'false', 'data-part': part, onClick: () => tap(() => choose(part))},
          h('span', {class: 'key-label'}, word),
          h('span', {class: 'key-word'}, marks.some(mark => mark.part === part) ? 'pointed at' : ''))));
}

function Mark({mark, letters, change, drop}) {
    const {word, date} = kind_of(mark.part);
    const text = letters.slice(mark.from, mark.to + 1).join('');
    return h('li', {class: 'card mark'},
             h('h3', null, `${word}: `, h('span', {class: 'serial'}, text)),
             date ? h('p', {id: `order-${mark.part}`}, 'In which order? Look at another sticker if this one does not tell. ',
                      mark.order ? null : h(Tag, {look: 'ask'}, 'not said yet')) : null,
             date ? h('div', {class: 'keys keys-narrow', role: 'group', 'aria-labelledby': `order-${mark.part}`}, ORDERS.map(([order, words]) =>
                        h('button', {key: order, type: 'button', class: `key ${mark.order === order ? 'key-main' : 'key-plain'}`, 'data-order': order,
                                     'aria-pressed': mark.order === order ? 'true' : 'false', onClick: () => change({order})}, words)))
                  : h('button', {type: 'button', class: `key ${mark.same_length ? 'key-main' : 'key-plain'}`, 'aria-pressed': mark.same_length ? 'true' : 'false',
                                 onClick: () => change({same_length: !mark.same_length})},
                      `Always ${text.length} long${mark.same_length ? ': yes' : ''}`),
             h('button', {type: 'button', class: 'key key-plain', onClick: drop, 'aria-label': `Take ${word} away`}, 'Take away'));
}

// ---- what it reads ----

function Reading({sticker}) {
    const {reading, pattern} = sticker;
    const rows = [['Item', reading.item], ['Lot', reading.lot], ['Use by', reading.expires && day_words(reading.expires)],
                  ['Made', reading.made && day_words(reading.made)], ['Quantity', reading.quantity]];
    return h('div', {class: 'card', role: 'status', id: 'reading'},
             h('h3', null, 'It reads'),
             h('dl', {class: 'rows'}, rows.filter(([, value]) => value !== null && value !== undefined).map(([name, value]) =>
                 h('div', {key: name, class: 'row'}, h('dt', null, name), h('dd', null, String(value))))),
             h('details', null, h('summary', {class: 'key key-plain'}, 'The pattern as text'), h('pre', null, pattern)));
}

function Taught({stickers}) {
    if (!stickers)
        return h('p', null, 'Reading\u2026');
    if (stickers.length === 0)
        return h('p', null, 'No sticker is taught yet.');
    return h('ul', {class: 'plain-list'}, stickers.map(sticker => h('li', {key: sticker.id, class: 'card'},
        h('h3', null, sticker.supplier), h('p', {class: 'serial'}, sticker.example),
        h('details', null, h('summary', {class: 'key key-plain'}, 'The pattern as text'), h('pre', null, sticker.pattern)),
        h(DoKey, {word: 'Forget it', look: 'key-grave', label: `Forget the pattern of ${sticker.supplier} taught from ${sticker.example}`,
                  done: () => act('sticker-forget', {sticker: sticker.id})}))));
}

export class StickersPage extends Component {
    constructor(props) {
        super(props);
        this.state = {supplier: null, example: '', marks: [], pointing: null, first: null, sticker: null, trouble: null, noted: null};
        this.point = this.point.bind(this);
    }

    componentDidMount() {
        need(['stickers', 'deliveries']);
    }

    supplier() {
        const open = this.props.state.view.delivery;
        return this.state.supplier === null ? (open ? open.supplier : '') : this.state.supplier;
    }

    /** Whatever is changed, what was read before no longer holds. */
    change(change) {
        this.setState({sticker: null, trouble: null, noted: null, ...change});
    }

    point(at) {
        const {pointing, first, marks} = this.state;
        if (!pointing)
            this.change({trouble: 'Say first which part you point at: the lot, the use-by date, \u2026'});
        else if (first === null)
            this.change({first: at});
        else {
            const from = Math.min(first, at), to = Math.max(first, at);
            if (marks.some(mark => mark.from <= to && from <= mark.to && (mark.part !== pointing || pointing === 'other')))
                this.change({first: null, trouble: 'These letters are part of something else: take that away first.'});
            else
                this.change({first: null, pointing: null, marks: [
                    ...marks.filter(mark => mark.part !== pointing || pointing === 'other'), {part: pointing, from, to}]
                    .sort((one, other) => one.from - other.from)});
        }
    }

    async send(more) {
        const letters = Array.from(this.state.example);
        const parts = this.state.marks.map(({part, from, to, order, same_length}) => ({
            part, start: bytes_of(letters.slice(0, from)), length: bytes_of(letters.slice(from, to + 1)),
            ...(order ? {order} : {}), ...(same_length ? {same_length} : {})}));
        const answer = await act('sticker-entry', {supplier: this.supplier().trim(), example: this.state.example, parts, ...more});
        if (more.try)
            this.change({sticker: answer.sticker});
        else
            this.change({example: '', marks: [], noted: answer.title});
    }

    instruction() {
        const {pointing, first} = this.state;
        if (!pointing)
            return 'Which part? Then tap its first and its last letter.';
        return `Tap the ${first === null ? 'first' : 'last'} letter of ${kind_of(pointing).noun}.`;
    }

    teaching({example, marks, pointing, first, sticker, trouble, noted}) {
        const letters = Array.from(example);
        return h('section', {class: 'panel', id: 'teach'},
                 h('h2', null, 'Teach one from an example'),
                 h('div', {class: 'field'}, h('label', {for: 'sticker-supplier'}, 'Supplier, as the delivery names it'),
                   h('input', {id: 'sticker-supplier', autocomplete: 'off', maxLength: 64, value: this.supplier(),
                               onInput: event => this.change({supplier: event.target.value})})),
                 h('div', {class: 'field'}, h('label', {for: 'sticker-example'}, 'Scan or paste one sticker here'),
                   h('input', {id: 'sticker-example', autocomplete: 'off', spellcheck: false, maxLength: LONGEST, value: example,
                               onKeyDown: event => { if (event.key === 'Enter') event.preventDefault(); },
                               onInput: event => this.change({example: event.target.value, marks: [], first: null})})),
                 letters.length === 0 ? null : [
                     h('h3', {key: 'what', role: 'status'}, this.instruction()),
                     h(PartKeys, {key: 'parts', pointing, marks, choose: part => this.change({pointing: part, first: null})}),
                     h(Letters, {key: 'letters', letters, marks, first, choose: this.point}),
                     h('ul', {key: 'marks', class: 'plain-list marks'}, marks.map(mark => h(Mark, {
                         key: `${mark.part}-${mark.from}`, mark, letters,
                         change: change => this.change({marks: marks.map(row => row === mark ? {...row, ...change} : row)}),
                         drop: () => this.change({marks: marks.filter(row => row !== mark)})})))],
                 h(Trouble, {text: trouble}),
                 noted ? h('p', {class: 'noted', role: 'status'}, noted) : null,
                 sticker ? h(Reading, {sticker}) : null,
                 marks.length === 0 ? null : h('div', {class: 'keys'},
                     h(DoKey, {key: 'try', look: sticker ? 'key-plain' : 'key-main', word: 'See what it reads', done: () => this.send({try: true})}),
                     sticker ? h(DoKey, {key: 'keep', look: 'key-main', word: 'That is right: keep it', done: () => this.send({})}) : null));
    }

    render({state: {tables, problem}}, state) {
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Stickers of plain text'),
                 h('p', null, h('a', {href: '#/receiving', class: 'key key-plain key-link'}, 'Back to Receiving')),
                 h(Trouble, {text: problem}),
                 this.teaching(state),
                 h('section', {class: 'panel', id: 'taught'}, h('h2', null, 'Taught'), h(Taught, {stickers: tables.stickers})));
    }
}

// Stock list: the room's units from a spreadsheet saved as CSV. What the kiosk would have to guess it asks here; then it
// shows line by line what would be taken on, and takes it on when told to.

import {Component, h} from '/vendor/preact/preact.js';
import {Noted, Shape, Tag, Trouble} from './parts.js';
import {answer, answer_column, answer_word, choose_file, list, plan_anew, take_on_all, watch_list} from './stock_list.js';
import {act, need} from './store.js';
import {day_words, ml_words, plural} from './words.js';

const LINES_SHOWN = 400; // of a long list; what has faults is shown first

const FIELDS = [
    ['item', 'what it is'], ['name', 'the item\u2019s name'], ['maker-code', 'maker\u2019s item number'], ['gtin', 'GTIN under the bar code'],
    ['kind', 'kind of thing'], ['resin', 'resin in a vat'], ['lot', 'lot'], ['expires', 'use by'], ['filled', 'filled on'],
    ['received', 'came on (note)'], ['opened', 'opened on (note)'], ['amount', 'content'], ['hours', 'hours of light'],
    ['quantity', 'how many'], ['place', 'where it stands'], ['printer', 'printer it is in (note)'], ['film', 'film of a vat'],
    ['reference', 'your own number (note)'], ['note', 'note'],
];

// ---- questions ----

function ChoiceKey({chosen, words, sample, done}) {
    return h('button', {type: 'button', class: `key ${chosen ? 'key-main' : 'key-plain'}`, 'aria-pressed': chosen ? 'true' : 'false',
                        disabled: list.busy, onClick: done},
             h('span', {class: 'key-label'}, words), sample ? h('span', {class: 'key-word'}, sample) : null);
}

function Choices({question, done}) {
    return h('div', {class: 'stock-choices', role: 'group', 'aria-label': question.sentence}, question.choices.map(choice =>
        h(ChoiceKey, {key: choice.value, chosen: question.answer === choice.value, words: choice.words || 'no heading',
                      sample: choice.sample, done: () => done(choice.value)})));
}

/** One of the room's items or places. */
function PickKnown({id, label, rows, value, none, done}) {
    return h('div', {class: 'field'}, h('label', {for: id}, label),
             h('select', {id, value: value || '', disabled: list.busy, onChange: event => event.target.value && done(event.target.value)},
               h('option', {value: ''}, none), rows.map(row =>
                   h('option', {value: row.code}, row.name ? `${row.name} (${row.code})` : row.code))));
}

class MakePlace extends Component {
    constructor(props) {
        super(props);
        this.state = {trouble: null};
        this.make = this.make.bind(this);
    }

    async make() {
        try {
            await act('place-entry', {code: this.props.code, kind: 'shelf', name: this.props.text.slice(0, 48), label: true});
            await plan_anew();
        } catch (problem) {
            this.setState({trouble: problem.message});
        }
    }

    render({code}, {trouble}) {
        return h('div', null, h('button', {type: 'button', class: 'key key-plain', disabled: list.busy, onClick: this.make},
                                `Make shelf ${code} and print its label`), h(Trouble, {text: trouble}));
    }
}

function Word({question, plan, id}) {
    const {field, text} = question;
    const set = value => answer_word(field, text, value);
    const out = question.answered && question.answer === null;
    if (field === 'place')
        return h('div', {class: 'stock-answer'},
                 h(PickKnown, {id, label: 'The place', rows: plan.places, value: question.answer, none: 'choose', done: set}),
                 question.suggest && !question.answer ? h(MakePlace, {code: question.suggest, text}) : null);
    const rest = h(ChoiceKey, {chosen: out, words: field === 'item' ? 'Leave its lines out' : 'Leave it unsaid', done: () => set(null)});
    if (field === 'item' || field === 'resin')
        return h('div', {class: 'stock-answer'},
                 h(PickKnown, {id, label: field === 'item' ? 'The item' : 'The resin', value: question.answer, none: 'choose', done: set,
                               rows: plan.items.filter(item => field === 'item' || /[CR]/.test(item.letter))}),
                 rest);
    return h('div', null, h(Choices, {question, done: set}), rest);
}

function Answers({question, plan, id}) {
    const {field} = question;
    switch (question.id) {
    case 'encoding': return h(Choices, {question, done: value => answer({encoding: value})});
    case 'column': return h(Choices, {question, done: value => answer({columns: {[field]: value}})});
    case 'dates': return h(Choices, {question, done: value => answer({dates: {[field]: value}})});
    case 'decimal': return h(Choices, {question, done: value => answer({decimal: {[field]: value}})});
    case 'unit': return h(Choices, {question, done: value => answer({unit: value})});
    case 'again': return h(Choices, {question, done: value => answer({again: value})});
    case 'word': return h(Word, {question, plan, id});
    case 'place': return h(PickKnown, {id, label: 'The place', rows: plan.places, value: question.answer, none: 'choose',
                                       done: value => answer({place: value})});
    case 'leave-out': return h(ChoiceKey, {chosen: question.answer !== null, done: () => answer({leave_out: question.count}),
                                           words: `Leave out the ${plural(question.count, 'line')} with faults`});
    default: return null;
    }
}

function is_open(question) {
    return question.answer === null && !question.answered;
}

function Questions({plan}) {
    if (plan.questions.length === 0)
        return null;
    return h('section', {'aria-label': 'Questions'}, h('h2', null, 'What only you can say'),
             h('ul', {class: 'plain-list'}, plan.questions.map((question, i) =>
                 h('li', {class: `card stock-question ${is_open(question) ? 'stock-open' : ''}`, 'data-question': question.id,
                          'data-field': question.field || null, key: `${question.id} ${question.field} ${question.text}`},
                   h('p', null, h(Tag, is_open(question) ? {look: 'ask'} : {look: 'good'}, is_open(question) ? 'open' : 'answered'), ' ', question.sentence),
                   h(Answers, {question, plan, id: `stock-answer-${i}`})))));
}

// ---- columns ----

function Columns({plan}) {
    if (plan.columns.length === 0)
        return null;
    const unused = plan.columns.filter(column => !column.field).map(column => column.heading || `column ${column.column}`);
    return h('section', {class: 'panel stock-columns'}, h('h2', null, 'Columns'),
             h('p', null, `Read as ${plan.file.encoding} with ${plan.file.separator} between the cells; headings in line ${plan.file.heading_line}. `,
               unused.length ? `Not used: ${unused.join(', ')}.` : 'Every column is used.'),
             h('div', {class: 'scroll'}, h('table', null,
               h('thead', null, h('tr', null, ['Heading', 'First in it', 'What it is'].map(name => h('th', {key: name, scope: 'col'}, name)))),
               h('tbody', null, plan.columns.map(column => h('tr', {key: column.column},
                 h('td', {'data-title': 'Heading'}, column.heading || `column ${column.column}, no heading`),
                 h('td', {'data-title': 'First in it'}, column.sample.slice(0, 60)),
                 h('td', {'data-title': 'What it is'}, h('div', {class: 'field'},
                   h('select', {'aria-label': `What column ${column.heading} is`, value: column.field || '', disabled: list.busy,
                                onChange: event => answer_column(column.column, event.target.value)},
                     h('option', {value: ''}, 'not used'), FIELDS.map(([value, words]) => h('option', {value}, words)))),
                   column.why ? h('p', {class: 'hint'}, column.why) : null)))))));
}

// ---- lines ----

const looks = {'take-on': ['good', 'to take on'], fault: ['hold', 'fault'], open: ['ask', 'open'],
               nothing: ['plain', 'none there'], 'left-out': ['plain', 'stays out']};

function minutes_words(minutes) {
    return minutes === undefined ? '' : `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')} h`;
}

function said_words({content, notices, fault}) {
    const parts = [content.resin && `resin ${content.resin}`, content.filled && `filled ${day_words(content.filled)}`,
                   content.film && `film ${content.film}`, content.note];
    return h('div', null, fault ? h('p', {class: 'stock-fault'}, fault.heading ? `${fault.heading}: ` : '', fault.sentence) : null,
             h('p', null, parts.filter(Boolean).join(', ')), notices.map(sentence => h('p', {class: 'stock-notice', key: sentence}, sentence)));
}

function Line({line}) {
    const [look, word] = looks[line.state], {content} = line;
    return h('tr', {'data-line': line.line},
             h('td', {'data-title': 'Line'}, String(line.line)),
             h('td', {'data-title': 'State'}, h(Tag, {look}, line.booked >= line.units && line.state === 'take-on' ? 'taken on' : word)),
             h('td', {'data-title': 'What'}, line.state === 'nothing' ? '' : `${line.units} \u00D7 ${line.name || '?'}`),
             h('td', {'data-title': 'Lot'}, content.lot || ''),
             h('td', {'data-title': 'Use by'}, content.expires ? day_words(content.expires) : ''),
             h('td', {'data-title': 'Content'}, content.amount_ml === undefined ? '' : ml_words(content.amount_ml)),
             h('td', {'data-title': 'Hours'}, minutes_words(content.minutes)),
             h('td', {'data-title': 'Where'}, content.place || ''),
             h('td', {'data-title': 'More'}, said_words(line)));
}

class Lines extends Component {
    constructor(props) {
        super(props);
        this.state = {faults: false};
    }

    render({plan}, {faults}) {
        if (plan.lines.length === 0)
            return null;
        const wanted = faults ? plan.lines.filter(line => line.state === 'fault' || line.notices.length > 0) : plan.lines;
        const shown = [...wanted].sort((a, b) => (b.state === 'fault') - (a.state === 'fault') || a.line - b.line).slice(0, LINES_SHOWN);
        return h('section', {class: 'panel stock-lines'}, h('h2', null, 'Line by line'),
                 h('button', {type: 'button', class: 'key key-plain', 'aria-pressed': faults ? 'true' : 'false',
                              onClick: () => this.setState({faults: !faults})}, faults ? 'Show every line' : 'Show only faults and remarks'),
                 h('div', {class: 'scroll'}, h('table', null,
                   h('thead', null, h('tr', null, ['Line', 'State', 'What', 'Lot', 'Use by', 'Content', 'Hours', 'Where', 'More'].map(name =>
                       h('th', {key: name, scope: 'col'}, name)))),
                   h('tbody', null, shown.map(line => h(Line, {line, key: line.line}))))),
                 wanted.length > shown.length ? h('p', null, `${plural(wanted.length - shown.length, 'more line')}; they count all the same.`) : null);
    }
}

function Totals({plan}) {
    if (plan.totals.length === 0)
        return null;
    return h('section', {class: 'panel stock-totals'}, h('h2', null, 'What that comes to'),
             h('div', {class: 'scroll'}, h('table', null,
               h('thead', null, h('tr', null, ['Item', 'Units', 'Content', 'Use by'].map(name => h('th', {key: name, scope: 'col'}, name)))),
               h('tbody', null, plan.totals.map(total => h('tr', {key: total.item},
                 h('td', {'data-title': 'Item'}, `${total.name} (${total.item})`), h('td', {'data-title': 'Units', class: 'number'}, String(total.units)),
                 h('td', {'data-title': 'Content'}, ml_words(total.amount_ml),
                   total.amount_unknown && total.amount_ml !== null ? `, ${total.amount_unknown} unknown` : ''),
                 h('td', {'data-title': 'Use by'}, !total.first_expires ? 'no dates'
                   : total.first_expires === total.last_expires ? day_words(total.first_expires)
                   : `${day_words(total.first_expires)} to ${day_words(total.last_expires)}`)))))));
}

// ---- taking on ----

function Booking({booking}) {
    const taken = booking.done - booking.before - booking.failed.length;
    if (!booking.over)
        return h('div', {class: 'stock-progress', role: 'status'},
                 h('p', null, booking.stuck ? 'The kiosk does not answer; this goes on when it does. ' : '', `${booking.done} of ${plural(booking.total, 'unit')}`),
                 h('progress', {max: booking.total, value: booking.done, 'aria-label': 'Taking on'}));
    return h('div', null,
             h(Noted, {text: `${plural(taken, 'unit')} taken on${booking.before ? `, ${booking.before} were before` : ''}. Their labels are on their way: stick each on and scan it.`}),
             booking.failed.map(row => h(Trouble, {key: row.line, text: `Line ${row.line}: ${row.sentence}`})));
}

function TakeOnKey({plan, person}) {
    const left = plan.units - plan.booked;
    return h('section', {class: 'panel', 'aria-label': 'Take on'},
             h('p', {class: 'stock-sentence', role: 'status'}, h(Shape, {name: plan.ready ? 'go' : 'ask'}), h('span', null, plan.sentence)),
             person ? null : h('p', null, 'Nobody is signed in: scan a badge first, so that the ledger knows who took these on.'),
             list.booking ? h(Booking, {booking: list.booking}) : null,
             h('button', {type: 'button', class: 'key key-main', disabled: !plan.ready || list.busy || left === 0 || (list.booking && !list.booking.over),
                          onClick: () => take_on_all(person && person.serial)},
               left === 0 && plan.ready ? 'All of it is taken on' : `Take on ${plural(left, 'unit')}`));
}

/** The box is emptied, else a browser says nothing when the same file is chosen again after it was corrected. */
function take_file(event) {
    choose_file(event.target.files[0]);
    event.target.value = '';
}

export class StockListPage extends Component {
    componentDidMount() {
        need([]);
        watch_list(() => this.setState({}));
        plan_anew();
    }

    componentWillUnmount() {
        watch_list(() => {});
    }

    render({state}) {
        const {plan} = list;
        return h('main', {class: 'page stock-list', id: 'main', 'data-answered': list.answered},
                 h('p', null, h('a', {href: '#/room'}, 'Room')),
                 h('h1', null, 'Stock list'),
                 h(Trouble, {text: state.problem}),
                 h('section', {class: 'panel'},
                   h('p', null, 'Your spreadsheet of what stands here: save it as CSV and choose it. It keeps its own headings. Nothing is booked until you press Take on.'),
                   h('div', {class: 'stock-file'},
                     h('input', {id: 'stock-file', type: 'file', class: 'unseen', accept: '.csv,.txt,.tsv,text/csv,text/plain',
                                 onChange: take_file}),
                     h('label', {for: 'stock-file', class: 'key key-plain'}, list.name ? 'Choose another, or the same again' : 'Choose the CSV file'),
                     list.name ? h('p', null, h('strong', null, list.name), list.busy ? ', reading\u2026' : '') : null),
                   h(Trouble, {text: list.trouble})),
                 plan ? h('div', {class: 'stock-plan', 'aria-busy': list.busy ? 'true' : 'false'},
                          h(Questions, {plan}), plan.columns.length ? h(TakeOnKey, {plan, person: state.view.person}) : null,
                          h(Totals, {plan}), h(Columns, {plan}), h(Lines, {plan})) : null);
    }
}

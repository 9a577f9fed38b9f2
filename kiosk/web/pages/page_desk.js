// The desk: scan first, no menu. Shows what the counter is in the middle of and the keys that mean something now.

import {Component, h} from '/vendor/preact/preact.js';
import {DemoHelpers} from './demo.js';
import {AmountKeys, Keys, PrinterKeys, RoomKeys, ShelfKeys, TypedCard, UndoKey, tap} from './keys.js';
import {Candidates} from './label_lost.js';
import {end_words} from './page_jobs.js';
import {Tag, Trouble} from './parts.js';
import {need, press} from './store.js';
import {Proposal, UnitCard, proof_words} from './units.js';
import {Verdict} from './verdict.js';
import {ml_words, plural, resin_words} from './words.js';

function Prompts({prompts}) {
    if (prompts.length === 0)
        return null;
    return h('aside', {class: 'prompts', 'aria-label': 'Caution'},
             h('svg', {class: 'prompt-mark', viewBox: '0 0 32 32', 'aria-hidden': 'true', focusable: 'false'},
               h('path', {d: 'M16 3l14 25H2zM16 12v8M16 24v1'})),
             h('div', null, prompts.map(prompt => h('p', {key: prompt}, prompt))));
}

/** The job whose ticket was scanned: what goes out is for it. */
function Ticket({ticket}) {
    const facts = [ticket.printer_name || ticket.printer, resin_words(ticket), ticket.need_ml === null ? null : ml_words(ticket.need_ml), end_words(ticket),
                   ticket.parts > 0 ? plural(ticket.parts, 'part') : null].filter(Boolean);
    return h('section', {class: 'panel ticket', 'aria-label': 'The job of the ticket'},
             h('p', null, h('strong', null, `Job ${ticket.job}`), ticket.name ? ` ${ticket.name}` : ''),
             h('p', null, facts.join(', ') || 'Nothing more is known of it.'),
             ticket.old ? h(Tag, {look: 'ask'}, 'planned anew after this ticket was printed') : null);
}

const scannable = [
    ['Your badge', 'says who you are'],
    ['A thing from the shelf', 'proposes to take it to a printer'],
    ['A thing that is out', 'proposes to bring it back'],
    ['A maker\u2019s code', 'receives it, with a delivery open'],
    ['A job\u2019s ticket', 'says what goes out is for'],
    ['A shelf', 'says what stands there'],
    ['Another room', 'after a thing: lends it'],
];

// what begins with a card and no thing: keys for who has no cards at hand
const beginnings = [['LABEL-LOST', 'A label is lost'], ['TAKE-ON', 'Take on what stands here']];

function Hints() {
    return h('div', null,
             h('dl', {class: 'hints'}, scannable.map(([what, does]) =>
                 h('div', {key: what}, h('dt', null, what), h('dd', null, does)))),
             h('div', {class: 'keys keys-narrow', role: 'group', 'aria-label': 'Without a scan'}, beginnings.map(([word, label]) =>
                 h('button', {key: word, type: 'button', class: 'key key-plain', 'data-word': word, onClick: () => tap(() => press(word))},
                   h('span', {class: 'key-label'}, label), h('span', {class: 'key-word'}, word)))));
}

/** What is in hand: the proposal, the things, the keys. Also stands on the Receiving page. */
export class Work extends Component {
    constructor(props) {
        super(props);
        this.state = {quantity: this.proposed(props.view)};
    }

    proposed(view) {
        return view.proposal && view.proposal.quantity >= 1 ? view.proposal.quantity : 1;
    }

    /** Another pack of the same lot adds to what the person typed; another lot starts afresh. */
    componentWillReceiveProps({view}) {
        const before = this.props.view.proposal, now = view.proposal;
        if (!now || view === this.props.view)
            return;
        const same = before && before.item === now.item && before.lot === now.lot && before.expires === now.expires &&
            this.props.view.step === view.step;
        const quantity = now.asked ? now.quantity : same ? this.state.quantity + now.quantity - before.quantity : this.proposed(view);
        this.setState({quantity: Math.min(10000, Math.max(1, quantity))});
    }

    render({view, tables, idle}, {quantity}) {
        const last = view.units[view.units.length - 1];
        const delivery = view.delivery && (tables.deliveries || []).find(row => row.id === view.delivery.id);
        const coming_back = view.step === 'check-in' && last;
        const film_asked = view.keys.some(key => key.word === 'FILM-CLEAR'); // asked first, then the amount, then the shelf
        const answers = h(Keys, {key: 'answers', view, quantity: view.proposal ? quantity : null});
        const tray_asked = view.keys.some(key => key.word === 'TRAY-MOVED'); // nothing goes on before it is said which
        const printers = view.step === 'check-out' && last && !tray_asked ? h(PrinterKeys, {key: 'printers', printers: tables.printers}) : null;
        const rooms = view.step === 'check-out' && last && !tray_asked ? h(RoomKeys, {key: 'rooms', places: tables.places}) : null;
        return h('div', {class: 'work'},
                 h('div', {class: 'work-things'},
                   view.step === 'proof' && delivery ? h('p', {class: 'proofs', role: 'status'}, proof_words(delivery)) : null,
                   view.ticket ? h(Ticket, {ticket: view.ticket}) : null,
                   view.proposal ? h(Proposal, {view, quantity, change: number => this.setState({quantity: number})}) : null,
                   h(Candidates, {list: view.candidates}),
                   view.candidates && view.units.length > 0 ? h('h2', null, 'Seen: these are not it') : null,
                   h('div', {class: 'in-hand'},
                     view.units.length > 0
                         ? h('ul', {class: 'cards'}, view.units.map(unit => h(UnitCard, {key: unit.serial, unit, step: view.step})))
                         : null,
                     h(Prompts, {prompts: view.prompts})),
                   view.step === 'idle' ? idle : null),
                 h('div', {class: 'work-keys'},
                   view.verdict === 'go' ? [printers, rooms, answers] : [answers, printers, rooms], // what is likely next stands first
                   coming_back && last.resin && !film_asked ? h(AmountKeys, {unit: last}) : null,
                   coming_back ? h(ShelfKeys, {places: tables.places, title: 'Back to which shelf?'}) : null,
                   view.step === 'proof' && view.units.length > 0
                       ? h(ShelfKeys, {places: tables.places, title: 'Put away where?'}) : null,
                   view.step === 'take-on' && view.keys.some(key => key.word === 'UNKNOWN') ? h(TypedCard, {key: 'hours', label: 'Hours of light, as the printer shows them', ending: 'H', most: 100000}) : null,
                   view.step === 'take-on' && view.keys.some(key => key.word === '1000ML') ? h(TypedCard, {key: 'ml', label: 'Millilitres in it', ending: 'ML', most: 1000000}) : null,
                   view.step === 'life' && !view.keys.some(key => key.word === 'YES') ? h(TypedCard, {key: 'life', label: 'Or all the hours left, as the printer shows them', ending: 'H', most: 100000}) : null,
                   h(UndoKey, {view})));
    }
}

export class DeskPage extends Component {
    componentDidMount() {
        const demo = this.props.state.view.demo ? ['demo_units', 'people', 'jobs'] : [];
        need(['printers', 'places', 'deliveries', ...demo]);
    }

    render({state}) {
        const view = state.view;
        return h('main', {class: 'page desk', id: 'main'},
                 h('h1', {class: 'unseen'}, 'Desk'),
                 h(Trouble, {text: state.problem}),
                 h(Verdict, {view, fresh_until: state.fresh_until}),
                 h(Work, {view, tables: state.tables, idle: h(Hints)}),
                 view.demo ? h(DemoHelpers, {view, tables: state.tables}) : null);
    }
}

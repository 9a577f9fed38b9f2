// Receiving: open a delivery, scan the makers' codes, stick the labels on and scan each back. What has no code is
// picked from the catalogue, lot and date typed once per lot.

import {Component, h} from '/vendor/preact/preact.js';
import {UndoKey} from './keys.js';
import {read_all} from './api.js';
import {DoKey, Form, Shape, Tag, Trouble, UseBy} from './parts.js';
import {act, need} from './store.js';
import {Work} from './page_desk.js';
import {HOLD_REASONS, instant_words, plural, PRINT_STATES, supplier_words, word_words} from './words.js';
import {Verdict} from './verdict.js';

// ---- the deliveries ----

function DeliveryRow({delivery, here}) {
    const left = delivery.units - delivery.proved;
    return h('li', {class: here ? 'card delivery delivery-here' : 'card delivery'},
             h('h3', null, supplier_words(delivery), here ? h(Tag, {look: 'good'}, 'open at this counter') : null),
             h('p', {class: 'quiet'}, `Opened ${instant_words(delivery.opened_at)}. `,
               `${plural(delivery.units, 'unit')}, ${delivery.proved} of their labels proved.`),
             here ? null : h(DoKey, {word: 'Go on with this delivery here',
                                     label: `Go on with the delivery from ${supplier_words(delivery)} at this counter`,
                                     done: () => act('delivery-resume', {delivery: delivery.id})}),
             h(DoKey, {word: left > 0 ? `Close it, ${plural(left, 'label')} unproved` : 'Close this delivery',
                       label: `Close the delivery from ${supplier_words(delivery)}`,
                       done: () => act('delivery-close', {delivery: delivery.id})}));
}

function Deliveries({deliveries, view}) {
    const here = view.delivery && view.delivery.id;
    return h('section', {class: 'panel'},
             h('h2', null, 'Deliveries'),
             deliveries === undefined ? h('p', null, 'Reading\u2026')
             : deliveries.length === 0 ? h('p', null, 'No delivery is open.')
             : h('ul', {class: 'plain-list'}, deliveries.map(row =>
                   h(DeliveryRow, {key: row.id, delivery: row, here: row.id === here}))),
             h('h3', null, 'Open a delivery'),
             h(Form, {name: 'Open a delivery', word: 'Open', fields: [
                 {name: 'supplier', label: 'Supplier', required: true, longest: 64},
                 {name: 'note', label: 'Note', aside: 'if any', longest: 240, hint: 'Such as the number of the delivery note.'}],
                 done: async content => (await act('delivery-open', content)).title}));
}

// ---- what came with it ----

function by_lot(units) {
    const lots = new Map();
    for (const unit of units) {
        const key = `${unit.item} ${unit.lot} ${unit.expires}`;
        lots.set(key, [...(lots.get(key) || []), unit]);
    }
    return [...lots.entries()];
}

const state_looks = {proved: 'good', printed: 'wait', sent: 'wait', waiting: 'wait', failed: 'hold', unknown: 'ask'};

function UnitLine({unit}) {
    const state = unit.label; // of its newest label
    return h('tr', null,
             h('td', {'data-title': 'Unit'}, h('a', {class: 'serial', href: `#/unit/${unit.serial}`}, unit.serial)),
             h('td', {'data-title': 'Label'}, h(Tag, {look: state_looks[state]}, PRINT_STATES[state])),
             h('td', {'data-title': 'State or place'}, unit.hold ? h(Tag, {look: 'hold'}, word_words(unit.hold)) : unit.place || 'not put away yet'),
             h('td', {class: 'cell-key'}, state === 'waiting' ? null : h(DoKey, {
                 word: 'Reprint', label: `Reprint the label of ${unit.serial}`,
                 done: () => act('reprint', {unit: unit.serial})})));
}

function Lot({units}) {
    const first = units[0], proved = units.filter(unit => unit.labelled).length;
    return h('section', {class: 'lot'},
             h('h3', null, `${units.length} \u00D7 ${first.name}`, first.lot ? `, lot ${first.lot}` : ''),
             h('p', null, h(UseBy, {day: first.expires, use_by: first.use_by}), ` \u00B7 ${proved} of ${units.length} labels proved`),
             h('div', {class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': `Labels of ${first.name}`},
               h('table', null,
                 h('thead', null, h('tr', null, ['Unit', 'Label', 'State or place', ''].map(title =>
                     h('th', {scope: 'col'}, title || h('span', {class: 'unseen'}, 'Reprint'))))),
                 h('tbody', null, units.map(unit => h(UnitLine, {key: unit.serial, unit}))))));
}

// ---- without a code ----

function LotQuestion({ask}) {
    const answer = (chosen, main, ...words) => h('button', {type: 'button', class: `key ${main ? 'key-main' : 'key-plain'}`,
                                                            onClick: () => ask.choose(chosen)}, words);
    return h('section', {class: 'lot-question', role: 'alertdialog', 'aria-label': 'Which lot?'},
             h('p', {class: 'lot-asked'}, h(Shape, {name: 'ask'}), h('strong', null, 'ASK '), h('span', null, ask.sentence)),
             h('div', {class: 'keys'},
               ask.lots.map(({lot, units, how}) => answer({lot}, true,
                   h('span', {class: 'key-label'}, `The same lot: ${lot}`),
                   h('span', {class: 'key-word'}, `${plural(units, 'unit')} here; ${how}`))),
               answer({lot_sure: true}, false, h('span', {class: 'key-label'}, `Another lot: ${ask.typed}`)),
               answer(null, false, h('span', {class: 'key-label'}, 'Neither: correct it'))));
}

class TypedReceipt extends Component {
    constructor(props) {
        super(props);
        this.state = {filter: '', ask: null};
        this.done = this.done.bind(this);
    }

    /** The kiosk asks when a lot is spelt almost like one that is here; the form keeps what was typed meanwhile. */
    async done(content) {
        const said = {delivery: this.props.view.delivery.id, ...content};
        const answer = await act('receive', said);
        if (!answer.ask)
            return answer.title;
        const chosen = await new Promise(choose => this.setState({ask: {...answer.ask, choose}}));
        this.setState({ask: null});
        if (!chosen)
            throw new Error('Nothing was received: correct the lot.');
        return (await act('receive', {...said, ...chosen})).title;
    }

    render({items}, {filter, ask}) {
        const words = filter.toLowerCase().split(/\s+/).filter(Boolean);
        const found = items.filter(item => words.every(word =>
            `${item.code} ${item.name || ''} ${item.resin || ''} ${item.gtin || ''} ${item.maker_code || ''}`
                .toLowerCase().includes(word)));
        return h('section', {class: 'panel'},
                 h('h2', null, 'Receive without a code'),
                 h('div', {class: 'field filter'}, h('label', {for: 'item-filter'}, 'Find the item'),
                   h('input', {id: 'item-filter', autocomplete: 'off', value: filter,
                               onInput: event => this.setState({filter: event.target.value})})),
                 found.length === 0 ? h('p', {role: 'status'}, 'No item of the catalogue has these words: enter it in Room.') : null,
                 h(Form, {name: 'Receive without a code', word: 'Receive', keep: ['item', 'lot', 'expires'],
                          done: this.done, fields: [
                     {name: 'item', label: 'Item', required: true,
                      options: found.map(item => [item.code, `${item.name || item.code} (${item.code})`])},
                     {name: 'lot', label: 'Lot', longest: 20},
                     {name: 'expires', label: 'Use by', type: 'day', hint: 'Year-month-day, such as 2027-10-31. Vats and platforms need no date.'},
                     {name: 'quantity', label: 'How many', type: 'number', required: true, min: 1, max: 10000, whole: true},
                     {name: 'hold', label: 'Put on hold', aside: '', none: 'no', options: HOLD_REASONS}]}),
                 ask ? h(LotQuestion, {ask}) : null);
    }
}

export class ReceivingPage extends Component {
    constructor(props) {
        super(props);
        this.state = {delivery: null, units: null, trouble: null}; // what came with which delivery
        this.changed = this.changed.bind(this);
    }

    componentDidMount() {
        need(['deliveries', 'items', 'places', 'printers'], this.changed);
        this.load();
    }

    componentDidUpdate() {
        const open = this.props.state.view.delivery;
        if ((open ? open.id : null) !== this.state.delivery)
            this.load();
    }

    changed(movements) {
        const {delivery, units} = this.state;
        const own = new Set((units || []).map(unit => unit.serial));
        if (!movements || movements.some(movement => movement.delivery === delivery || own.has(movement.unit)))
            this.load();
    }

    async load() {
        const open = this.props.state.view.delivery, delivery = open ? open.id : null;
        const number = this.number = (this.number || 0) + 1;
        this.setState({delivery, units: delivery === this.state.delivery ? this.state.units : null, trouble: null});
        if (!delivery)
            return;
        try {
            const units = await read_all(`/api/units?delivery=${encodeURIComponent(delivery)}`, 'units');
            if (number === this.number)
                this.setState({units});
        } catch (problem) {
            if (number === this.number)
                this.setState({trouble: problem.message});
        }
    }

    render({state}, {units, trouble}) {
        const {view, tables} = state;
        const open = view.delivery;
        const busy = view.step === 'receipt' || view.step === 'proof';
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Receiving'),
                 h(Trouble, {text: state.problem || trouble}),
                 open ? h(Verdict, {view, fresh_until: state.fresh_until}) : null,
                 busy ? h(Work, {view, tables}) : h('div', {class: 'undo-row'}, h(UndoKey, {view})),
                 h('div', {class: 'columns'},
                   h('div', null,
                     h(Deliveries, {deliveries: tables.deliveries, view}),
                     h('p', null, h('a', {href: '#/stickers', class: 'key key-plain key-link'}, 'Teach a supplier\u2019s stickers'))),
                   h('div', null,
                     open ? h('section', {class: 'panel'},
                              h('h2', null, `This delivery, from ${supplier_words(open)}`),
                              !units ? h('p', null, 'Reading\u2026')
                              : units.length === 0
                                  ? h('p', null, 'Nothing is received yet: scan the maker\u2019s code on each pack.')
                                  : by_lot(units).map(([key, lot]) =>
                                        h(Lot, {key, units: lot})))
                     : h('section', {class: 'panel'}, h('h2', null, 'This delivery'),
                         h('p', null, 'Open a delivery to receive what came.')),
                     open && tables.items ? h(TypedReceipt, {view, items: tables.items}) : null)));
    }
}

// Shelves: what there is, by item; an item opens to its lots, a lot to its units and where each is. What is closed is
// not read. The field looks for items, lots and states by words, for a place by its code, for a unit by its serial.

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {OpenKey, Tag, Trouble, UseBy} from './parts.js';
import {UnitList} from './unit_list.js';
import {need} from './store.js';
import {plural, tracing_address} from './words.js';

const LOOK_MS = 250;   // after the last key
const FRESH_MS = 1000; // what is open is read again at most so often
const LOTS_FIRST = 30;

// ---- words ----

/** The sum of the known contents; where none is known that is no amount, not 0. */
function content_words({amount_unknown, amount_ml, units}, holds_resin) {
    if (amount_unknown === units || amount_ml === null)
        return holds_resin ? 'amount unknown' : null;
    const known = `${Math.round(amount_ml)} ml`;
    return amount_unknown === 0 ? known : `${known} and ${plural(amount_unknown, 'unknown amount')}`;
}

function StateTags({out, held, unproved, expired}) {
    return h('span', {class: 'tags'},
             out > 0 ? h(Tag, {look: 'plain'}, `${out} out`) : null,
             held > 0 ? h(Tag, {look: 'hold'}, `${held} on hold`) : null,
             unproved > 0 ? h(Tag, {look: 'wait'}, unproved === 1 ? '1 label not proved' : `${unproved} labels not proved`) : null,
             expired > 0 ? h(Tag, {look: 'hold'}, `${expired} expired`) : null);
}

function words_of(filter) {
    return filter.toLowerCase().split(/\s+/).filter(Boolean);
}

function has_words(item, words) {
    const text = `${item.item} ${item.name || ''} ${item.resin || ''}`.toLowerCase();
    return words.every(word => text.includes(word));
}

// ---- lots ----

/** Lines of one item -> its lots, in the lines' order: the one to use up first stands first. */
function by_lot(lines) {
    const lots = new Map();
    for (const line of lines) {
        if (!lots.has(line.lot))
            lots.set(line.lot, {lot: line.lot, expires: line.expires, use_by: line.use_by, resin: line.resin, units: 0, amount_ml: 0,
                                amount_unknown: 0, out: 0, held: 0, unproved: 0, expired: 0});
        const lot = lots.get(line.lot);
        lot.units += line.units;
        lot.amount_ml += line.amount_ml || 0;
        lot.amount_unknown += line.amount_unknown;
        if (line.status === 'out')
            lot.out += line.units;
        else if (line.held)
            lot.held += line.units;
        else if (!line.labelled)
            lot.unproved += line.units;
        else if (line.use_by && line.use_by.state === 'expired')
            lot.expired += line.units;
    }
    return [...lots.values()];
}

class Lot extends Component {
    render({item, lot, beat, only_found}, {open}) {
        const id = `units-${item}-${lot.lot || 'none'}`.replace(/[^0-9A-Za-z-]/g, '_');
        const query = `item=${encodeURIComponent(item)}&lot=${encodeURIComponent(lot.lot || '')}&present=1`;
        return h('li', {class: 'stock-lot'},
                 h('h3', null, h(OpenKey, {open, controls: id, change: () => this.setState({open: !open})},
                     h('strong', null, lot.lot ? `Lot ${lot.lot}` : 'No lot'),
                     h('span', null, `${plural(lot.units, 'unit')}${only_found ? ' found' : ''}`),
                     lot.expires ? h(UseBy, {day: lot.expires, use_by: lot.use_by}) : null,
                     h('span', null, content_words(lot, lot.resin || lot.lot)),
                     h(StateTags, lot))),
                 open ? h('div', {id}, h(UnitList, {query, beat}),
                          lot.lot && lot.resin ? h('p', null, h('a', {href: tracing_address(item, lot.lot)}, 'Where did this lot go?')) : null) : null);
    }
}

// ---- items ----

class Item extends Component {
    constructor(props) {
        super(props);
        this.state = {open: false, lines: null, trouble: null, all: false};
        this.change = this.change.bind(this);
    }

    componentDidUpdate(before) {
        if (before.beat !== this.props.beat && this.state.open)
            this.load();
    }

    async load() {
        try {
            const {stock} = await read(`/api/stock?item=${encodeURIComponent(this.props.total.item)}`);
            this.setState({lines: stock, trouble: null});
        } catch (problem) {
            this.setState({trouble: problem.message});
        }
    }

    change() {
        const open = !this.state.open;
        this.setState({open});
        if (open)
            this.load();
    }

    lots({total, found, beat}, {open, lines, all}) {
        const shown = open ? lines : found;
        if (!shown)
            return open ? h('p', null, 'Reading\u2026') : null;
        const lots = by_lot(shown), first = all ? lots : lots.slice(0, LOTS_FIRST);
        return h('div', null,
                 h('ul', null, first.map(lot => h(Lot, {key: lot.lot || '', item: total.item, lot, beat, only_found: !open}))),
                 lots.length === 0 ? h('p', null, 'Nothing of it is here any more.') : null,
                 first.length < lots.length
                     ? h('button', {type: 'button', class: 'key key-small', onClick: () => this.setState({all: true})},
                         `Show ${lots.length - first.length} more lots`) : null);
    }

    render(props, state) {
        const {total} = props, id = `lots-${total.item}`;
        return h('section', {class: 'panel stock-item'},
                 h('h2', null, h(OpenKey, {open: state.open, controls: id, change: this.change},
                     h('strong', null, total.name || total.item, ' ', h('span', {class: 'quiet'}, total.item)),
                     h('span', null, `${plural(total.units, 'unit')}, ${total.ready} ready to take`),
                     total.first_expires ? h('span', null, 'first use by ', h(UseBy, {day: total.first_expires, use_by: total.first_use_by})) : null,
                     h(StateTags, total))),
                 h(Trouble, {text: state.trouble}),
                 h('div', {id}, this.lots(props, state)));
    }
}

// ---- the page ----

function PlaceHere({place, beat}) {
    return h('section', {class: 'panel stock-place', 'aria-label': `At ${place.code}`},
             h('h2', null, `At ${place.code}`, place.name ? h('span', {class: 'quiet'}, ` ${place.name}`) : null),
             h(UnitList, {key: place.code, query: `place=${encodeURIComponent(place.code)}`, beat, named: true,
                          none: 'Nothing stands here.'}));
}

function UnitHere({unit}) {
    return h('p', {class: 'panel stock-unit'}, h('a', {class: 'key key-main', href: `#/unit/${unit.serial}`},
                                                 `Open ${unit.name} ${unit.serial}`));
}

function first_of_lines(lines) {
    const items = new Map();
    for (const line of lines)
        items.set(line.item, [...(items.get(line.item) || []), line]);
    return items;
}

export class ShelvesPage extends Component {
    constructor(props) {
        super(props);
        this.state = {filter: '', found: null, unit: null, trouble: null, beat: 0};
        this.look_number = 0;
        this.changed = this.changed.bind(this);
        this.submit = this.submit.bind(this);
    }

    componentDidMount() {
        need(['stock', 'places'], this.changed);
    }

    componentWillUnmount() {
        clearTimeout(this.look_timer);
        clearTimeout(this.beat_timer);
        this.look_number++;
    }

    /** Something moved: what is open is read again, soon and not too often. */
    changed(movements) {
        if (this.beat_timer || (movements && !movements.some(movement => movement.unit)))
            return;
        this.beat_timer = setTimeout(() => {
            this.beat_timer = 0;
            this.setState({beat: this.state.beat + 1});
            if (this.state.filter.trim())
                this.look(false);
        }, FRESH_MS);
    }

    type(filter) {
        clearTimeout(this.look_timer);
        this.setState({filter, ...(filter.trim() ? {} : {found: null, unit: null, trouble: null})});
        this.look_number++; // what is on its way was asked for other words
        if (filter.trim())
            this.look_timer = setTimeout(() => this.look(false), LOOK_MS);
    }

    submit(event) {
        event.preventDefault();
        clearTimeout(this.look_timer);
        if (this.state.filter.trim())
            this.look(true);
    }

    async look(go) {
        const number = ++this.look_number, text = this.state.filter.trim();
        const serial = /^[A-Za-z][0-9A-Za-z]{5,10}$/.test(text) && /[0-9]/.test(text);
        try {
            const [found, unit] = await Promise.all([
                read(`/api/stock?words=${encodeURIComponent(text)}`),
                serial ? read(`/api/units/${encodeURIComponent(text)}`).catch(() => null) : null]);
            if (number !== this.look_number)
                return;
            this.setState({found, unit, trouble: null});
            if (unit && go)
                location.hash = `#/unit/${unit.serial}`;
        } catch (problem) {
            if (number === this.look_number)
                this.setState({found: null, unit: null, trouble: problem.message});
        }
    }

    /** [total, lines that were found or null]: an item that has the words itself stays closed. */
    items(totals, words, found) {
        if (words.length === 0)
            return totals.map(total => [total, null]);
        const lines = first_of_lines(found ? found.stock : []);
        return totals.filter(total => has_words(total, words) || lines.has(total.item))
            .map(total => [total, has_words(total, words) ? null : lines.get(total.item)]);
    }

    render({state}, {filter, found, unit, trouble, beat}) {
        const {stock, places} = state.tables, words = words_of(filter);
        const shelves = (places || []).filter(place => place.kind !== 'slot');
        const place = words.length === 1 && (places || []).find(row => row.code.toLowerCase() === words[0]);
        const items = stock ? this.items(stock, words, found) : [];
        const nothing = stock && items.length === 0 && !place && !unit && (found || words.length === 0);
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Shelves'),
                 h(Trouble, {text: state.problem || trouble}),
                 h('form', {class: 'stock-look', onSubmit: this.submit, 'aria-label': 'What to show'},
                   h('div', {class: 'field'}, h('label', {for: 'stock-filter'}, 'Show only'),
                     h('input', {id: 'stock-filter', autocomplete: 'off', spellcheck: false, value: filter, maxLength: 120,
                                 placeholder: 'item, lot, place, serial, on hold\u2026',
                                 onInput: event => this.type(event.target.value)})),
                   shelves.length > 0 ? h('div', {class: 'field'}, h('label', {for: 'stock-place'}, 'or what stands at'),
                     h('select', {id: 'stock-place', value: place ? place.code : '', onChange: event => this.type(event.target.value)},
                       h('option', {value: ''}, 'any place'),
                       shelves.map(row => h('option', {key: row.code, value: row.code}, row.name ? `${row.code}, ${row.name}` : row.code)))) : null,
                   filter ? h('button', {type: 'button', class: 'key key-plain', onClick: () => this.type('')}, 'Show all') : null),
                 unit ? h(UnitHere, {unit}) : null,
                 place ? h(PlaceHere, {place, beat}) : null,
                 stock === undefined ? h('p', null, 'Reading\u2026') : null,
                 nothing ? h('p', {role: 'status'}, stock.length === 0 ? 'Nothing stands here yet: receive a delivery, or take on what is there (Room).'
                                                                       : 'Nothing here has these words.') : null,
                 items.map(([total, lines]) => h(Item, {key: total.item, total, found: lines, beat})),
                 found && found.next ? h('p', {role: 'status'}, 'More has these words: add one to see the rest.') : null);
    }
}

// Shelves: what stands where, by item, lot, use-by date and place. A line opens to its units.

import {Component, h} from '/vendor/preact/preact.js';
import {Tag, Trouble, UseBy} from './parts.js';
import {need} from './store.js';
import {plural} from './words.js';

/** The sum of the known contents; where none is known that is no amount, not 0. */
function content_words(line) {
    if (line.amount_unknown === line.units || line.amount_ml === null)
        return line.resin || line.lot ? 'amount unknown' : '';
    const known = `${Math.round(line.amount_ml)} ml`;
    return line.amount_unknown === 0 ? known : `${known} and ${plural(line.amount_unknown, 'unknown amount')}`;
}

function matches(unit, line) {
    return unit.item === line.item && unit.lot === line.lot && unit.place === line.place && unit.status === line.status &&
        unit.expires === line.expires && Boolean(unit.hold) === line.held && unit.labelled === line.labelled;
}

function line_key(line) {
    return [line.item, line.lot, line.expires, line.place, line.status, line.held, line.labelled].join('|');
}

function place_words(line) {
    return line.status === 'out' ? 'out' : line.place || 'not put away yet';
}

function LineTags({line}) {
    if (line.status !== 'out' && !line.held && line.labelled)
        return null;
    return h('span', {class: 'tags'},
             line.status === 'out' ? h(Tag, {look: 'plain'}, 'out') : null,
             line.held ? h(Tag, {look: 'hold'}, 'on hold') : null,
             line.labelled ? null : h(Tag, {look: 'wait'}, 'label not proved'));
}

function UnitLinks({units, line}) {
    const own = (units || []).filter(unit => matches(unit, line));
    return h('ul', {class: 'unit-links'}, own.map(unit =>
        h('li', {key: unit.serial}, h('a', {class: 'serial', href: `#/unit/${unit.serial}`}, unit.serial),
          unit.kind === 'vat' ? h('span', {class: 'quiet'}, unit.resin ? ` ${unit.resin}` : ' empty') : null,
          unit.printer ? h('span', {class: 'quiet'}, ` in ${unit.printer}`) : null)));
}

function StockLine({line, units, today}) {
    return h('tr', null,
             h('td', {'data-title': 'Lot'}, line.lot || h('span', {class: 'quiet'}, 'no lot')),
             h('td', {'data-title': 'Use by'}, line.expires ? h(UseBy, {day: line.expires, today}) : h('span', {class: 'quiet'}, 'no date')),
             h('td', {'data-title': 'Place'}, place_words(line)),
             h('td', {class: 'number', 'data-title': 'Units'}, String(line.units)),
             h('td', {'data-title': 'Content'}, content_words(line)),
             h('td', {'data-title': 'State'}, LineTags({line})),
             h('td', {'data-title': 'Which'}, h(UnitLinks, {units, line})));
}

const columns = ['Lot', 'Use by', 'Place', 'Units', 'Content', 'State', 'Which'];

function Item({name, code, lines, units, today}) {
    const total = lines.reduce((sum, line) => sum + line.units, 0);
    const usable = lines.filter(line => line.status === 'in' && !line.held && line.labelled &&
                                        (!line.expires || line.expires >= today))
        .reduce((sum, line) => sum + line.units, 0);
    return h('section', {class: 'panel stock-item'},
             h('h2', null, name || code, ' ', h('span', {class: 'quiet'}, code)),
             h('p', null, `${plural(total, 'unit')}, ${usable} ready to take`),
             h('div', {class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': `Stock of ${name || code}`},
               h('table', null,
                 h('thead', null, h('tr', null, columns.map(title => h('th', {scope: 'col', key: title}, title)))),
                 h('tbody', null, lines.map(line => h(StockLine, {key: line_key(line), line, units, today}))))));
}

function group(lines) {
    const items = new Map();
    for (const line of lines)
        items.set(line.item, [...(items.get(line.item) || []), line]);
    return [...items.entries()];
}

export class ShelvesPage extends Component {
    constructor(props) {
        super(props);
        this.state = {filter: ''};
    }

    componentDidMount() {
        need(['stock', 'units']);
    }

    found(lines, units) {
        const words = this.state.filter.toLowerCase().split(/\s+/).filter(Boolean);
        return lines.filter(line => {
            const own = units.filter(unit => matches(unit, line)).map(unit => `${unit.serial} ${unit.resin || ''}`);
            const text = [line.item, line.name, line.resin, line.lot, place_words(line), line.held ? 'on hold' : '',
                          line.labelled ? '' : 'label not proved', ...own].join(' ').toLowerCase();
            return words.every(word => text.includes(word));
        });
    }

    render({state}, {filter}) {
        const {stock, units} = state.tables;
        const items = stock ? group(this.found(stock, units || [])) : [];
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Shelves'),
                 h(Trouble, {text: state.problem}),
                 h('div', {class: 'field filter'}, h('label', {for: 'stock-filter'}, 'Show only'),
                   h('input', {id: 'stock-filter', autocomplete: 'off', value: filter,
                               placeholder: 'item, lot, place, serial, on hold\u2026',
                               onInput: event => this.setState({filter: event.target.value})})),
                 stock === undefined ? h('p', null, 'Reading\u2026')
                 : items.length === 0
                     ? h('p', {role: 'status'}, stock.length === 0 ? 'Nothing stands here yet: receive a delivery, or take on what is there (Room).'
                                                                   : 'Nothing here has these words.')
                     : items.map(([code, lines]) => h(Item, {key: code, code, name: lines[0].name, lines, units: units || [],
                                                             today: state.view.today})));
    }
}

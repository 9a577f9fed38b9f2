// Room: the people, printers, places and items the kiosk knows of, what already stands here, the date.

import {Component, h} from '/vendor/preact/preact.js';
import {Backups} from './backups.js';
import {Devices} from './devices.js';
import {item_card} from './item_card.js';
import {ItemSds} from './item_sds.js';
import {hours_of_item} from './items.js';
import {DoKey, Form, Tag, Trouble} from './parts.js';
import {Enrolment, People} from './people.js';
import {List} from './room_list.js';
import {act, need} from './store.js';
import {Substitutions} from './substitutions.js';
import {TakeOn} from './take_on.js';
import {day_words} from './words.js';

const KINDS = [['C', 'cartridge of resin'], ['R', 'bottle of resin'], ['V', 'vat'], ['P', 'platform'], ['W', 'waste container']];

async function told(kind, content) {
    return (await act(kind, content)).title;
}

function Printers({printers}) {
    return h('section', {class: 'panel'}, h('h2', null, 'Printers'),
             h(List, {rows: printers, find: 'printers', none: 'No printer is entered yet.'}, printer =>
                 h('li', {key: printer.code}, h('span', null, h('strong', null, printer.name || printer.code),
                                                ` (${printer.code}), ${printer.slots} cartridge slot${printer.slots === 1 ? '' : 's'}`))),
             h('h3', null, 'Enter a printer'),
             h(Form, {name: 'Enter a printer', word: 'Enter', done: content => told('printer-entry', content), fields: [
                 {name: 'code', label: 'Code', required: true, longest: 16, hint: 'Letters, digits and -, such as CAPSTAN.'},
                 {name: 'name', label: 'Name', required: true, longest: 48},
                 {name: 'slots', label: 'Cartridge slots', type: 'number', required: true, min: 0, max: 16, whole: true}]}));
}

function Places({places, printers}) {
    return h('section', {class: 'panel'}, h('h2', null, 'Places'),
             h(List, {rows: places, find: 'places', none: 'No place is entered yet.'}, place =>
                 h('li', {key: place.code}, h('span', null, h('strong', null, place.code), `, ${place.kind}`,
                                              place.printer ? ` of ${place.printer}` : '', place.name ? `, ${place.name}` : ''),
                   h(DoKey, {word: 'Print label', label: `Print the label of place ${place.code}`,
                             done: () => act('place-entry', {code: place.code, kind: place.kind, label: true,
                                                             ...(place.printer && {printer: place.printer}),
                                                             ...(place.name && {name: place.name})})}))),
             h('h3', null, 'Enter a place'),
             h(Form, {name: 'Enter a place', word: 'Enter', keep: ['kind', 'label'],
                      done: content => told('place-entry', content), fields: [
                 {name: 'code', label: 'Code', required: true, longest: 20, hint: 'Letters, digits and -, such as A01.'},
                 {name: 'kind', label: 'Kind', required: true,
                  options: [['shelf', 'shelf'], ['slot', 'slot of a printer'], ['counter', 'counter'], ['room', 'another room, to lend to']]},
                 {name: 'printer', label: 'Printer, of a slot', none: 'none',
                  options: (printers || []).map(printer => [printer.code, printer.name || printer.code])},
                 {name: 'name', label: 'Name', longest: 48},
                 {name: 'label', label: 'Print its label', type: 'flag'}]}));
}

// ---- items ----

const item_fields = [
    {name: 'code', label: 'Code', required: true, longest: 8, hint: 'Letters, digits and -, such as FLINT.'},
    {name: 'letter', label: 'What it is', required: true, options: KINDS},
    {name: 'name', label: 'Name', required: true, longest: 48},
    {name: 'resin', label: 'Resin type', longest: 32, hint: 'Of a cartridge or bottle: things of one type and revision may meet.'},
    {name: 'revision', label: 'Revision', longest: 16},
    {name: 'gtin', label: 'Number under the maker\u2019s code (GTIN)', longest: 14},
    {name: 'maker_code', label: 'Maker\u2019s item number', longest: 30},
    {name: 'fits', label: 'Fits printers', longest: 100, hint: 'Printer codes with a space between; empty: every printer.'},
    {name: 'content_ml', label: 'Content of a full one, ml', type: 'number', min: 0},
    {name: 'minimum_days', label: 'Days that must be left at receipt', type: 'number', min: 0, max: 3650, whole: true},
    {name: 'life_hours', label: 'Hours of light it lasts', type: 'number', min: 0},
    {name: 'density_g_ml', label: 'Density of the resin, g/ml', type: 'number', min: 0, max: 25, hint: 'SDS section 9; needed to weigh what is left.'},
    {name: 'stir_days', label: 'Days the resin may stand before it is stirred', type: 'number', min: 1, max: 3650, whole: true, hint: 'As the maker says.'},
    {name: 'inspect_hours', label: 'Hours of light between two inspections', type: 'number', min: 0, hint: 'Of a vat or platform.'},
    {name: 'surface_hours', label: 'Hours of light its removable surface lasts', type: 'number', min: 0, hint: 'Of a platform that has one.'},
];

function item_values(item) {
    return {...item, ...hours_of_item(item)};
}

class Items extends Component {
    constructor(props) {
        super(props);
        this.state = {chosen: null, sds: null};
        this.enter = this.enter.bind(this);
    }

    async enter(content) {
        const sentence = await told('item-entry', content);
        this.setState({chosen: null});
        return sentence;
    }

    choose_sds(code) {
        this.setState({sds: code}, () => document.getElementById('item-sds').scrollIntoView({block: 'start'}));
    }

    choose(item) {
        this.setState({chosen: item_values(item)});
        document.getElementById('item-form').scrollIntoView({block: 'start'});
    }

    render({items}, {chosen, sds}) {
        const spoken_of = (items || []).find(item => item.code === sds);
        return h('section', {class: 'panel'}, h('h2', null, 'Items'),
                 h(List, {rows: items, find: 'items', none: 'No item is entered yet.'}, item =>
                     h('li', {key: item.code},
                       h('span', null, h('strong', null, item.name || item.code), ` (${item.code}) `,
                         item.provisional ? h(Tag, {look: 'ask'}, 'provisional: units wait on hold') : null),
                       h('button', {type: 'button', class: 'key key-small', onClick: () => this.choose(item),
                                    'aria-label': `${item.provisional ? 'Complete' : 'Change'} ${item.name || item.code}`},
                         item.provisional ? 'Complete it' : 'Change'),
                       h(DoKey, {word: 'Card', label: `Card of ${item.name || item.code}, a PDF`, done: () => item_card(item)}),
                       item.provisional || !'CRW'.includes(item.letter) ? null : h('button', {type: 'button', class: 'key key-small', onClick: () => this.choose_sds(item.code),
                                    'aria-label': `Hazard label of ${item.name || item.code}`}, 'Hazard label'))),
                 spoken_of ? h(ItemSds, {item: spoken_of, key: sds, leave: () => this.setState({sds: null})}) : null,
                 h('h3', {id: 'item-form'}, chosen ? `${chosen.provisional ? 'Complete' : 'Change'} ${chosen.name || chosen.code}`
                                                    : 'Enter an item'),
                 h(Form, {name: 'Enter an item', word: chosen ? 'Keep this' : 'Enter', values: chosen, done: this.enter,
                          fields: item_fields.map(field => ({...field, fixed: Boolean(chosen) && field.name === 'code'}))}),
                 chosen ? h('button', {type: 'button', class: 'key key-small leave', onClick: () => this.setState({chosen: null})},
                            'Leave it as it was') : null);
    }
}

// ---- the date ----

function Clock({view}) {
    return h('section', {class: 'panel'}, h('h2', null, 'Date'),
             h('p', null, 'The kiosk says it is ', h('strong', null, day_words(view.today)), '. ',
               view.clock_trusted ? h(Tag, {look: 'good'}, 'confirmed') : h(Tag, {look: 'ask'}, 'not confirmed')),
             h(DoKey, {word: 'The date shown is right', look: 'key-plain', done: () => act('clock-confirm', {})}));
}

export class RoomPage extends Component {
    componentDidMount() {
        need(['printers', 'places', 'items', 'people', 'devices', 'health', 'substitutions']);
    }

    render({state}) {
        const {people, printers, places, items, devices, health, substitutions} = state.tables;
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Room'),
                 h(Trouble, {text: state.problem}),
                 state.enrolment && people ? h(Enrolment, {people}) : null,
                 h('p', null, 'A storekeeper enters what the room knows of: scan a storekeeper\u2019s badge first.'),
                 h('div', {class: 'columns'},
                   h('div', null, h(Clock, {view: state.view}), h(Backups, {health}), h(People, {people}), h(Printers, {printers}),
                     h(Devices, {devices, printers})),
                   h('div', null, h(Places, {places, printers}), h(Items, {items}),
                     h(Substitutions, {substitutions, items, people, today: state.view.today}),
                     items && places && items.length > 0 && places.length > 0 ? h(TakeOn, {items, places}) : null)));
    }
}

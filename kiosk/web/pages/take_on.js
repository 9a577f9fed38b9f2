// Taking on what already stands in the room, one thing at a time.

import {Component, h} from '/vendor/preact/preact.js';
import {Form, booked} from './parts.js';
import {act} from './store.js';

const FILMS = ['clear', 'fogged', 'dented', 'bits', 'leaking'];

function fields_of(items, places, unlikely) {
    const resins = items.filter(item => item.resin), stands = places.filter(place => place.kind !== 'slot' && place.kind !== 'room');
    return [
        {name: 'item', label: 'Item', required: true, options: items.map(item => [item.code, item.name || item.code])},
        {name: 'place', label: 'Where it stands', required: true,
         options: stands.map(place => [place.code, place.name ? `${place.code}, ${place.name}` : place.code])},
        {name: 'resin', label: 'Resin in a vat', none: 'none, or it is no vat', options: resins.map(item => [item.code, item.name || item.code])},
        {name: 'lot', label: 'Lot', longest: 20},
        {name: 'expires', label: 'Use by', type: 'day'},
        {name: 'filled', label: 'Filled on', type: 'day'},
        {name: 'amount_ml', label: 'Content, ml', type: 'number', min: 0},
        ...(unlikely ? [{name: 'sure', label: 'Yes, so much is in it', type: 'flag'}] : []),
        {name: 'hours', label: 'Hours of light so far', type: 'number', min: 0},
        {name: 'film', label: 'Film of a vat', options: FILMS},
    ];
}

/** An amount that is off by a thousand is asked about before it is booked. */
export class TakeOn extends Component {
    constructor(props) {
        super(props);
        this.state = {unlikely: false};
        this.take_on = this.take_on.bind(this);
    }

    async take_on({sure, ...content}) {
        const view = await act('take-on', {...content, ask: !sure});
        this.setState({unlikely: view.verdict === 'ask'});
        return booked(view);
    }

    render({items, places}, {unlikely}) {
        return h('section', {class: 'panel'}, h('h2', null, 'Take on what already stands here'),
                 h('p', null, 'One thing at a time; what nobody knows stays empty. Its label is printed. ',
                   h('a', {href: '#/stock-list'}, 'A whole spreadsheet at once')),
                 h(Form, {name: 'Take on', word: 'Take on', keep: ['item', 'lot', 'expires', 'place', 'resin'],
                          fields: fields_of(items, places, unlikely), done: this.take_on}));
    }
}

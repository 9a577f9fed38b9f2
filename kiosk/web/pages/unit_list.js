// Units of one lot or one place, a page at a time: which, where, what is against it.

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {Trouble, UseBy} from './parts.js';
import {UnitTags, where_words} from './units.js';
import {ml_words, resin_words} from './words.js';

const PAGE = 50, MOST = 500; // the kiosk gives 500 at once

function UnitRow({unit, named}) {
    return h('li', {class: 'unit-row'},
             h('a', {class: 'serial', href: `#/unit/${unit.serial}`}, unit.serial),
             named ? h('span', null, unit.name, unit.lot ? h('span', {class: 'quiet'}, `, lot ${unit.lot}`) : null) : h('span', null, where_words(unit)),
             named && unit.expires ? h(UseBy, {day: unit.expires, use_by: unit.use_by}) : null,
             h('span', {class: 'quiet'}, unit.resin ? `${unit.kind === 'vat' ? `${resin_words(unit)}, ` : ''}${ml_words(unit.amount_ml)}`
                                                    : unit.kind === 'vat' ? 'empty' : null),
             h(UnitTags, {unit}));
}

/** props: query (of /api/units), beat (another number: read again), named (also say what each is), none (a sentence). */
export class UnitList extends Component {
    constructor(props) {
        super(props);
        this.state = {units: null, next: null, trouble: null};
        this.more = this.more.bind(this);
    }

    componentDidMount() {
        this.load(PAGE);
    }

    componentDidUpdate(before) {
        if (before.beat !== this.props.beat || before.query !== this.props.query)
            this.load(Math.min(MOST, Math.max(PAGE, (this.state.units || []).length)));
    }

    /** The first `limit` afresh: what stood there may have gone. */
    async load(limit) {
        await this.ask(`limit=${limit}`, () => []);
    }

    more() {
        return this.ask(`limit=${PAGE}&after=${encodeURIComponent(this.state.next)}`, () => this.state.units);
    }

    async ask(page, before) {
        const number = this.number = (this.number || 0) + 1;
        try {
            const {units, next} = await read(`/api/units?${this.props.query}&${page}`);
            if (number === this.number)
                this.setState({units: [...before(), ...units], next, trouble: null});
        } catch (problem) {
            if (number === this.number)
                this.setState({trouble: problem.message});
        }
    }

    render({named, none}, {units, next, trouble}) {
        if (!units)
            return trouble ? h(Trouble, {text: trouble}) : h('p', null, 'Reading\u2026');
        return h('div', null,
                 h(Trouble, {text: trouble}),
                 units.length === 0 ? h('p', null, none || 'None of it is here any more.')
                     : h('ul', {class: 'unit-rows'}, units.map(unit => h(UnitRow, {key: unit.serial, unit, named}))),
                 next ? h('button', {type: 'button', class: 'key key-plain', onClick: this.more}, 'Show more') : null);
    }
}

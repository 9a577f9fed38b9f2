// What is looked after of one unit: its lives, here and on its printer's screen, when it was looked at, stirred, renewed; and
// the forms to say so.

import {Component, h} from '/vendor/preact/preact.js';
import {Lives} from './lives.js';
import {FILMS, Look, SURFACES} from './looks.js';
import {DoKey, Form, Noted, Trouble} from './parts.js';
import {act} from './store.js';
import {hours_left_words, hours_words, instant_words, plural} from './words.js';

function is_here(unit) {
    return unit.status === 'in' || unit.status === 'out';
}

/** "31 h of light of 500": what is known of both. */
function of_words(hours, life) {
    return life === null ? hours_words(hours) : `${hours_words(hours)}, of ${Math.round(life)} h`;
}

function days_since(instant) {
    return Math.floor((Date.now() - new Date(instant).getTime()) / 86400000);
}

function stood_words({stood_since, stir_days}) {
    if (!stood_since)
        return 'nobody knows since when';
    const days = days_since(stood_since);
    return `${days < 1 ? 'less than a day' : plural(days, 'day')}, since ${instant_words(stood_since)}` +
        (stir_days === null ? '' : `; stirred after ${plural(stir_days, 'day')}`);
}

/** The newest of its history that was not taken back, undefined: none. */
function last_shown({history}) {
    const back = new Set(history.filter(movement => movement.kind === 'correction').map(movement => movement.refers));
    return history.filter(movement => movement.kind === 'life-shown' && !back.has(movement.seq)).pop();
}

function shown_words({minutes, detail, at, person}, people) {
    const {left} = detail || {}, known = (people || []).find(row => row.serial === person);
    return `${hours_left_words(minutes)}, ${left === undefined ? 'our books did not know, and took it' : `by our books ${hours_left_words(left)} then`}; ` +
        `${instant_words(at)}, ${known ? known.name : person}`;
}

/** Rows of what wears and rests; nothing where nothing is looked after. */
export function Care({unit, people}) {
    const rows = [], shown = last_shown(unit);
    if (unit.life_hours !== null)
        rows.push([unit.kind === 'platform' ? 'Body' : 'Life', of_words(unit.hours, unit.life_hours)]);
    if (shown)
        rows.push(['Its printer', shown_words(shown, people)]);
    if (unit.kind === 'platform' && unit.surface_life_hours !== null)
        rows.push(['Surface', of_words(unit.surface_hours, unit.surface_life_hours)]);
    if (unit.inspect_hours !== null)
        rows.push(['Looked at', `${unit.inspected_hours === null ? 'not yet' : `${hours_words(unit.inspected_hours)} ago`}; every ${Math.round(unit.inspect_hours)} h is asked`]);
    if (unit.resin)
        rows.push(['Stands', stood_words(unit)]);
    if (!is_here(unit) || rows.length === 0)
        return null;
    return h('section', {class: 'panel'}, h('h2', null, 'Looked after'),
             h('dl', {class: 'rows'}, rows.map(([name, words]) =>
                 h('div', {class: 'row', key: name}, h('dt', null, name), h('dd', null, words)))),
             unit.life_hours !== null && /^(vat|platform)$/.test(unit.kind) ? h(Lives, {item: unit.item}) : null,
             unit.resin ? h(DoKey, {word: 'It was stirred', done: () => act('stir', {unit: unit.serial})}) : null,
             unit.kind === 'platform' ? h(DoKey, {word: 'It has a new surface', done: () => act('surface-renewed', {unit: unit.serial})}) : null);
}

/** What the printer shows of its life, beside what the books say; only where a life is rated. */
export function LifeShown({unit}) {
    if (!is_here(unit) || unit.life_hours === null || !/^(vat|platform)$/.test(unit.kind))
        return null;
    const fields = [{name: 'hours', label: 'The printer shows, hours left', type: 'number', min: 0, max: 100000, whole: true, required: true,
                     hint: 'As its own screen says, for what is in it now.'}];
    return h('section', {class: 'panel'}, h('h2', null, 'Life its printer shows'),
             h('p', null, 'Our hours stay as they are; where nobody knows them, they are taken from it. Where the two are far apart, the storekeeper is asked.'),
             h(Form, {name: `Life ${unit.serial}`, word: 'Book what it shows', fields,
                      done: async content => (await act('life-shown', {unit: unit.serial, ...content})).title}));
}

/** The label of the tray inside: scanned only while the case is open. */
export function Tray({unit}) {
    if (unit.kind !== 'vat' || unit.serial[0] !== 'V' || !is_here(unit))
        return null;
    return h('section', {class: 'panel'}, h('h2', null, 'Tray'),
             unit.pair ? h('p', null, 'The tray inside has the label ', h('a', {href: `#/unit/${unit.pair}`, class: 'serial'}, unit.pair), '.')
                       : h('p', null, 'Only its case has a label. A second one on the tray tells the two together while the case is open.'),
             unit.pair ? null : h(DoKey, {word: 'Label its tray', done: () => act('pair', {unit: unit.serial})}));
}

function Choice({name, type, value, words, picture, required}) {
    return h('label', {class: 'choice'}, h('input', {type, name, value, required}), h(Look, {name: picture}), h('span', null, words));
}

/** What was seen of a film or a surface. */
export class Inspect extends Component {
    constructor(props) {
        super(props);
        this.submit = this.submit.bind(this);
    }

    async submit(event) {
        event.preventDefault();
        const {unit} = this.props, form = event.target, data = new FormData(form);
        const content = {unit: unit.serial, ...Object.fromEntries(data)};
        this.setState({busy: true, trouble: null, noted: null});
        try {
            const view = await act('inspect', content);
            form.reset();
            this.setState({busy: false, noted: view.title});
        } catch (problem) {
            this.setState({busy: false, trouble: problem.message});
        }
    }

    render({unit}, {busy, trouble, noted}) {
        const vat = unit.kind === 'vat', key = vat ? 'film' : 'surface';
        if (!is_here(unit) || !/^(vat|platform)$/.test(unit.kind))
            return null;
        return h('section', {class: 'panel'}, h('h2', null, 'Inspect'),
                 h('p', null, vat ? 'Against the light, from above and below. A slack film on a large vat at rest is no fault.'
                                  : 'In good light, from the side.'),
                 h('form', {class: 'form', onSubmit: this.submit},
                   h('fieldset', {class: 'choices'}, h('legend', null, vat ? 'How is its film?' : 'How is its surface?'),
                     (vat ? FILMS : SURFACES).map(([value, words]) =>
                         h(Choice, {key: value, type: 'radio', name: key, value, words, picture: `${key}-${value}`, required: true}))),
                   vat ? h('fieldset', {class: 'choices'}, h('legend', null, 'And besides'),
                           h(Choice, {type: 'checkbox', name: 'mixer', value: 'missing', words: 'Mixer is missing', picture: 'mixer-missing'}),
                           h(Choice, {type: 'checkbox', name: 'float', value: 'stuck', words: 'Level float is stuck', picture: 'float-stuck'})) : null,
                   h('button', {type: 'submit', class: 'key key-main', disabled: busy}, 'Book the inspection')),
                 h(Trouble, {text: trouble}), h(Noted, {text: noted}));
    }
}

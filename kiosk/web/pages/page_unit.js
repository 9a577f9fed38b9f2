// One unit: what is known of it, what happened to it, hold and release.

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {Care, Inspect, LifeShown, Tray} from './care.js';
import {DoKey, Form, Trouble, booked} from './parts.js';
import {act, need} from './store.js';
import {UnitRows, UnitTags, kept_words} from './units.js';
import {HOLD_REASONS, OUTLET_REASONS, RETIRE_REASONS, instant_words, movement_words, word_words} from './words.js';

/** The unit, and what happened to it: behind what is known already, which never changes. */
async function read_unit(serial, history) {
    history = [...history];
    let unit, after = history.length > 0 ? history[history.length - 1].seq : 0;
    do {
        unit = await read(`/api/units/${encodeURIComponent(serial)}?after=${after}`);
        history.push(...unit.history);
        after = unit.history_after;
    } while (after);
    return {...unit, history};
}

function History({unit, people}) {
    const names = new Map((people || []).map(person => [person.serial, person.name]));
    return h('section', {class: 'panel'}, h('h2', null, 'What happened'),
             h('ol', {class: 'history', reversed: true}, [...unit.history].reverse().map(movement =>
                 h('li', {key: movement.seq},
                   h('p', null, movement_words(movement, names)),
                   h('p', {class: 'quiet'}, instant_words(movement.at), movement.trusted ? '' : ', clock not confirmed',
                     ` \u00B7 movement ${movement.seq}`)))));
}

function Hold({unit}) {
    if (unit.hold)
        return h('section', {class: 'panel'}, h('h2', null, 'On hold'),
                 h('p', null, `Reason: ${word_words(unit.hold)}. A storekeeper releases it, with the PIN.`),
                 h(DoKey, {word: 'Release it', look: 'key-main', done: () => act('release', {unit: unit.serial})}));
    return h('section', {class: 'panel'}, h('h2', null, 'Put on hold'),
             h('p', null, 'Anyone may put a thing on hold; a storekeeper releases it, with the PIN.'),
             h(Form, {name: `Hold ${unit.serial}`, word: 'Put on hold',
                      fields: [{name: 'reason', label: 'Reason', required: true, options: unit.kind === 'cartridge' ? [...HOLD_REASONS, ...OUTLET_REASONS] : HOLD_REASONS}],
                      done: async content => (await act('hold', {unit: unit.serial, ...content})).title}));
}

/** For a person or for a job, until a day or until it is freed. Who has it now keeps it. */
function Keep({unit, people}) {
    if (unit.status !== 'in' && unit.status !== 'out')
        return null;
    if (unit.reserved_for)
        return h('section', {class: 'panel'}, h('h2', null, 'Kept'), h('p', null, `It is ${kept_words(unit)}.`),
                 h(DoKey, {word: 'Free it', look: 'key-main', done: () => act('unreserve', {unit: unit.serial})}));
    const fields = [
        {name: 'person', label: 'For a person', none: 'for a job', aside: '',
         options: (people || []).filter(person => person.role !== 'left' && person.role !== 'auditor')
             .map(person => [person.serial, person.name || person.serial])},
        {name: 'job', label: 'Or for a job', longest: 32, aside: '', hint: 'Its code, such as KQ-1042.'},
        {name: 'until', label: 'Last day', type: 'day', aside: '', hint: 'Left empty: until somebody frees it.'},
    ];
    return h('section', {class: 'panel'}, h('h2', null, 'Keep for\u2026'),
             h('p', null, 'Nobody else takes it then, unless a storekeeper overrules that.'),
             h(Form, {name: `Keep ${unit.serial}`, word: 'Keep it', fields, done: async ({person, job, until}) => {
                 if (Boolean(person) === Boolean(job))
                     throw new Error('Say one of them: a person, or a job\u2019s code.');
                 return (await act('reserve', {unit: unit.serial, for: person || job, ...(until && {until})})).title;
             }}));
}

/** Asked about, it is weighed again, or it is so. */
class Weigh extends Component {
    render({unit}, {differs}) {
        if (!/^(vat|cartridge|bottle)$/.test(unit.kind) || (unit.status !== 'in' && unit.status !== 'out'))
            return null;
        const fields = [
            {name: 'gross_g', label: 'The scale shows, g', type: 'number', min: 0, required: true},
            {name: 'tare_g', label: 'It weighs when empty, g', type: 'number', min: 0, hint: 'Left empty: as it was weighed or said before.'},
            {name: 'empty', label: 'It is empty: this is what it weighs when empty', type: 'flag'},
            ...(differs ? [{name: 'confirm', label: 'It was weighed again, and it is so', type: 'flag'}] : []),
        ];
        return h('section', {class: 'panel'}, h('h2', null, 'Weigh'),
                 h(Form, {name: `Weigh ${unit.serial}`, word: 'Book the weight', fields, done: async content => {
                     const view = await act('weigh', {unit: unit.serial, ...content});
                     this.setState({differs: view.verdict === 'ask'});
                     return booked(view);
                 }}));
    }
}

/** Asked about (litres for millilitres?), it is said again, or it is so. */
class Amount extends Component {
    render({unit}, {unlikely}) {
        if (!/^(vat|cartridge|bottle)$/.test(unit.kind) || !unit.resin || (unit.status !== 'in' && unit.status !== 'out'))
            return null;
        const fields = [
            {name: 'amount_ml', label: 'So much is in it, ml', type: 'number', min: 0, required: true},
            ...(unlikely ? [{name: 'confirm', label: 'Yes, it is so', type: 'flag'}] : []),
        ];
        return h('section', {class: 'panel'}, h('h2', null, 'Say what is in it'),
                 h(Form, {name: `Amount ${unit.serial}`, word: 'Book the amount', fields, done: async content => {
                     const view = await act('amount', {unit: unit.serial, ...content});
                     this.setState({unlikely: view.verdict === 'ask'});
                     return booked(view);
                 }}));
    }
}

function Retired({unit}) {
    return h('section', {class: 'panel'}, h('h2', null, 'End of service'),
             unit.heir ? h('p', null, 'Its resin is in ', h('a', {href: `#/unit/${unit.heir}`, class: 'serial'}, unit.heir), '.') : null,
             unit.status === 'gone' ? h('p', null, 'It has left the room.')
                 : h(DoKey, {word: 'It has left the room', done: () => act('dispose', {unit: unit.serial})}));
}

function may_be_overruled(view) {
    return view.verdict === 'stop' && view.reasons.every(reason => reason.overruled_by !== 'nobody');
}

/** Reasons that the kiosk gave are the act's answer: its title is shown, and nothing was booked. A stop that a storekeeper
 *  may overrule has a key for that, which asks for the PIN. */
class Retire extends Component {
    constructor(props) {
        super(props);
        this.state = {stopped: null};
        this.retire = this.retire.bind(this);
    }

    async retire(content) {
        const whole = {unit: this.props.unit.serial, confirm: true, ...content};
        const view = await act('retire', whole);
        this.setState({stopped: may_be_overruled(view) ? whole : null});
        return booked(view);
    }

    render({unit}, {stopped}) {
        if (unit.status === 'relabelled')
            return null;
        if (unit.status === 'retired' || unit.status === 'gone')
            return h(Retired, {unit});
        const fresh = unit.resin && unit.amount_ml !== 0
            ? [{name: 'to', label: 'Fresh vat that takes its resin', hint: 'Its serial. Left empty: it was emptied and cleaned before.'}] : [];
        return h('section', {class: 'panel'}, h('h2', null, 'Retire'),
                 h('p', null, 'It is not used any more, and its labels say so when they turn up.'),
                 h(Form, {name: `Retire ${unit.serial}`, word: 'Retire it',
                          fields: [{name: 'reason', label: 'Reason', required: true, options: RETIRE_REASONS}, ...fresh],
                          done: this.retire}),
                 stopped ? h(DoKey, {word: 'Storekeeper overrules', look: 'key-grave',
                                     done: () => act('retire', {...stopped, overrule: true})}) : null);
    }
}

/** Its label: printed again while it is in hand; a new serial when it is gone. */
class Label extends Component {
    async lost(confirm) {
        const view = await act('relabel', {unit: this.props.unit.serial, ...(confirm && {confirm: true})});
        const asked = !confirm && view.verdict === 'ask';
        this.setState({asked: asked ? view.title : null, said: asked ? null : view.title}); // a stop is said too
    }

    render({unit}, {asked, said}) {
        if (unit.status === 'relabelled')
            return h('section', {class: 'panel'}, h('h2', null, 'Label'),
                     h('p', null, 'Its label was given up as lost, and alarms where it is scanned. The thing is ',
                       h('a', {href: `#/unit/${unit.heir}`, class: 'serial'}, unit.heir), ' now.'));
        return h('section', {class: 'panel'}, h('h2', null, 'Label'),
                 h('p', null, unit.labelled ? 'Its label was scanned back.'
                                            : 'Its label was not scanned back yet: stick it on and scan it.'),
                 h(DoKey, {word: 'Reprint the label', look: 'key-plain', done: () => act('reprint', {unit: unit.serial})}),
                 unit.labelled && (unit.status === 'in' || unit.status === 'out') && !asked
                     ? h(DoKey, {word: 'Its label is lost', look: 'key-plain', done: () => this.lost(false)}) : null,
                 asked ? h('p', {role: 'status'}, asked, ' While it is in hand, torn or unreadable, reprint it instead.') : null,
                 asked ? h(DoKey, {word: 'It is gone: a new serial and label', look: 'key-main', done: () => this.lost(true)}) : null,
                 said ? h('p', {role: 'status'}, said) : null);
    }
}

export class UnitPage extends Component {
    constructor(props) {
        super(props);
        this.state = {unit: null, trouble: null};
        this.changed = this.changed.bind(this);
    }

    componentDidMount() {
        need(['people'], this.changed);
        this.reload();
    }

    changed(movements) {
        const {serial} = this.props;
        if (!movements)
            this.reload([]);
        else if (movements.some(movement => movement.unit === serial || movement.other === serial))
            this.reload();
    }

    async reload(known) {
        const serial = this.props.serial, number = this.number = (this.number || 0) + 1;
        try {
            const unit = await read_unit(serial, known || (this.state.unit ? this.state.unit.history : []));
            if (number === this.number)
                this.setState({unit, trouble: null});
        } catch (problem) {
            this.setState({trouble: problem.message});
        }
    }

    render({state, serial}, {unit, trouble}) {
        return h('main', {class: 'page', id: 'main'},
                 h('p', null, h('a', {href: '#/shelves'}, 'Shelves')),
                 h('h1', null, unit ? `${unit.name} ` : 'Unit ', h('span', {class: 'serial'}, serial)),
                 h(Trouble, {text: trouble || state.problem}),
                 unit ? h('div', {class: 'columns'},
                          h('div', null,
                            h('section', {class: 'panel'}, h('h2', null, 'What is known'), h(UnitTags, {unit}),
                              h(UnitRows, {unit})),
                            h(Label, {unit}),
                            h(Care, {unit, people: state.tables.people}), h(LifeShown, {unit}), h(Inspect, {unit}), h(Weigh, {unit}), h(Amount, {unit}),
                            unit.status === 'tray' ? null : [h(Tray, {unit}), h(Hold, {unit}),
                                                             h(Keep, {unit, people: state.tables.people}), h(Retire, {unit})]),
                          h('div', null, h(History, {unit, people: state.tables.people})))
                 : trouble ? null : h('p', null, 'Reading\u2026'));
    }
}

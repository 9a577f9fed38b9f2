// The people of the room: who they are, what they may do, their badges and PINs; and how a room gets its first one.

import {Component, h} from '/vendor/preact/preact.js';
import {DoKey, Form, Tag} from './parts.js';
import {List} from './room_list.js';
import {act, enrol, set} from './store.js';

const ROLES = ['technician', 'receiver', 'counter', 'storekeeper', 'auditor'];
const TRAININGS = [['pour', 'may pour resin'], ['retire', 'may retire a vat']];

/** An answer with a new PIN: the PIN is told; without one it was lost on the way. */
function tell_pin(answer, name) {
    if (answer.pin)
        set({pin_told: {name, pin: answer.pin}});
    return answer.pin ? answer.title : 'The PIN was made, and its answer was lost on the way: issue another one.';
}

// ---- erasing a name ----

/** Two steps: the key, then what it means and a key that does it. */
class EraseName extends Component {
    constructor(props) {
        super(props);
        this.state = {asked: false};
        this.ask = this.ask.bind(this);
        this.leave = this.leave.bind(this);
    }

    ask() {
        this.setState({asked: true});
    }

    leave() {
        this.setState({asked: false});
    }

    render({person}, {asked}) {
        if (!asked)
            return h('button', {type: 'button', class: 'key key-small', onClick: this.ask,
                                'aria-label': `Erase the name of ${person.name}`}, 'Erase name');
        return h('div', {class: 'erase', role: 'group', 'aria-label': `Erase the name of ${person.name}`},
                 h('p', null, 'For somebody who has left. The kiosk forgets the name ', h('strong', null, person.name),
                   ' for ever, and the badge opens nothing any more; what was done stays, under ',
                   h('span', {class: 'serial'}, person.serial), '. Backups and exports made before still hold the name: ',
                   'delete those that you need not keep.'),
                 h(DoKey, {word: 'Erase the name for ever', look: 'key-grave', done: async () => {
                     await act('name-erase', {person: person.serial});
                     this.leave();
                 }}),
                 h('button', {type: 'button', class: 'key key-plain', onClick: this.leave}, 'Leave it'));
    }
}

// ---- one person ----

function PersonKeys({person, change}) {
    const name = person.name || person.serial;
    if (person.role === 'left')
        return null;
    return h('div', {class: 'person-keys'},
             h('button', {type: 'button', class: 'key key-small', onClick: change, 'aria-label': `Change ${name}`}, 'Change'),
             person.role === 'storekeeper' ? h(DoKey, {word: 'New PIN', label: `Issue a new PIN to ${name}`,
                 done: async () => tell_pin(await act('pin-issue', {person: person.serial}), name)}) : null,
             h(DoKey, {word: 'Reprint badge', label: `Reprint the badge of ${name}`,
                       done: () => act('reprint', {unit: person.serial})}),
             h(EraseName, {person}));
}

function PersonRow({person, change}) {
    return h('li', null,
             h('span', null, h('strong', null, person.name || 'name erased'), `, ${person.role} `, h('span', {class: 'serial'}, person.serial), ' ',
               TRAININGS.filter(([word]) => person.training.includes(word)).map(([word, words]) => h(Tag, {look: 'plain', key: word}, words))),
             h(PersonKeys, {person, change, key: `${person.serial} ${person.role}`}));
}

export class People extends Component {
    constructor(props) {
        super(props);
        this.state = {chosen: null};
        this.enter = this.enter.bind(this);
    }

    async enter({name, role, pour, retire}) {
        const {chosen} = this.state;
        const training = [pour && 'pour', retire && 'retire'].filter(Boolean);
        const {title} = await act('person-entry', {name, role, training, ...(chosen && {serial: chosen.serial})});
        this.setState({chosen: null});
        return title;
    }

    change(person) {
        this.setState({chosen: {...person, pour: person.training.includes('pour'), retire: person.training.includes('retire')}});
        document.getElementById('person-form').scrollIntoView({block: 'start'});
    }

    render({people}, {chosen}) {
        return h('section', {class: 'panel'}, h('h2', null, 'People'),
                 h(List, {rows: people, find: 'people', none: 'Nobody is entered yet. The first person is a storekeeper.'},
                   person => h(PersonRow, {person, key: person.serial, change: () => this.change(person)})),
                 h('h3', {id: 'person-form'}, chosen ? `Change ${chosen.name || chosen.serial}` : 'Enter a person'),
                 h(Form, {name: 'Enter a person', word: chosen ? 'Keep this' : 'Enter', values: chosen, done: this.enter, fields: [
                     {name: 'name', label: 'First name', required: true, longest: 48},
                     {name: 'role', label: 'Role', required: true, options: ROLES},
                     ...TRAININGS.map(([word, words]) => ({name: word, label: `Trained: ${words}`, type: 'flag'}))]}),
                 chosen ? h('button', {type: 'button', class: 'key key-small leave', onClick: () => this.setState({chosen: null})},
                            'Leave it as it was') : null);
    }
}

// ---- the first one ----

/** With the code that the kiosk wrote where it was started: the first storekeeper, or somebody's first PIN. */
export function Enrolment({people}) {
    const storekeepers = people.filter(person => person.role === 'storekeeper'), first = storekeepers.length === 0;
    const who = first ? {name: 'name', label: 'First name of the storekeeper', required: true, longest: 48}
        : {name: 'person', label: 'Who gets the PIN', required: true, options: storekeepers.map(person => [person.serial, person.name || person.serial])};
    return h('section', {class: 'panel enrolment'}, h('h2', null, first ? 'The first storekeeper' : 'A PIN by the code'),
             h('p', null, first ? 'This room is new. ' : '', 'The kiosk wrote a code where it was started: in its terminal, and in a file beside ',
               'its ledger that only its owner can read. Whoever has it gets a PIN, which is shown once; then the code counts no more.'),
             h(Form, {name: 'Enrol', word: first ? 'Enter the first storekeeper' : 'Make the PIN', done: async ({code, ...content}) => {
                 const name = content.name || storekeepers.find(person => person.serial === content.person).name;
                 return tell_pin(await enrol(content, code), name || content.person);
             }, fields: [who, {name: 'code', label: 'Code from the kiosk\u2019s terminal', required: true, longest: 9, hint: 'Eight letters and digits, such as K7PW-3MXA.', raised: true}]}));
}

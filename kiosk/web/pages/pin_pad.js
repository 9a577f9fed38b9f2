// A storekeeper's PIN: ten large keys for gloves, the same from a keyboard; the digits are never shown. And a new PIN,
// told once.

import {Component, h} from '/vendor/preact/preact.js';
import {Trouble} from './parts.js';
import {set, state} from './store.js';

const DIGITS = 6;
const SCANNER_MS = 1000; // what follows a letter so soon was typed by a scanner, not by a person

/** Over the page, with the focus inside until it is answered. props: title, leave(), children. */
class Dialog extends Component {
    constructor(props) {
        super(props);
        this.key_down = this.key_down.bind(this);
        this.take_box = box => { this.box = box; };
    }

    componentDidMount() {
        this.before = document.activeElement;
        this.box.focus();
        document.addEventListener('keydown', this.key_down, true);
    }

    componentWillUnmount() {
        document.removeEventListener('keydown', this.key_down, true);
        if (this.before && this.before.isConnected)
            this.before.focus({preventScroll: true});
    }

    key_down(event) {
        const open = [...this.box.querySelectorAll('button:not(:disabled), select')];
        if (event.key === 'Tab' && open.length > 0) { // round within
            const at = open.indexOf(document.activeElement);
            const next = event.shiftKey ? (at <= 0 ? open.length - 1 : at - 1) : (at + 1) % open.length;
            event.preventDefault();
            open[next].focus();
        } else if (event.key === 'Escape') {
            event.preventDefault();
            this.props.leave();
        } else if (this.props.typed) {
            this.props.typed(event);
        }
    }

    render({title, children}) {
        return h('div', {class: 'shade'},
                 h('div', {class: 'dialog', role: 'dialog', 'aria-modal': 'true', 'aria-labelledby': 'dialog-title', tabIndex: -1,
                           ref: this.take_box},
                   h('h2', {id: 'dialog-title'}, title), children));
    }
}

/** Asks for what `state.pin_asked` {sentence, trouble, person, answer(approval or null)} wants. */
export class PinPad extends Component {
    constructor(props) {
        super(props);
        this.state = {digits: '', trouble: null, person: props.asked.person || ''};
        this.typed = this.typed.bind(this);
        this.approve = this.approve.bind(this);
        this.leave = () => this.props.asked.answer(null);
        this.scanner_until = 0;
    }

    /** Who may approve: whoever is signed in first. */
    storekeepers() {
        return (state.tables.people || []).filter(person => person.role === 'storekeeper');
    }

    person() {
        const all = this.storekeepers(), here = state.view && state.view.person;
        const chosen = all.find(person => person.serial === this.state.person) ||
            all.find(person => here && person.serial === here.serial) || all[0];
        return chosen ? chosen.serial : '';
    }

    add(digit) {
        const {digits} = this.state;
        if (digits.length < DIGITS)
            this.setState({digits: digits + digit, trouble: null});
        else // a scanner's, or a slip: nothing is tried with it
            this.setState({digits: '', trouble: 'A PIN has six digits: begin again.'});
    }

    take_back() {
        this.setState({digits: this.state.digits.slice(0, -1)});
    }

    typed(event) {
        if (event.ctrlKey || event.altKey || event.metaKey || event.target.tagName === 'SELECT')
            return;
        if (event.key === 'Enter' && event.target.tagName !== 'BUTTON') {
            event.preventDefault();
            this.approve();
        } else if (event.key === 'Backspace') {
            event.preventDefault();
            this.take_back();
        } else if (event.key.length === 1 && event.key !== ' ') {
            event.preventDefault();
            if (!/\d/.test(event.key)) {
                this.scanner_until = Date.now() + SCANNER_MS;
                this.setState({digits: ''});
            } else if (Date.now() > this.scanner_until) {
                this.add(event.key);
            }
        }
    }

    approve() {
        const {digits} = this.state, person = this.person();
        if (digits.length < DIGITS || !person) {
            this.setState({trouble: person ? 'A PIN has six digits.' : 'No storekeeper is entered.'});
            return;
        }
        this.setState({digits: ''});
        this.props.asked.answer({person, pin: digits});
    }

    render({asked}, {digits, trouble}) {
        const all = this.storekeepers(), chosen = this.person();
        return h(Dialog, {title: 'A storekeeper approves', leave: this.leave, typed: this.typed},
                 h('p', {class: 'pin-why'}, asked.sentence),
                 h('div', {class: 'field'}, h('label', {for: 'pin-person'}, 'Whose PIN'),
                   h('select', {id: 'pin-person', value: chosen, onChange: event => this.setState({person: event.target.value, digits: ''})},
                     all.map(person => h('option', {value: person.serial, key: person.serial}, person.name || person.serial)))),
                 h('p', {class: 'pin-dots', role: 'status'},
                   h('span', {'aria-hidden': 'true'}, '\u25CF'.repeat(digits.length) + '\u25CB'.repeat(DIGITS - digits.length)),
                   h('span', {class: 'unseen'}, `${digits.length} of 6 digits`)),
                 h(Trouble, {text: trouble || asked.trouble}),
                 h('div', {class: 'pin-keys', role: 'group', 'aria-label': 'Digits'},
                   [1, 2, 3, 4, 5, 6, 7, 8, 9].map(digit => h('button', {
                       key: digit, type: 'button', class: 'key key-digit', 'data-digit': digit, onClick: () => this.add(String(digit))},
                       String(digit))),
                   h('button', {type: 'button', class: 'key key-digit key-plain', 'aria-label': 'Take the last digit back', onClick: () => this.take_back()}, '\u232B'),
                   h('button', {type: 'button', class: 'key key-digit', 'data-digit': 0, onClick: () => this.add('0')}, '0'),
                   h('button', {type: 'button', class: 'key key-digit key-main', onClick: this.approve}, 'OK')),
                 h('button', {type: 'button', class: 'key key-plain', onClick: this.leave}, 'Leave it'));
    }
}

/** A PIN that was made just now: `state.pin_told` {name, pin}. */
export function PinTold({told}) {
    const leave = () => set({pin_told: null});
    return h(Dialog, {title: `The PIN of ${told.name}`, leave},
             h('p', {class: 'pin-told', 'aria-label': told.pin.split('').join(' ')}, `${told.pin.slice(0, 3)} ${told.pin.slice(3)}`),
             h('p', null, 'It is shown this once, and stands nowhere. Write it down for the one it is for, and nobody else.'),
             h('button', {type: 'button', class: 'key key-main', onClick: leave}, 'It is written down'));
}

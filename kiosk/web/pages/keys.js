// The keys of the counter: the cards that mean something now, printers and shelves as if they were scanned, amounts.

import {Component, h} from '/vendor/preact/preact.js';
import {Look} from './looks.js';
import {press, scan, state} from './store.js';

const CALM_MS = 350; // a second tap within this is the tail of the first, and other keys may stand there by now

const looks = {YES: 'key-main', TAKEN: 'key-grave', OVERRULE: 'key-grave', HOLD: 'key-grave'};
let last_tap = 0;

/** Runs `done` unless it is the echo of the tap before. */
export function tap(done) {
    const now = performance.now();
    if (state.pressed || now - last_tap < CALM_MS)
        return;
    last_tap = now;
    done();
}

function Key({word, label, quantity, step}) {
    return h('button', {type: 'button', class: `key ${looks[word] || 'key-plain'}`, 'data-word': word,
                        'aria-busy': state.pressed === word ? 'true' : null,
                        onClick: () => tap(() => press(word, quantity ? {quantity} : {}))},
             h(Look, {name: word}),
             h('span', {class: 'key-label'}, quantity && step === 'receipt' ? `${label} ${quantity}` : label),
             h('span', {class: 'key-word'}, word));
}

/** The cards of the view. `quantity` goes with YES. */
export function Keys({view, quantity}) {
    const keys = view.keys.filter(key => key.word !== 'UNDO');
    if (keys.length === 0)
        return null;
    return h('div', {class: keys.length > 4 || (keys.length === 3 && keys[0].word !== 'YES') ? 'keys keys-narrow' : 'keys', role: 'group', 'aria-label': 'Answers'},
             keys.map(key => h(Key, {key: key.word, word: key.word, label: key.label, step: view.step,
                                     quantity: key.quantity ? quantity : null})));
}

export function UndoKey({view}) {
    if (!view.undo)
        return null;
    return h('button', {type: 'button', class: 'key key-undo', 'data-word': 'UNDO', onClick: () => tap(() => press('UNDO'))},
             h('svg', {class: 'undo-mark', viewBox: '0 0 32 32', 'aria-hidden': 'true', focusable: 'false'},
               h('path', {d: 'M6 13h14a7 7 0 0 1 0 14h-8M6 13l7-7M6 13l7 7'})),
             h('span', {class: 'key-label'}, 'Undo: ', view.undo.sentence), h('span', {class: 'key-word'}, 'UNDO'));
}

function ScanKey({code, label, quiet, title}) {
    return h('button', {type: 'button', class: 'key key-plain', 'data-scan': code, title: title || null,
                        onClick: () => tap(() => scan(code))},
             h('span', {class: 'key-label'}, label), quiet ? h('span', {class: 'key-word'}, quiet) : null);
}

/** The kiosk counts up to 20. */
function in_it(count) {
    return count === 0 ? 'empty' : count < 20 ? `${count} in it` : `${count} or more in it`;
}

/** Printers, while a group waits for one. */
export function PrinterKeys({printers}) {
    if (!printers || printers.length === 0)
        return null;
    return h('div', null, h('h2', {id: 'to-printer'}, 'To which printer?'),
             h('div', {class: 'keys keys-narrow', role: 'group', 'aria-labelledby': 'to-printer'}, printers.map(printer =>
                 h(ScanKey, {key: printer.code, code: printer.code, label: printer.name || printer.code,
                             quiet: in_it(printer.units_count)}))));
}

/** Other rooms, while a group could be lent to one. */
export function RoomKeys({places}) {
    const rooms = (places || []).filter(place => place.kind === 'room');
    if (rooms.length === 0)
        return null;
    return h('div', null, h('h2', {id: 'to-room'}, 'Or lent to another room?'),
             h('div', {class: 'keys keys-narrow', role: 'group', 'aria-labelledby': 'to-room'}, rooms.map(room =>
                 h(ScanKey, {key: room.code, code: room.code, label: room.name || room.code}))));
}

const SHELF_KEYS = 36; // more are no keys to choose from: then the shelf is scanned, or its first letters typed

/** Shelves, while things wait for one. */
export class ShelfKeys extends Component {
    render({places, title}, {typed}) {
        const shelves = (places || []).filter(place => place.kind === 'shelf');
        if (shelves.length === 0)
            return null;
        const begins = (typed || '').toUpperCase();
        const found = shelves.filter(place => place.code.startsWith(begins)), few = found.slice(0, SHELF_KEYS);
        return h('div', null, h('h2', {id: 'to-shelf'}, title),
                 shelves.length > SHELF_KEYS
                     ? h('div', {class: 'field shelf-begins'}, h('label', {for: 'shelf-begins'}, 'Scan the shelf, or its code begins with'),
                         h('input', {id: 'shelf-begins', autocomplete: 'off', spellcheck: false, value: typed || '', maxLength: 20,
                                     onInput: event => this.setState({typed: event.target.value.trim()})})) : null,
                 few.length === 0 ? h('p', {role: 'status'}, `No shelf begins with ${begins}.`) : null,
                 h('div', {class: 'keys keys-tight', role: 'group', 'aria-labelledby': 'to-shelf'}, few.map(place =>
                     h(ScanKey, {key: place.code, code: place.code, label: place.code, title: place.name}))),
                 few.length < found.length ? h('p', {class: 'quiet'}, `and ${found.length - few.length} more`) : null);
    }
}

/** How much is left in the last thing scanned: the amount cards, or a typed number. */
export class AmountKeys extends Component {
    constructor(props) {
        super(props);
        this.say = this.say.bind(this);
    }

    say(event) {
        event.preventDefault();
        const number = Number(this.box.value.replace(',', '.'));
        if (this.box.value.trim() === '' || !Number.isInteger(number) || number < 0 || number > 1000000) {
            this.box.setCustomValidity('A whole number of millilitres, 0 to 1000000.');
            this.box.reportValidity();
            return;
        }
        this.box.value = '';
        press(`${number}ML`);
    }

    render({unit}) {
        return h('div', null, h('h2', {id: 'how-much'}, `What is left in ${unit.name} ${unit.serial}?`),
                 h('div', {class: 'keys keys-tight', role: 'group', 'aria-labelledby': 'how-much'},
                   [0, 100, 250, 500, 750].map(ml => h('button', {
                       key: ml, type: 'button', class: 'key key-plain', 'data-word': `${ml}ML`,
                       onClick: () => tap(() => press(`${ml}ML`))},
                       h('span', {class: 'key-label'}, `${ml} ml`)))),
                 h('form', {class: 'typed-number', onSubmit: this.say},
                   h('label', {for: 'typed-ml'}, 'or millilitres'),
                   h('input', {id: 'typed-ml', inputMode: 'numeric', autocomplete: 'off', 'data-only': 'digits', ref: box => { this.box = box; },
                               onInput: () => this.box.setCustomValidity('')}),
                   h('button', {type: 'submit', class: 'key key-plain'}, 'Say it')));
    }
}

/** A whole number as the card of it would say it: 12H, 640ML. props: label, ending, most. */
export class TypedCard extends Component {
    constructor(props) {
        super(props);
        this.say = this.say.bind(this);
    }

    say(event) {
        event.preventDefault();
        const {ending, most} = this.props, number = Number(this.box.value.trim() || NaN);
        if (!Number.isInteger(number) || number < 0 || number > most) {
            this.box.setCustomValidity(`A whole number, 0 to ${most}.`);
            this.box.reportValidity();
            return;
        }
        this.box.value = '';
        press(`${number}${ending}`);
    }

    render({label, ending}) {
        const id = `typed-${ending}`;
        return h('form', {class: 'typed-number', onSubmit: this.say},
                 h('label', {for: id}, label),
                 h('input', {id, inputMode: 'numeric', autocomplete: 'off', 'data-only': 'digits', ref: box => { this.box = box; },
                             onInput: () => this.box.setCustomValidity('')}),
                 h('button', {type: 'submit', class: 'key key-plain'}, 'Say it'));
    }
}

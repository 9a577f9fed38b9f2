// The box that every scan and every typed code goes through. A scanner that types like a keyboard may be faster than
// the kiosk: what Enter ends is taken out of the box at once and queued. Control characters come as Ctrl with a key
// (ASCII: code = key's code - 64); they are shown by their picture in the box and sent as themselves.

import {Component, h} from '/vendor/preact/preact.js';
import {scan, state} from './store.js';

const controls = {']': '\u241D', '^': '\u241E', '6': '\u241E', 'd': '\u2404', '\\': '\u241C', '_': '\u241F'};
const LONGEST = 4096; // what one scan may hold

/** The pictures of control characters (U+2400 to U+241F) back to the characters themselves. */
export function unpicture(text) {
    return text.replace(/[\u2400-\u241F]/g, picture => String.fromCharCode(picture.charCodeAt(0) - 0x2400));
}

function takes_text(element) {
    return element instanceof HTMLElement &&
        (element.isContentEditable || /^(TEXTAREA|SELECT)$/.test(element.tagName) ||
         (element.tagName === 'INPUT' && !/^(checkbox|radio|button|submit)$/.test(element.type)));
}

/** A letter in a box for digits only is a scanner's, not a person's. */
function is_misplaced(event) {
    return event.target.dataset.only === 'digits' && event.key.length === 1 && /\D/.test(event.key);
}

export class ScanBox extends Component {
    constructor(props) {
        super(props);
        this.key_down = this.key_down.bind(this);
        this.focus_lost = this.focus_lost.bind(this);
        this.submit = this.submit.bind(this);
        this.take_box = box => { this.box = box; };
    }

    componentDidMount() {
        document.addEventListener('keydown', this.key_down, true);
        document.addEventListener('focusout', this.focus_lost);
        this.keep_focus();
    }

    componentWillUnmount() {
        document.removeEventListener('keydown', this.key_down, true);
        document.removeEventListener('focusout', this.focus_lost);
    }

    componentDidUpdate() {
        this.keep_focus();
    }

    /** At the counter the box has the focus whenever nothing else wants it. */
    keep_focus() {
        const open = document.activeElement;
        if (this.props.always && !state.pin_asked && !state.pin_told && (!open || open === document.body || !open.isConnected))
            this.box.focus({preventScroll: true});
    }

    focus_lost() {
        setTimeout(() => this.keep_focus(), 0);
    }

    insert(text) {
        this.box.focus({preventScroll: true});
        this.box.setRangeText(text, this.box.selectionStart, this.box.selectionEnd, 'end');
    }

    /** A scanner may type while a key or a link has the focus: the text still comes here. */
    key_down(event) {
        const here = event.target === this.box;
        if (state.pin_asked || state.pin_told) // a PIN is no scan
            return;
        if (!here && takes_text(event.target) && !is_misplaced(event))
            return;
        if (event.ctrlKey && !event.altKey && !event.metaKey) {
            const picture = controls[event.key.toLowerCase()];
            if (picture) {
                event.preventDefault();
                this.insert(picture);
            } else if (/^[mj]$/i.test(event.key) && this.box.value) {
                event.preventDefault();
                this.submit();
            }
        } else if (!here && event.key.length === 1 && event.key !== ' ' && !event.altKey && !event.metaKey) {
            this.box.focus({preventScroll: true}); // the character itself follows
        } else if (here && event.key === 'Escape') {
            this.box.value = '';
        } else if (event.key === 'Enter' && (here || event.target === document.body)) {
            event.preventDefault();
            this.submit();
        }
    }

    submit(event) {
        if (event)
            event.preventDefault();
        const text = unpicture(this.box.value);
        this.box.value = '';
        this.box.inputMode = 'none';
        if (text.trim() !== '')
            scan(text);
    }

    render({waiting}) {
        return h('form', {class: 'scan-box', onSubmit: this.submit, role: 'search'},
                 h('label', {for: 'scan'}, 'Scan or type'),
                 h('input', {id: 'scan', ref: this.take_box, type: 'text', maxLength: LONGEST, autocomplete: 'off',
                             autocapitalize: 'off', spellcheck: false,
                             // a touch screen shows its keyboard only when somebody touches the box itself
                             inputMode: 'none', onPointerDown: () => { this.box.inputMode = 'text'; }}),
                 h('button', {type: 'submit', class: 'key key-enter'}, 'Enter'),
                 h('span', {class: 'scan-waiting', role: 'status'},
                   waiting > 1 ? `${waiting} wait for an answer` : ''));
    }
}

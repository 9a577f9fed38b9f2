// Small parts that every page uses.

import {Component, h} from '/vendor/preact/preact.js';
import {day_words, days_words} from './words.js';

// ---- states: shape, word and colour ----

const shapes = {
    go: h => [h('circle', {cx: 32, cy: 32, r: 28, class: 'body'}),
              h('path', {d: 'M18 33l10 10 18-21', class: 'mark'})],
    ask: h => [h('path', {d: 'M32 3l29 29-29 29L3 32z', class: 'body'}),
               h('path', {d: 'M25 25c0-9 14-9 14 0 0 6-7 6-7 12M32 45v1', class: 'mark'})],
    stop: h => [h('path', {d: 'M21 4h22l17 17v22L43 60H21L4 43V21z', class: 'body'}),
                h('path', {d: 'M20 20l24 24M44 20L20 44', class: 'mark'})],
    none: h => [h('rect', {x: 6, y: 14, width: 52, height: 36, rx: 8, class: 'body'}),
                h('path', {d: 'M18 24v16M26 24v16M34 24v16M40 24v16M46 24v16', class: 'mark'})],
};

/** The shape of a state; the word always stands beside it, so it is silent for screen readers. */
export function Shape({name}) {
    return h('svg', {class: `shape shape-${name}`, viewBox: '0 0 64 64', 'aria-hidden': 'true', focusable: 'false'},
             (shapes[name] || shapes.none)(h));
}

const tag_marks = {hold: '\u25A0', wait: '\u25B3', good: '\u25CF', ask: '\u25C6', plain: '\u25CB'};

/** A small state in a list: a mark of its own shape, and the word. */
export function Tag({look, children}) {
    return h('span', {class: `tag tag-${look}`},
             h('span', {class: 'tag-mark', 'aria-hidden': 'true'}, tag_marks[look]), ' ', children);
}

/** A use-by day and what the kiosk says of it. props: day, use_by {state, days_left}. */
export function UseBy({day, use_by}) {
    if (!day)
        return h('span', null, 'no use-by date');
    const look = {expired: 'hold', soon: 'ask'}[use_by.state], words = days_words(use_by);
    return h('span', {class: 'use-by'}, day_words(day), ' ',
             look ? h(Tag, {look}, words) : h('span', {class: 'quiet'}, words));
}

// ---- what opens ----

/** A key as wide as its list that opens what stands below it. props: open, controls (id of that), change(). */
export function OpenKey({open, controls, change, children}) {
    return h('button', {type: 'button', class: 'key key-open', 'aria-expanded': open ? 'true' : 'false',
                        'aria-controls': open ? controls : null, onClick: change},
             h('svg', {class: 'open-mark', viewBox: '0 0 24 24', 'aria-hidden': 'true', focusable: 'false'},
               h('path', {d: open ? 'M4 8l8 9 8-9' : 'M8 4l9 8-9 8'})),
             h('span', {class: 'open-words'}, children));
}

// ---- sentences ----

export function Trouble({text}) {
    return text ? h('p', {class: 'trouble', role: 'alert'}, h(Shape, {name: 'stop'}), h('span', null, text)) : null;
}

export function Noted({text}) {
    return text ? h('p', {class: 'noted', role: 'status'}, h(Shape, {name: 'go'}), h('span', null, text)) : null;
}

/** What a form's done() throws when the kiosk asks: nothing was booked, and what was typed stays. */
export class Question extends Error {}

/** What the kiosk says of an act, for its form: a question or a stop is shown as what it is. */
export function booked(view) {
    if (view.verdict === 'ask')
        throw new Question(view.title);
    if (view.verdict === 'stop')
        throw new Error(view.title);
    return view.title;
}

export function Asked({text}) {
    return text ? h('p', {class: 'asked', role: 'alert'}, h(Shape, {name: 'ask'}), h('span', null, text)) : null;
}

// ---- forms ----

function option(choice) {
    const [value, words] = Array.isArray(choice) ? choice : [choice, choice];
    return h('option', {value}, words);
}

function Field({field, id, value}) {
    const common = {id, name: field.name, required: field.required, 'aria-describedby': field.hint ? `${id}-hint` : null};
    let box;
    if (field.options)
        box = h('select', common, field.required ? null : h('option', {value: ''}, field.none || 'not said'),
                field.options.map(option));
    else if (field.type === 'flag')
        box = h('input', {...common, type: 'checkbox', required: false, defaultChecked: Boolean(value)});
    else if (field.type === 'lines')
        box = h('textarea', {...common, rows: 4, maxLength: field.longest || null, autocomplete: 'off', spellcheck: false});
    else if (field.type === 'day')
        box = h('input', {...common, placeholder: 'YYYY-MM-DD', pattern: '[0-9]{4}-[0-9]{2}-[0-9]{2}', maxLength: 10,
                          inputMode: 'numeric', autocomplete: 'off', title: 'Year-month-day, such as 2027-10-31'});
    else
        box = h('input', {...common, type: field.type || 'text', inputMode: field.type === 'number' ? 'decimal' : null,
                          step: field.type === 'number' && !field.whole ? 'any' : null, min: field.min, max: field.max,
                          maxLength: field.longest || null, autocomplete: 'off', spellcheck: false,
                          readOnly: Boolean(field.fixed)});
    return h('div', {class: field.type === 'flag' ? 'field field-flag' : 'field'},
             h('label', {for: id}, field.label, field.required || field.type === 'flag' || field.aside === '' ? null : h('span', {class: 'quiet'}, ` (${field.aside || 'if known'})`)), box,
             field.hint ? h('p', {class: 'hint', id: `${id}-hint`}, field.hint) : null);
}

function read_field(form, field) {
    const box = form.elements.namedItem(field.name);
    if (field.type === 'flag')
        return box.checked || undefined;
    const text = box.value.trim();
    if (text === '')
        return undefined;
    if (field.type === 'lines') // "one|two" to the kiosk, a line each to a person
        return text.split('\n').map(line => line.trim()).filter(Boolean).join('|');
    if (field.raised)
        return text.toUpperCase();
    return field.type === 'number' ? Number(text) : text;
}

/** A form for one act. props: name, fields [{name, label, type, options, required, hint}], values, word (on the key),
 *  keep: names of fields that stay filled, done(content) -> promise of the sentence to show. */
export class Form extends Component {
    constructor(props) {
        super(props);
        this.state = {trouble: null, asked: null, noted: null, busy: false};
        this.submit = this.submit.bind(this);
        this.take_form = form => { this.form = form; };
    }

    componentDidMount() {
        this.fill(this.props.values || {});
    }

    componentDidUpdate(before) { // another row is to be changed
        if (before.values !== this.props.values) {
            this.form.reset();
            this.fill(this.props.values || {});
        }
    }

    fill(values) {
        for (const field of this.props.fields) {
            const value = values[field.name];
            const box = this.form.elements.namedItem(field.name);
            if (!box || value === undefined || value === null)
                continue;
            if (field.type === 'flag')
                box.checked = Boolean(value);
            else
                box.value = field.type === 'lines' ? value.split('|').join('\n') : value;
        }
    }

    async submit(event) {
        event.preventDefault();
        if (this.state.busy)
            return;
        const content = {};
        for (const field of this.props.fields) {
            const value = read_field(this.form, field);
            if (value !== undefined)
                content[field.name] = value;
        }
        this.setState({busy: true, trouble: null, asked: null, noted: null});
        try {
            const noted = await this.props.done(content);
            const kept = Object.fromEntries((this.props.keep || []).map(name => [name, content[name]]));
            this.form.reset();
            this.fill(kept);
            this.setState({busy: false, noted});
        } catch (problem) {
            this.setState({busy: false, [problem instanceof Question ? 'asked' : 'trouble']: problem.message});
        }
    }

    render({name, fields, word, children}, {trouble, asked, noted, busy}) {
        return h('form', {class: 'form', onSubmit: this.submit, ref: this.take_form, 'aria-label': name},
                 fields.map(field => h(Field, {field, id: `${name}-${field.name}`.replace(/\W+/g, '-'), key: field.name})),
                 children, h(Trouble, {text: trouble}), h(Asked, {text: asked}), h(Noted, {text: noted}),
                 h('button', {class: 'key key-main', type: 'submit', disabled: busy}, word));
    }
}

/** A key that does one act at once and shows its trouble beside it. props: word, look, done() -> promise. */
export class DoKey extends Component {
    constructor(props) {
        super(props);
        this.state = {busy: false, trouble: null};
        this.run = this.run.bind(this);
    }

    async run() {
        if (this.state.busy)
            return;
        this.setState({busy: true, trouble: null});
        try {
            await this.props.done();
            this.setState({busy: false});
        } catch (problem) {
            this.setState({busy: false, trouble: problem.message});
        }
    }

    render({word, look, label}, {busy, trouble}) {
        return h('div', {class: 'do-key'},
                 h('button', {type: 'button', class: `key ${look || 'key-small'}`, disabled: busy, onClick: this.run,
                              'aria-label': label || null}, word),
                 h(Trouble, {text: trouble}));
    }
}

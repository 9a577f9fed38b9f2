// One label template as text, with its picture beside it while it is typed.

import {Component, h} from '/vendor/preact/preact.js';
import {delete_once, post_for_picture, put_once, read} from './api.js';
import {DoKey, Noted, Shape, Tag, Trouble} from './parts.js';
import {fields_of, sample_values} from './template_samples.js';

const TYPED_MS = 250;     // a picture is asked for when nobody has typed for so long
const DOT_PX = 4;         // one dot of the printer, magnified
const WIDEST_PX = 12000;  // larger pictures are magnified less
const NOTE_PX = 168;       // the longest sentence is whole at the text's foot too
const RESOLUTIONS = [203, 300, 600];
const drafts = new Map(); // name -> what was typed and not saved; another page may be looked at meanwhile

// ---- the picture ----

/** Keys of which one is pressed. props: name, choices [[value, words]], chosen, choose(value). */
function Choice({name, choices, chosen, choose}) {
    return h('div', {class: 'tpl-choice', role: 'group', 'aria-label': name}, choices.map(([value, words]) =>
        h('button', {type: 'button', class: 'key', key: value, 'aria-pressed': value === chosen ? 'true' : 'false',
                     onClick: () => choose(value)}, words)));
}

/** props: url, wide and high (dots), width_mm, height_mm, look ("true" or "dots"), stale. */
function Picture({url, wide, high, width_mm, height_mm, look, stale, name}) {
    const dot = Math.max(1, Math.min(DOT_PX, Math.floor(WIDEST_PX / Math.max(wide, high))));
    const style = look === 'dots' ? {width: `${wide * dot}px`, height: `${high * dot}px`}
                                  : {width: `${width_mm}mm`, height: `${height_mm}mm`};
    return h('div', {class: 'tpl-paper', tabindex: 0, role: 'group', 'aria-label': 'The label, scroll to see all of it'},
             h('img', {src: url, alt: `Label ${name} with the sample fields`, class: `tpl-label tpl-${look}${stale ? ' tpl-stale' : ''}`, style,
                       'data-wide': wide, 'data-high': high}));
}

function size_of(url) {
    return new Promise((done, failed) => {
        const image = new Image();
        image.onload = () => done({wide: image.naturalWidth, high: image.naturalHeight});
        image.onerror = () => failed(new Error('The picture of the label cannot be shown: try again.'));
        image.src = url;
    });
}

// ---- the text ----

/** A plain text box with its lines' numbers; the sentence of the check stands beside the line it speaks of. */
class TextBox extends Component {
    constructor(props) {
        super(props);
        this.state = {top: 0};
        this.scrolled = event => this.setState({top: event.target.scrollTop});
    }

    render({text, trouble, line, change}, {top}) {
        const lines = text.split('\n').length;
        return h('div', {class: 'tpl-text'},
                 h('div', {class: 'tpl-numbers', 'aria-hidden': 'true'},
                   h('div', {style: {transform: `translateY(${-top}px)`}}, Array.from({length: lines}, (unused, i) =>
                     h('div', {key: i, class: i + 1 === line ? 'tpl-bad' : null}, i + 1 === line ? `\u25C6 ${i + 1}` : String(i + 1))))),
                 h('textarea', {id: 'tpl-text', value: text, spellcheck: false, autocomplete: 'off', wrap: 'off', maxLength: 32768,
                                'aria-label': 'The template\u2019s text', 'aria-invalid': trouble ? 'true' : null,
                                'aria-describedby': trouble ? 'tpl-trouble' : null,
                                onScroll: this.scrolled, onInput: event => change(event.target.value)}),
                 h('div', {class: 'tpl-notes'}, trouble && line
                   ? h('p', {id: 'tpl-trouble', class: 'tpl-note', role: 'status', style: {top: `max(0px, min(calc(${line - 1} * 1.5em - ${top}px), calc(100% - ${NOTE_PX}px)))`}},
                       h('strong', null, `\u25C6 Line ${line} `), trouble) : null));
    }
}

function without_place(sentence) {
    return sentence.replace(/^template '[a-z0-9-]+' line [0-9]+: /, '');
}

/** Two steps: the key, then what it means and a key that does it. */
class BackToShipped extends Component {
    render({row, run}, {asked}) {
        const words = row.shipped ? 'Back to the shipped one' : 'Remove this one';
        if (!asked)
            return h('button', {type: 'button', class: 'key', onClick: () => this.setState({asked: true})}, words);
        return h('div', {class: 'tpl-sure', role: 'group', 'aria-label': words},
                 h('p', null, row.shipped ? 'Labels are then drawn as they were shipped. ' : 'There is no shipped one of this name. ',
                   'Your text stays in the folder as ', h('span', {class: 'serial'}, `${row.name}.label~`), '.'),
                 h(DoKey, {word: words, look: 'key-grave', done: run}),
                 h('button', {type: 'button', class: 'key', onClick: () => this.setState({asked: false})}, 'Leave it'));
    }
}

// ---- all of it ----

/** props: name, fields (every name there is), may_save, changed() after a save, close(). */
export class TemplateEditor extends Component {
    constructor(props) {
        super(props);
        this.state = {row: null, text: '', values: {}, dpi: RESOLUTIONS[0], look: 'true', url: null, trouble: null, line: null,
                      said: null, noted: null, aside: null};
        this.number = 0;
        this.type = this.type.bind(this);
        this.save = this.save.bind(this);
        this.back = this.back.bind(this);
        this.other = this.other.bind(this);
    }

    componentDidMount() {
        this.load(drafts.get(this.props.name));
    }

    componentWillUnmount() {
        clearTimeout(this.timer);
        this.number++;
        if (this.state.url)
            URL.revokeObjectURL(this.state.url);
    }

    async load(draft) {
        try {
            const row = await read(`/api/templates/${this.props.name}`);
            if (row.text === null) {
                this.setState({said: `${row.trouble}`});
                return;
            }
            const text = draft ? draft.text : row.text;
            const names = fields_of(row, text, this.props.fields);
            this.setState({row, text, digest: draft ? draft.digest : row.digest, values: {...sample_values(row.name, names), ...this.state.values}, said: null});
            this.draw_soon(0);
        } catch (problem) {
            this.setState({said: problem.message});
        }
    }

    type(text) {
        drafts.set(this.props.name, {text, digest: this.state.digest});
        const missing = fields_of(this.state.row, text, this.props.fields).filter(name => this.state.values[name] === undefined);
        this.setState({text, noted: null, values: {...sample_values(this.props.name, missing), ...this.state.values}});
        this.draw_soon(TYPED_MS);
    }

    draw_soon(ms) {
        clearTimeout(this.timer);
        this.timer = setTimeout(() => this.draw(), ms);
    }

    async draw() {
        const number = ++this.number, {text, values, dpi, row} = this.state;
        let url = null, unused = null; // one of the two pictures, the old or the new, is not shown any more
        try {
            url = URL.createObjectURL(await post_for_picture('/api/templates/preview', {name: row.name, text, fields: values, dpi}));
            const size = await size_of(url);
            unused = url;
            if (number === this.number) { // else a newer one is on its way
                unused = this.state.url;
                this.setState({url, ...size, drawn_dpi: dpi, trouble: null, line: null});
            }
        } catch (problem) {
            unused = url;
            if (number === this.number)
                this.setState({trouble: problem.message, line: problem.line});
        }
        if (unused)
            URL.revokeObjectURL(unused);
    }

    choose(change) {
        this.setState(change);
        this.draw_soon(0);
    }

    async save() {
        const {row, text, digest} = this.state;
        try {
            await put_once(`/api/templates/${row.name}`, {text, seen: digest});
        } catch (problem) {
            if (problem.code === 'conflict')
                this.setState({aside: text});
            throw problem;
        }
        drafts.delete(row.name);
        this.setState({noted: 'Saved as the shop\u2019s own: the next labels are drawn so.', aside: null});
        await this.load();
        this.props.changed();
    }

    async back() {
        const {row, digest} = this.state;
        await delete_once(`/api/templates/${row.name}?seen=${digest}`);
        drafts.delete(row.name);
        this.setState({noted: row.shipped ? 'The shipped one counts again.' : 'Removed.'});
        this.props.changed();
        if (row.shipped)
            await this.load();
        else
            this.props.close();
    }

    /** After a conflict: the text that counts now, while what was typed is kept at hand. */
    async other() {
        drafts.delete(this.props.name);
        await this.load();
    }

    preview({row, url, wide, high, drawn_dpi, dpi, look, trouble, line}) {
        const width_mm = wide / drawn_dpi * 25.4, height_mm = high / drawn_dpi * 25.4;
        return h('section', {class: 'panel tpl-preview', 'aria-label': 'How it looks'},
                 h('div', {class: 'tpl-choices'},
                   h(Choice, {name: 'Dots an inch', chosen: dpi, choices: RESOLUTIONS.map(value => [value, `${value} dpi`]),
                              choose: value => this.choose({dpi: value})}),
                   h(Choice, {name: 'How large', chosen: look, choices: [['true', 'True size'], ['dots', 'Every dot']],
                              choose: value => this.setState({look: value})})),
                 url ? h(Picture, {url, wide, high, width_mm, height_mm, look, name: row.name, stale: Boolean(trouble)}) : null,
                 url ? h('p', {class: 'quiet'}, `${wide} x ${high} dots, ${width_mm.toFixed(1)} x ${height_mm.toFixed(1)} mm`,
                         trouble ? '; the last text that could be drawn' : '', look === 'true' ? '; true when the screen says its size rightly' : '') : null,
                 trouble && !line ? h(Trouble, {text: trouble}) : null);
    }

    samples({row, text, values}) {
        const names = fields_of(row, text, this.props.fields);
        return h('section', {class: 'panel', 'aria-label': 'Sample fields'}, h('h2', null, 'Sample fields'),
                 h('p', {class: 'quiet'}, 'Only for looking: nothing is booked or printed.'),
                 h('div', {class: 'tpl-fields'}, names.map(name => h('div', {class: 'field', key: name},
                     h('label', {for: `tpl-${name}`}, name, (row.needs || []).includes(name) ? null : h('span', {class: 'quiet'}, ' (may be empty)')),
                     h('input', {id: `tpl-${name}`, value: values[name] || '', autocomplete: 'off', spellcheck: false, maxLength: 120,
                                 onInput: event => {
                                     this.setState({values: {...this.state.values, [name]: event.target.value}});
                                     this.draw_soon(TYPED_MS);
                                 }})))));
    }

    keys({row, text, line, trouble, aside}) {
        const changed = text !== row.text;
        const broken = Boolean(line && trouble);
        return h('div', {class: 'tpl-keys'},
                 this.props.may_save && changed && !broken ? h(DoKey, {word: 'Save as ours', look: 'key-main', done: this.save})
                     : h('button', {type: 'button', class: 'key key-main', disabled: true}, 'Save as ours'),
                 changed ? h('button', {type: 'button', class: 'key', onClick: this.other}, aside === null ? 'Drop my changes' : 'Show the text that counts now') : null,
                 aside !== null && text !== aside ? h('button', {type: 'button', class: 'key', onClick: () => this.type(aside)}, 'Put back what I typed') : null,
                 row.own && this.props.may_save ? h(BackToShipped, {row, run: this.back}) : null,
                 this.props.may_save ? null : h('p', {class: 'quiet'}, 'Nothing can be saved: the kiosk\u2019s configuration names no folder for the shop\u2019s own templates (own-templates under [labels]).'));
    }

    render({close}, state) {
        const {row, text, trouble, line, said, noted} = state;
        return h('section', {class: 'tpl-editor', 'aria-label': `Template ${this.props.name}`},
                 h('div', {class: 'tpl-head'}, h('h2', null, this.props.name, ' ', row ? h(Tag, {look: row.own ? 'good' : 'plain'}, row.own ? 'the shop\u2019s own' : 'as shipped') : null),
                   h('button', {type: 'button', class: 'key', onClick: close}, 'All templates')),
                 h(Trouble, {text: said}), h(Noted, {text: noted}),
                 row ? this.preview(state) : null,
                 row ? h('section', {class: 'panel', 'aria-label': 'Text'},
                   h('h2', null, 'Text ', line && trouble ? h(Tag, {look: 'hold'}, `line ${line} is wrong`) : h(Tag, {look: 'good'}, 'makes sense')),
                   h(TextBox, {text, trouble: trouble && without_place(trouble), line, change: this.type}),
                   this.keys(state)) : null,
                 row ? this.samples(state) : null,
                 !row && !said ? h('p', null, h(Shape, {name: 'none'}), 'Reading\u2026') : null);
    }
}

// Label templates: every label there is, how it looks and where to stick it; one of them opened is edited.

import {Component, h} from '/vendor/preact/preact.js';
import {post_for_picture, read} from './api.js';
import {Tag, Trouble} from './parts.js';
import {TemplateEditor} from './template_editor.js';
import {sample_values} from './template_samples.js';

const MM_PX = 5;                      // of the pictures in the list, the same for all but the largest
const WIDEST_PX = 420, HIGHEST_PX = 300;
const LIST_DPI = 203, PDF_DPI = 600;

function picture_size({width_mm, height_mm}) {
    const scale = Math.min(MM_PX, WIDEST_PX / width_mm, HIGHEST_PX / height_mm);
    return {width: `${Math.round(width_mm * scale)}px`, height: `${Math.round(height_mm * scale)}px`};
}

const PAPERS = {'297x210': 'A4, ', '279.4x215.9': 'US Letter, '}; // ISO 216; ANSI/ASME Y14.1, size A
const paper_of = row => PAPERS[`${row.width_mm}x${row.height_mm}`];

const SIZED = /-\d+x\d+$/; // the same label for another roll

/** Templates of one label, the plain one first, then by size. */
function by_label(templates) {
    const labels = new Map();
    for (const row of templates) {
        const label = row.name.replace(SIZED, '');
        labels.set(label, [...(labels.get(label) || []), row]);
    }
    const area = row => SIZED.test(row.name) ? row.width_mm * row.height_mm : 0;
    return [...labels].map(([label, rows]) => [label, rows.sort((one, two) => area(one) - area(two))]);
}

/** One label in all its sizes, of which one is looked at. props: label, rows, edit(row). */
class Sizes extends Component {
    render({label, rows, edit}, {chosen}) {
        const row = rows.find(row => row.name === chosen) || rows[0];
        return h('li', {class: 'panel tpl-card'},
                 h('h2', null, label),
                 rows.length > 1 ? h('div', {class: 'tpl-choice', role: 'group', 'aria-label': `Size of ${label}`}, rows.map(size =>
                     h('button', {key: size.name, type: 'button', class: 'key', 'aria-pressed': size === row ? 'true' : 'false',
                                  onClick: () => this.setState({chosen: size.name})},
                       size.trouble ? size.name : `${paper_of(size) || ''}${size.width_mm} x ${size.height_mm}`))) : null,
                 h(Label, {key: row.name, row, edit: () => edit(row)}));
    }
}

/** How a label looks, drawn from the text that counts. props: row, edit(). */
class Label extends Component {
    componentDidMount() {
        this.draw();
    }

    componentWillUnmount() {
        this.gone = true;
        for (const url of [this.state.url, this.state.pdf])
            if (url)
                URL.revokeObjectURL(url);
    }

    async draw() {
        const {row} = this.props;
        if (row.trouble)
            return;
        try {
            const {text} = await read(`/api/templates/${row.name}`);
            const body = {name: row.name, text, fields: sample_values(row.name, [...row.needs, ...row.takes])};
            const picture = await post_for_picture('/api/templates/preview', {...body, dpi: LIST_DPI});
            if (!this.gone)
                this.setState({url: URL.createObjectURL(picture)});
            if (paper_of(row) && !this.gone)
                await this.make_pdf(body);
        } catch (problem) {
            if (!this.gone)
                this.setState({trouble: problem.message});
        }
    }

    /** A sheet's cards are real ones: only a demo marks them, by itself. */
    async make_pdf({fields, ...body}) {
        const pdf = await post_for_picture('/api/templates/preview', {...body, fields: {...fields, sample: ''}, dpi: PDF_DPI, format: 'pdf'});
        if (!this.gone)
            this.setState({pdf: URL.createObjectURL(pdf)});
    }

    render({row, edit}, {url, pdf, trouble}) {
        return h('div', {class: 'tpl-look'},
                 h('p', {class: 'tags'}, row.own ? h(Tag, {look: 'good'}, 'the shop\u2019s own') : h(Tag, {look: 'plain'}, 'as shipped'),
                   row.trouble ? h(Tag, {look: 'hold'}, 'broken: no label is drawn') : null),
                 row.trouble ? h(Trouble, {text: row.trouble}) : h('p', {class: 'quiet'}, `${row.width_mm} x ${row.height_mm} mm`),
                 h(Trouble, {text: trouble}),
                 pdf ? h('p', null, h('a', {class: 'key key-plain key-link', href: pdf, download: `${row.name}.pdf`}, `PDF for an office printer, ${paper_of(row)}print at 100 %`)) : null,
                 url ? h('img', {class: 'tpl-label', src: url, alt: `Label ${row.name}`, style: picture_size(row)}) : null,
                 h('div', {class: 'tpl-where'},
                   row.picture ? h('img', {src: `/api/templates/pictures/${row.picture}.svg`, alt: `Where to stick the label ${row.name}`}) : null,
                   row.where ? h('p', null, h('strong', null, 'Where to stick it: '), row.where) : null),
                 h('button', {type: 'button', class: 'key', onClick: edit, 'aria-label': `Look at and change ${row.name}`}, 'Look at, change'));
    }
}

export class TemplatesPage extends Component {
    constructor(props) {
        super(props);
        this.state = {list: null, open: null, trouble: null, beat: 0};
        this.load = this.load.bind(this);
        this.close = this.close.bind(this);
    }

    componentDidMount() {
        this.load();
    }

    async load() {
        try {
            this.setState({list: await read('/api/templates'), trouble: null, beat: this.state.beat + 1});
        } catch (problem) {
            this.setState({trouble: problem.message});
        }
    }

    close() {
        this.setState({open: null});
        this.load();
    }

    render({state}, {list, open, trouble, beat}) {
        return h('main', {class: 'page tpl', id: 'main'},
                 h('h1', null, 'Label templates'),
                 h(Trouble, {text: state.problem || trouble}),
                 !list && !trouble ? h('p', null, 'Reading\u2026') : null,
                 list && open ? h(TemplateEditor, {key: open, name: open, fields: list.fields, may_save: list.may_save, changed: this.load, close: this.close}) : null,
                 list && !open ? h('p', null, 'The printer\u2019s roll decides which size is printed. All are shown in one scale but for sheets. Change a text, look at it, save it as the shop\u2019s own: the labels that wait are drawn from it too.') : null,
                 list && list.more ? h('p', {role: 'status'}, 'There are more templates than fit into this list: move the ones you do not use out of the folder.') : null,
                 list && !open ? h('ul', {class: 'tpl-list'}, by_label(list.templates).map(([label, rows]) =>
                     h(Sizes, {key: `${label} ${beat}`, label, rows, edit: row => this.setState({open: row.name})}))) : null);
    }
}

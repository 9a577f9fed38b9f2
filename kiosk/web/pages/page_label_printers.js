// Label printers: how each is calibrated, how its labels came out, whether it drifts, whether its head leaves a streak.

import {Component, h} from '/vendor/preact/preact.js';
import {post_picture} from './api.js';
import {DoKey, Form, Shape, Tag, Trouble} from './parts.js';
import {act, need} from './store.js';
import {day_words, plural} from './words.js';

const STANDING = 'process-control estimate, ISO/IEC 15415-style, uncalibrated';
const USUAL = 'label-printer';

// ---- plots ----

const plots = [ // key, words, greatest value drawn, limit for printing a label again; values are thousandths
    {key: 'modulation', words: 'Modulation', most: 1000, least: 400},
    {key: 'unused', words: 'Error correction unused', most: 1000, least: 750},
    {key: 'fixed', words: 'Fixed pattern, level', most: 4, least: 3},
];
const WIDE = 360, HIGH = 110, EDGE = 8;

/** The newest stand on the right. Points past the limit are squares, the others discs. */
function Plot({words, values, most, least, baseline}) {
    const known = values.map((value, i) => [i, value]).filter(([, value]) => value !== null);
    const x = i => EDGE + (WIDE - 2 * EDGE) * (values.length < 2 ? 1 : i / (values.length - 1));
    const y = value => EDGE + (HIGH - 2 * EDGE) * (1 - Math.min(Math.max(value / most, 0), 1));
    const told = value => most === 4 ? String(value) : (value / 1000).toFixed(2);
    const last = known.length > 0 ? known[known.length - 1][1] : null;
    return h('figure', {class: 'plot'},
             h('figcaption', null, h('strong', null, words), ' ',
               last === null ? 'not measured' : `now ${told(last)}`,
               baseline === null || baseline === undefined ? '' : `, baseline ${told(baseline)}`, `, limit ${told(least)}`),
             h('svg', {viewBox: `0 0 ${WIDE} ${HIGH}`, role: 'img', 'aria-label': `${words} of the last ${plural(known.length, 'label')}`},
               h('line', {class: 'plot-limit', x1: 0, x2: WIDE, y1: y(least), y2: y(least)}),
               baseline === null || baseline === undefined ? null
                   : h('line', {class: 'plot-baseline', x1: 0, x2: WIDE, y1: y(baseline), y2: y(baseline)}),
               h('polyline', {class: 'plot-line', points: known.map(([i, value]) => `${x(i)},${y(value)}`).join(' ')}),
               known.map(([i, value]) => value < least
                   ? h('rect', {key: i, class: 'plot-bad', x: x(i) - 5, y: y(value) - 5, width: 10, height: 10})
                   : h('circle', {key: i, class: 'plot-good', cx: x(i), cy: y(value), r: 4}))));
}

const trend_names = {modulation: 'modulation', unused: 'unused error correction', fixed: 'the fixed pattern\'s level'};

function Trend({printer}) {
    const {trend, looks} = printer, oldest_first = [...looks].reverse();
    const look = trend.drifted || trend.newest_below ? 'ask' : trend.known ? 'good' : 'wait';
    return h('div', null,
             printer.streak ? h('p', {class: 'trouble', role: 'alert'}, h(Shape, {name: 'stop'}), h('span', null, printer.streak.sentence,
                 ` ${printer.streak.shown} of ${printer.streak.passed} labels show it.`)) : null,
             h('p', null, h(Tag, {look}, trend.drifted ? 'has changed' : trend.newest_below ? 'look at the newest label'
                                                        : trend.known ? 'as it was' : 'not known yet'), ' ', trend.sentence),
             trend.newest_below ? h('p', null, `The newest label is below the limit for ${trend.newest_below}: print it again before it goes on a case.`) : null,
             looks.length === 0 ? null : plots.map(({key, words, most, least}) => {
                 const baseline = trend.baseline[trend_names[key]];
                 return h(Plot, {key, words, most, least, values: oldest_first.map(row => row[key]),
                                 baseline: key === 'fixed' && baseline !== null ? baseline / 1000 : baseline});
             }),
             h('p', {class: 'quiet'}, `${plural(looks.length, 'label')} looked at. Dashed: the baseline. Dotted: the limit. A ${STANDING}.`));
}

// ---- calibration ----

function moved_words(dots, one_way, other_way) {
    return dots === 0 ? `not ${one_way} or ${other_way}` : `${plural(Math.abs(dots), 'dot')} ${dots > 0 ? one_way : other_way}`;
}

const SIZE_ONE = 100000;

function size_words(size) {
    return size === SIZE_ONE ? 'as long as it should' : `${(Math.abs(size - SIZE_ONE) * 100 / SIZE_ONE).toFixed(2)} % ${size > SIZE_ONE ? 'long' : 'short'}`;
}

/** What a photograph of the calibration label gave, each with its error; nothing of it counts yet. */
function measured_words(measured) {
    const mm = (value, error) => `${value.toFixed(2)} \u00b1 ${Math.max(error, 0.005).toFixed(2)} mm`;
    const stretch = (should, came_out, error) => came_out === null ? `${should} mm: not told well enough` : `${should} mm came out ${mm(came_out, error)}`;
    const m = measured;
    return `Measured on a label of ${m.width_mm} x ${m.height_mm} mm, by ${plural(m.lines, 'line')}: line 5 lies ${mm(m.left_mm, m.left_error_mm)} from the left edge, ` +
        `${mm(m.top_mm, m.top_error_mm)} from the top; ${stretch(m.stretch_mm, m.came_out_mm, m.came_out_error_mm)} across, ` +
        `${stretch(m.stretch_down_mm, m.came_out_down_mm, m.came_out_down_error_mm)} down; turned by ${m.turn_degrees.toFixed(2)} \u00b1 ${Math.max(m.turn_error_degrees, 0.005).toFixed(2)}\u00b0. ` +
        'Look at the numbers in the form, then press Set this: nothing is set before.';
}

/** A found calibration as the form's values. */
function form_values({dpi, smallest, measured}) {
    const taken = {};
    for (const key of ['left_mm', 'top_mm', 'stretch_mm', 'came_out_mm', 'stretch_down_mm', 'came_out_down_mm'])
        if (measured && measured[key] !== null)
            taken[key] = measured[key];
    if (taken.came_out_mm === undefined)
        delete taken.stretch_mm;
    if (taken.came_out_down_mm === undefined)
        delete taken.stretch_down_mm;
    return {dpi, module_dots: smallest, ...taken};
}

function calibration_words(printer) {
    if (!printer || printer.dpi === null)
        return 'It was never calibrated.';
    const moved = `Labels are moved ${moved_words(printer.shift_right, 'right', 'left')}, ${moved_words(printer.shift_down, 'down', 'up')}`;
    const module = printer.module_dots === null ? '' : `; no module is smaller than ${plural(printer.module_dots, 'dot')}`;
    const told = printer.stretch_um === null ? ''
        : ` ${printer.stretch_mm} mm came out ${(printer.stretch_um / 1000).toFixed(1)} mm long; calibrate anew, and labels are drawn for it.`;
    const size = printer.size_across === null ? ''
        : `; drawn for a print that comes out ${size_words(printer.size_across)} across, ${size_words(printer.size_down)} down`;
    return `${moved}${size}${module}, at ${printer.dpi} dpi, since ${day_words(printer.calibrated_at.slice(0, 10))}.${told}`;
}

const fields = [
    {name: 'dpi', label: 'Resolution, dots an inch', type: 'number', whole: true, required: true, min: 100, max: 1200, hint: 'Each symbol of the label says it: X203D4 is 203.'},
    {name: 'left_mm', label: 'From the left edge to line 5, mm', type: 'number', min: 0, hint: 'By the photograph, or with a ruler of your own, from the edge of the label. Left empty: as it was.'},
    {name: 'top_mm', label: 'From the top edge to line 5, mm', type: 'number', min: 0},
    {name: 'stretch_mm', label: 'Upper ruler, from 5 to the other long line, should be, mm', type: 'number', whole: true, min: 10},
    {name: 'came_out_mm', label: 'and came out, mm', type: 'number', min: 0},
    {name: 'stretch_down_mm', label: 'Left ruler, likewise, should be, mm', type: 'number', whole: true, min: 10},
    {name: 'came_out_down_mm', label: 'and came out, mm', type: 'number', min: 0},
    {name: 'module_dots', label: 'Smallest symbol that reads, dots', type: 'number', whole: true, min: 2, max: 99, hint: 'The number before the colon under it; the photograph finds it.'},
];

/** One picture: of labels, kept and judged; of a calibration label, measured. */
class PictureKey extends Component {
    constructor(props) {
        super(props);
        this.state = {busy: false, told: null, trouble: null};
        this.take = this.take.bind(this);
    }

    async take(event) {
        const file = event.target.files[0];
        if (!file)
            return;
        this.setState({busy: true, told: null, trouble: null});
        try {
            const answer = await post_picture(file, '?grade=yes&source=page');
            this.setState({busy: false, trouble: answer.note || (answer.calibration && answer.calibration.trouble) || null, told: this.words(answer)});
            if (answer.calibration && this.props.calibrated)
                this.props.calibrated(answer.calibration);
        } catch (problem) {
            this.setState({busy: false, trouble: problem.message});
        }
        event.target.value = '';
    }

    words({calibration, looks_kept, symbols}) {
        if (calibration)
            return `Calibration label at ${calibration.dpi} dpi: from ${plural(calibration.smallest, 'dot')} a module on, all symbols read.` +
                (calibration.measured ? ` ${measured_words(calibration.measured)}` : '');
        if (looks_kept > 0)
            return `${plural(looks_kept, 'label')} looked at and kept.`;
        return symbols.length > 0 ? 'Read, but none of it is a label that was printed here.' : 'No symbol was found: nearer, sharper, evenly lit.';
    }

    render(props, {busy, told, trouble}) {
        return h('div', {class: 'field'},
                 h('label', {for: 'look-picture'}, 'A photograph of labels, or of the calibration label'),
                 h('input', {id: 'look-picture', type: 'file', accept: 'image/jpeg,image/png', capture: 'environment', disabled: busy, onChange: this.take}),
                 h('p', {class: 'hint'}, 'Flat, camera square to it, even light, always the same place: 8 pixels a module or more. The calibration label alone, on something clearly darker than its paper, all four edges in the picture.'),
                 h('p', {role: 'status'}, busy ? 'Reading\u2026' : told), h(Trouble, {text: trouble}));
    }
}

class Printer extends Component {
    render({name, printer, found}) {
        return h('section', {class: 'panel printer-looks'}, h('h2', null, name),
                 printer ? h(Trend, {printer}) : h('p', null, 'No label of it was looked at yet.'),
                 printer && printer.looks.length > 0
                     ? h(DoKey, {word: 'Compare with the next labels', done: () => act('label-baseline', {printer: name})}) : null,
                 h('h3', null, 'Calibration'), h('p', null, calibration_words(printer)),
                 h(DoKey, {word: 'Print the calibration label', done: () => act('print-calibration', {})}),
                 h(Form, {name: `Calibrate ${name}`, word: 'Set this', fields, values: found,
                          done: async content => (await act('calibrate', {printer: name, ...content})).title}));
    }
}

export class LabelPrintersPage extends Component {
    componentDidMount() {
        need(['label_printers']);
    }

    render({state}, {found}) {
        const rows = state.tables.label_printers;
        const names = rows && rows.length > 0 ? rows.map(row => row.printer) : [USUAL];
        return h('main', {class: 'page columns', id: 'main'},
                 h('div', null, h('section', {class: 'panel'}, h('h1', null, 'Label printers'),
                     h('p', null, 'A printer gets worse before its labels stop reading. Photograph some of its labels now and then.'),
                     h(PictureKey, {calibrated: calibration => this.setState({found: form_values(calibration)})}))),
                 h('div', null, rows === undefined ? h('p', null, 'Reading\u2026')
                     : names.map(name => h(Printer, {key: name, name, printer: rows.find(row => row.printer === name), found}))));
    }
}

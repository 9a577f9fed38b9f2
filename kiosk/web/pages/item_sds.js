// What an item's hazard label says: copied from the item's SDS, word for word. The kiosk asks about what looks like a
// slip and changes nothing.

import {Component, h} from '/vendor/preact/preact.js';
import {hours_of_item} from './items.js';
import {Form, Shape} from './parts.js';
import {act} from './store.js';

const LABELS = [
    ['bottle-hazard', 'bottle: 52 x 74 mm up to 3 l, 74 x 105 mm up to 50 l'],
    ['bottle-hazard-red', 'bottle, 74 x 105 mm, stock with two red diamonds'],
    ['waste-hazard', 'waste: 74 x 105 mm up to 50 l, 105 x 148 mm up to 500 l'],
];

const LANGUAGES = [['cs', '\u010de\u0161tina'], ['da', 'dansk'], ['de', 'Deutsch'], ['en', 'English'], ['es', 'espa\u00f1ol'], ['fi', 'suomi'], ['fr', 'fran\u00e7ais'],
    ['it', 'italiano'], ['nb', 'norsk'], ['nl', 'Nederlands'], ['pl', 'polski'], ['pt', 'portugu\u00eas'], ['sv', 'svenska']];

const sds_fields = [
    {name: 'sds_product', label: 'Product, as section 1 of the SDS names it', longest: 120},
    {name: 'sds_signal_word', label: 'Signal word', longest: 32, hint: 'In the SDS\u2019s language; none when it has none.'},
    {name: 'sds_pictograms', label: 'Pictograms', longest: 60, hint: 'Such as GHS07 GHS09, or none. ' +
        '01 exploding bomb, 02 flame, 03 flame over circle, 04 gas cylinder, 05 corrosion, 06 skull, 07 exclamation mark, 08 health hazard, 09 environment.'},
    {name: 'sds_statements', label: 'Hazard statements', type: 'lines', longest: 1000, hint: 'One a line, the code and its words, as section 2 has them; or none.'},
    {name: 'sds_precautions', label: 'Precautionary statements', type: 'lines', longest: 1000, hint: 'Likewise; or none.'},
    {name: 'sds_supplier', label: 'Supplier, as section 1 names it', longest: 120, hint: 'With address and telephone on every label with red frames.'},
    {name: 'sds_address', label: 'Supplier\u2019s address', longest: 120},
    {name: 'sds_phone', label: 'Supplier\u2019s telephone', longest: 32},
    {name: 'sds_quantity', label: 'Nominal quantity', longest: 32, hint: 'With its unit, such as 1 l; for what the public buys.'},
    {name: 'sds_ufi', label: 'UFI', longest: 19, hint: 'Four groups of four, as the SDS or the maker\u2019s label has it; empty when there is none.'},
    {name: 'sds_language', label: 'Language of these words', none: 'not said: English', options: LANGUAGES},
    {name: 'sds_revised', label: 'Revision of the SDS', type: 'day'},
    {name: 'sds_place', label: 'Where the SDS is kept', longest: 60},
    {name: 'sds_label', label: 'Label of its bottles or waste containers', none: 'the usual one, without a hazard part', options: LABELS},
];

/** The item's whole entry with this part of it: an entry replaces the one before. */
function whole_entry(item, content) {
    const kept = ['code', 'letter', 'name', 'resin', 'revision', 'gtin', 'maker_code', 'fits', 'content_ml', 'minimum_days',
                  'density_g_ml', 'stir_days'];
    const said = {...Object.fromEntries(kept.map(name => [name, item[name]])), ...hours_of_item(item)};
    const entry = Object.fromEntries(Object.entries(said).filter(([, value]) => value !== null));
    for (const field of sds_fields)
        entry[field.name] = content[field.name] === undefined ? null : content[field.name]; // null takes it away
    return entry;
}

/** props: item, leave(). */
export class ItemSds extends Component {
    constructor(props) {
        super(props);
        this.state = {questions: []};
        this.enter = this.enter.bind(this);
    }

    async enter(content) {
        this.setState({questions: []});
        const answer = await act('item-entry', whole_entry(this.props.item, content));
        this.setState({questions: answer.questions || []});
        return answer.title;
    }

    render({item, leave}, {questions}) {
        return h('div', {id: 'item-sds', class: 'item-sds'}, h('h3', null, `Hazard label of ${item.name || item.code}`),
                 h('p', null, 'Copy it from the SDS, word for word: the kiosk classifies nothing and knows no statement by heart. ',
                   'Follow the SDS, your local rules and the maker\u2019s instructions.'),
                 h(Form, {name: 'Hazard label', word: 'Keep this', values: item, keep: sds_fields.map(field => field.name),
                          done: this.enter, fields: sds_fields}),
                 questions.length > 0 ? h('div', {class: 'sds-questions', role: 'alert'}, h(Shape, {name: 'ask'}),
                     h('ul', null, questions.map(question => h('li', {key: question}, question)))) : null,
                 h('button', {type: 'button', class: 'key key-small leave', onClick: leave}, 'Close'));
    }
}

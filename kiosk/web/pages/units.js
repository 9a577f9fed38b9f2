// A unit as a card on the desk, and the proposal of a receipt.

import {h} from '/vendor/preact/preact.js';
import {Tag, UseBy} from './parts.js';
import {day_words, hours_left_words, hours_words, ml_words, plural, resin_words, word_words} from './words.js';

function Row({name, children}) {
    return h('div', {class: 'row'}, h('dt', null, name), h('dd', null, children));
}

/** Everything known of a unit, as rows of a list. */
export function UnitRows({unit}) {
    const resin = resin_words(unit), light = /^(vat|platform)$/.test(unit.kind);
    return h('dl', {class: 'rows'},
             resin ? h(Row, {name: 'Resin'}, resin) : unit.kind === 'vat' ? h(Row, {name: 'Resin'}, 'none in it') : null,
             unit.lot ? h(Row, {name: 'Lot'}, unit.lot) : null,
             unit.lots && unit.lots.length > 0 ? h(Row, {name: 'Mix of'}, unit.lots.map(lot => lot_words(lot)).join('; ')) : null,
             resin ? h(Row, {name: 'Use by'}, h(UseBy, {day: unit.expires, use_by: unit.use_by})) : null,
             resin ? h(Row, {name: 'Content'}, ml_words(unit.amount_ml), unit.estimated ? ', an estimate' : '',
                       unit.recovered ? ', recovered from a vat' : '') : null,
             light ? h(Row, {name: 'Used'}, hours_words(unit.hours)) : null,
             unit.film ? h(Row, {name: unit_part(unit.kind) === 'film' ? 'Film' : 'Surface'}, unit.film) : null,
             h(Row, {name: 'Where'}, where_words(unit)),
             unit.due ? h(Row, {name: 'Promised back'}, due_words(unit)) : null);
}

function lot_words({lot, amount_ml}) {
    return `${lot || 'an unknown lot'} ${amount_ml === null ? '' : `(${ml_words(amount_ml)})`}`.trim();
}

/** "9 Mar 2026", and for how long it is overdue. */
function due_words({due, due_days_left}) {
    return due_days_left < 0 ? `${day_words(due)}, overdue ${plural(-due_days_left, 'day')}` : day_words(due);
}

export function where_words(unit) {
    if (unit.status === 'tray')
        return unit.pair ? `on the tray in case ${unit.pair}` : 'of a tray that no case has';
    if (unit.status === 'out')
        return ['out', unit.holder_name && `with ${unit.holder_name}`, unit.printer && `in ${unit.printer}`, unit.place && `lent to ${unit.place}`]
            .filter(Boolean).join(', ');
    if (unit.status !== 'in')
        return unit.status === 'void' ? 'its receipt was taken back'
            : unit.status === 'relabelled' ? `its label was given up as lost: the thing is ${unit.heir} now`
            : `${unit.status}, no longer in service`;
    return unit.place || 'not put away yet';
}

/** "kept for job KQ-1042 until 1 Dec 2026" */
export function kept_words({reserved_for, reserved_until}) {
    return `kept for ${reserved_for}${reserved_until ? ` until ${day_words(reserved_until)}` : ''}`;
}

/** Marks of a unit that keep it from being used. */
export function UnitTags({unit}) {
    const tags = [];
    if (unit.hold)
        tags.push(h(Tag, {look: 'hold', key: 'hold'}, `on hold: ${word_words(unit.hold)}`));
    if (!unit.labelled)
        tags.push(h(Tag, {look: 'wait', key: 'label'}, 'label not proved'));
    if (unit.reserved_for)
        tags.push(h(Tag, {look: 'wait', key: 'kept'}, kept_words(unit)));
    if (unit.due_days_left < 0 && unit.due)
        tags.push(h(Tag, {look: 'hold', key: 'due'}, 'overdue'));
    return tags.length > 0 ? h('p', {class: 'tags'}, tags) : null;
}

/** What an inspection looks at. */
function unit_part(kind) {
    return kind === 'platform' ? 'surface' : 'film';
}

/** What the person has said about it at the counter, not booked yet. */
function Said({said, kind, step}) {
    if (!said)
        return null;
    const words = [said.film && `${unit_part(kind)} ${said.film}`, said.amount_ml !== null && ml_words(said.amount_ml),
                   said.hours !== null && (step === 'life' ? hours_left_words(said.hours * 60) : hours_words(said.hours)), said.unknown && 'nobody knows the rest'].filter(Boolean);
    return words.length > 0 ? h('p', {class: 'said'}, 'You said: ', h('strong', null, words.join(', '))) : null;
}

export function UnitCard({unit, step}) {
    return h('li', {class: 'card unit'},
             h('p', {class: 'card-kind'}, unit.kind),
             h('h3', null, unit.name, ' ', h('a', {href: `#/unit/${unit.serial}`, class: 'serial'}, unit.serial)),
             h(UnitTags, {unit}), h(UnitRows, {unit}), h(Said, {said: unit.said, kind: unit.kind, step}));
}

/** What a receipt would book. `quantity` and `change(quantity)` come from the page that holds it. */
export function Proposal({view, quantity, change}) {
    const proposal = view.proposal;
    const held = view.reasons.find(reason => /^(short-dated|provisional)$/.test(reason.code));
    const most = 10000;
    const step = by => change(Math.min(most, Math.max(1, quantity + by)));
    return h('section', {class: 'card proposal', 'aria-label': 'What is received'},
             h('p', {class: 'card-kind'}, view.step === 'proof' ? 'this lot' : 'to receive'),
             h('h3', null, proposal.name || 'an item that is not in the catalogue yet'),
             held ? h('p', {class: 'tags'}, h(Tag, {look: 'hold'}, 'goes on hold')) : null,
             h('dl', {class: 'rows'},
               h(Row, {name: 'Lot'}, proposal.lot || 'none in the code'),
               h(Row, {name: 'Use by'}, h(UseBy, {day: proposal.expires, use_by: proposal.use_by}),
                 proposal.day_was_00 ? h('p', {class: 'hint'}, 'The code says the month only: its last day counts.') : null),
               h(Row, {name: 'Content'}, ml_words(proposal.amount_ml)),
               proposal.proved + proposal.unproved > 0
                   ? h(Row, {name: 'Labels'}, `${proposal.proved} proved, ${proposal.unproved} to prove`) : null),
             view.step === 'receipt' || view.keys.some(key => key.word === 'YES')
                 ? h('div', {class: 'quantity', role: 'group', 'aria-label': 'How many'},
                     h('button', {type: 'button', class: 'key key-plain', 'aria-label': 'one less', onClick: () => step(-1),
                                  disabled: quantity <= 1}, '\u2212'),
                     h('label', {for: 'quantity'}, 'How many'),
                     h('input', {id: 'quantity', inputMode: 'numeric', autocomplete: 'off', 'data-only': 'digits',
                                 value: String(quantity),
                                 onInput: event => {
                                     const number = Number(event.target.value);
                                     if (Number.isInteger(number) && number >= 1 && number <= most)
                                         change(number);
                                 },
                                 onChange: event => { event.target.value = String(quantity); }}),
                     h('button', {type: 'button', class: 'key key-plain', 'aria-label': 'one more', onClick: () => step(1),
                                  disabled: quantity >= most}, '+'))
                 : null);
}

export function proof_words(delivery) {
    if (!delivery)
        return null;
    const left = delivery.units - delivery.proved;
    return left === 0 ? `All ${plural(delivery.units, 'label')} of this delivery are proved.`
        : `${delivery.proved} of ${plural(delivery.units, 'label')} of this delivery proved, ${left} to go.`;
}

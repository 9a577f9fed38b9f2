// Which revision of a resin may stand in for which, and until when: a storekeeper enters it with the PIN, and ends it.

import {h} from '/vendor/preact/preact.js';
import {DoKey, Form, Tag} from './parts.js';
import {act} from './store.js';
import {day_words} from './words.js';

/** Why a row does not count: '' while it does. Days are "YYYY-MM-DD", which sort as they are. */
function over_words({ended, until}, today) {
    return ended ? `ended on ${day_words(until)}` : until < today ? `its last day was ${day_words(until)}` : '';
}

function Row({row, today, name}) {
    const over = over_words(row, today);
    const {resin, wanted, given} = row;
    return h('li', null,
             h('span', null, h('strong', null, resin), `: revision ${given} may come where ${wanted} is wanted`,
               over ? ' ' : `, until ${day_words(row.until)} `, over ? h(Tag, {look: 'hold'}, over) : null,
               h('span', {class: 'quiet'}, ` approved by ${name}`)),
             over ? null : h(DoKey, {word: 'End it', label: `End ${resin} revision ${given} in place of ${wanted}`,
                                     done: () => act('substitution-end', {resin, wanted, given})}));
}

/** [[value, words]]: the revisions that have an item; the value holds resin and revision. */
function given_options(items) {
    const pairs = items.filter(item => item.resin && item.revision).map(({resin, revision}) => JSON.stringify([resin, revision]));
    return [...new Set(pairs)].sort().map(pair => [pair, JSON.parse(pair).join(' revision ')]);
}

async function enter({pair, wanted, until}) {
    const [resin, given] = JSON.parse(pair);
    return (await act('substitution-entry', {resin, wanted, given, until})).title;
}

export function Substitutions({substitutions, items, people, today}) {
    const names = new Map((people || []).map(person => [person.serial, person.name || person.serial]));
    return h('section', {class: 'panel', id: 'substitutions'}, h('h2', null, 'Revisions that stand in'),
             h('p', null, 'Two revisions of a resin never meet, but where a row says so: one way, until a day.'),
             !substitutions ? h('p', null, 'Reading\u2026')
                 : substitutions.length === 0 ? h('p', null, 'No revision stands in for another.')
                 : h('ul', {class: 'room-list'}, substitutions.map(row =>
                     h(Row, {row, today, name: names.get(row.approver) || row.approver, key: `${row.resin}/${row.wanted}/${row.given}`}))),
             h('h3', null, 'Let a revision stand in'),
             h(Form, {name: 'Let a revision stand in', word: 'Enter', done: enter, fields: [
                 {name: 'pair', label: 'What may come', required: true, options: given_options(items || [])},
                 {name: 'wanted', label: 'Where this revision is wanted', required: true, longest: 16,
                  hint: 'What a job asks for, or what is in the vat or printer already. It counts this way only.'},
                 {name: 'until', label: 'Last day on which it counts', type: 'day', required: true}]}));
}

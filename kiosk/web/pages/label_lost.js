// A thing without its label: those that it may be, on the desk. Whoever knows which one it is says so here.

import {h} from '/vendor/preact/preact.js';
import {tap} from './keys.js';
import {act_shown} from './store.js';
import {UnitRows, UnitTags} from './units.js';
import {plural} from './words.js';

function Candidate({unit, only}) {
    return h('li', {class: 'card unit'},
             h('p', {class: 'card-kind'}, unit.here ? 'should stand here' : 'elsewhere by the books'),
             h('h3', null, unit.name, ' ', h('a', {href: `#/unit/${unit.serial}`, class: 'serial'}, unit.serial)),
             h(UnitTags, {unit}), h(UnitRows, {unit}),
             only ? null : h('button', {type: 'button', class: 'key key-plain', 'data-choose': unit.serial,
                                        onClick: () => tap(() => act_shown('relabel', {unit: unit.serial, confirm: true}))},
                             h('span', {class: 'key-label'}, 'It is this one'),
                             h('span', {class: 'key-word'}, 'the storekeeper is asked')));
}

export function Candidates({list}) {
    if (!list || list.length === 0)
        return null;
    return h('section', {'aria-label': 'Which one it may be'},
             h('h2', null, `${plural(list.length, 'thing')} it may be`),
             h('div', {class: 'in-hand'},
               h('ul', {class: 'cards'}, list.map(unit => h(Candidate, {key: unit.serial, unit, only: list.length === 1})))));
}

// What is out and promised back: overdue first, then by day; last what nobody said a day of.

import {h} from '/vendor/preact/preact.js';
import {Tag} from './parts.js';
import {where_words} from './units.js';
import {day_words, plural} from './words.js';

export function is_overdue(unit) {
    return unit.due !== null && unit.due_days_left < 0;
}

/** The day a thing is promised back, and what that means today. */
export function Due({unit}) {
    if (!unit.due)
        return h(Tag, {look: 'plain'}, 'no day promised');
    const left = unit.due_days_left;
    if (left < 0)
        return h(Tag, {look: 'hold'}, `overdue ${plural(-left, 'day')}: ${day_words(unit.due)}`);
    return left <= 1 ? h(Tag, {look: 'ask'}, `back ${left === 0 ? 'today' : 'tomorrow'}`)
        : h('span', null, `back by ${day_words(unit.due)}, `, h('span', {class: 'quiet'}, `in ${left} days`));
}

export function Lent({lent}) {
    if (!lent || lent.length === 0)
        return null;
    const overdue = lent.filter(is_overdue).length;
    return h('section', {class: 'panel lent', 'aria-labelledby': 'lent'},
             h('h2', {id: 'lent'}, 'Lent out and promised back'),
             overdue > 0 ? h('p', null, h(Tag, {look: 'hold'}, `${overdue} overdue`)) : null,
             h('ul', {class: 'unit-rows'}, lent.map(unit =>
                 h('li', {class: 'unit-row', key: unit.serial},
                   h('a', {class: 'serial', href: `#/unit/${unit.serial}`}, unit.serial), h('span', null, unit.name),
                   h('span', null, where_words(unit)), h(Due, {unit})))));
}

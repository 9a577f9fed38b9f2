// A list of what the room knows of; a long one is looked through by words.

import {Component, h} from '/vendor/preact/preact.js';

const LIST_MOST = 24; // rows at once; a longer list is looked through by words

/** props: rows, none (a sentence), find (what it is a list of: rows are then looked through by code, name and kind). */
export class List extends Component {
    render({rows, none, find, children}, {typed}) {
        if (rows === undefined)
            return h('p', null, 'Reading\u2026');
        if (rows.length === 0)
            return h('p', null, none);
        const words = (typed || '').toLowerCase().split(/\s+/).filter(Boolean), id = `find-${find}`;
        const found = words.length === 0 ? rows : rows.filter(row => words.every(word =>
            [row.code, row.name, row.serial, row.unit, row.place, row.role, row.kind, row.state, row.provisional && 'provisional']
                .filter(Boolean).join(' ').toLowerCase().includes(word)));
        return h('div', null,
                 rows.length > LIST_MOST ? h('div', {class: 'field filter'}, h('label', {for: id}, `Find among ${rows.length} ${find}`),
                     h('input', {id, autocomplete: 'off', spellcheck: false, value: typed || '',
                                 onInput: event => this.setState({typed: event.target.value})})) : null,
                 found.length === 0 ? h('p', {role: 'status'}, 'None has these words.') : null,
                 h('ul', {class: 'room-list'}, found.slice(0, LIST_MOST).map(children[0])),
                 found.length > LIST_MOST ? h('p', {class: 'quiet'}, `and ${found.length - LIST_MOST} more`) : null);
    }
}

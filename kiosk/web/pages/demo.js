// The demo has no paper: these keys scan what would hang on a lanyard, stand on a shelf or come in a carton. They
// stand on the desk of a demo only.

import {h} from '/vendor/preact/preact.js';
import {scan} from './store.js';

function two(number) {
    return String(number).padStart(2, '0');
}

/** A GS1 date (YYMMDD) some days from today; day 00 = the month only. */
function gs1_day(today, days, month_only) {
    const at = new Date(`${today}T00:00:00Z`);
    at.setUTCDate(at.getUTCDate() + days);
    return `${two(at.getUTCFullYear() % 100)}${two(at.getUTCMonth() + 1)}${month_only ? '00' : two(at.getUTCDate())}`;
}

/** Makers' codes to try: typed with brackets, as GS1 prints them below a symbol. The numbers begin with 950, the
 *  prefix of GS1's own office: no trade item has them. Lots are invented. */
export function demo_codes(today) {
    return [
        {name: '6 Flint cartridges', code: `(01)09506000135007(17)${gs1_day(today, 330, true)}(10)FL-2301(30)6`},
        {name: '2 Kelp cartridges', code: `(01)09506000135021(17)${gs1_day(today, 400, false)}(10)KP-4502(30)2`},
        {name: '2 Oak, short-dated', code: `(01)09506000135014(17)${gs1_day(today, 30, false)}(10)OK-1001(30)2`},
        {name: '3 of an item nobody entered', code: `(01)09506000135069(17)${gs1_day(today, 200, false)}(10)RW-0007(30)3`},
    ];
}

function HelperKey({name, code}) {
    return h('button', {type: 'button', class: 'key key-demo', 'data-scan': code, title: code, onClick: () => scan(code)}, name);
}

function Row({title, children}) {
    return h('div', {class: 'demo-row', role: 'group', 'aria-label': title}, h('h3', null, title),
             h('div', {class: 'demo-keys'}, children));
}

function unit_name(unit) {
    return `${unit.name}${unit.resin && unit.kind === 'vat' ? ` with ${unit.resin}` : ''} ${unit.serial}`;
}

export function DemoHelpers({view, tables}) {
    const units = new Map((tables.demo_units || []).map(unit => [unit.serial, unit]));
    const unproved = [...new Set((tables.prints || []).filter(print => print.unit && print.unit[0] !== 'H')
        .map(print => print.unit))].map(serial => units.get(serial) || {serial, name: 'Label'});
    const shelved = [...units.values()].filter(unit => unit.labelled && unit.status === 'in');
    const out = (tables.printers || []).flatMap(printer => printer.units);
    const planned = (tables.jobs || []).filter(job => job.planned);
    const key = unit => h(HelperKey, {key: unit.serial, name: unit_name(unit), code: unit.serial});
    return h('section', {class: 'demo-helpers', 'aria-label': 'Demo helpers'},
             h('h2', null, 'DEMO helpers'),
             h('p', null, 'In a real room these are labels and badges that you scan. Here each key scans one.'),
             h(Row, {title: 'Badges'}, (tables.people || []).map(person =>
                 h(HelperKey, {key: person.serial, name: `${person.name || person.serial}, ${person.role}`,
                               code: person.serial}))),
             unproved.length > 0 ? h(Row, {title: 'Labels that came out'}, unproved.slice(0, 12).map(key)) : null,
             out.length > 0 ? h(Row, {title: 'Things that are out'}, out.slice(0, 12).map(key)) : null,
             planned.length > 0 ? h(Row, {title: 'Jobs\u2019 tickets'}, planned.slice(0, 12).map(job =>
                 h(HelperKey, {key: job.id, name: `${job.job}, ${job.resin || 'any resin'} on ${job.printer_name || job.printer}`, code: job.job}))) : null,
             h(Row, {title: 'Things on the shelves'}, shelved.slice(0, 16).map(key)),
             h(Row, {title: 'Makers\u2019 codes'}, demo_codes(view.today).map(code =>
                 h(HelperKey, {key: code.code, name: code.name, code: code.code}))));
}

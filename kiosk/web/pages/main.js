// The page of the kiosk: one document, the part to show after the '#'.

import {Component, h, render} from '/vendor/preact/preact.js';
import {Shape, Tag} from './parts.js';
import {DeskPage} from './page_desk.js';
import {LabelsPage} from './page_labels.js';
import {JobsPage} from './page_jobs.js';
import {LabelPrintersPage} from './page_label_printers.js';
import {PinPad, PinTold} from './pin_pad.js';
import {is_overdue} from './lent.js';
import {QuestionsPage} from './page_questions.js';
import {ReceivingPage} from './page_receiving.js';
import {RoomPage} from './page_room.js';
import {ShelvesPage} from './page_shelves.js';
import {StickersPage} from './page_stickers.js';
import {StockListPage} from './page_stock_list.js';
import {TemplatesPage} from './page_templates.js';
import {TracingPage} from './page_tracing.js';
import {UnitPage} from './page_unit.js';
import {ScanBox} from './scan_box.js';
import {act_shown, counter, forget_waiting, set, start, state, watch_state} from './store.js';
import {switch_tones, tones_are_on} from './tones.js';
import {VerdictLine} from './verdict.js';
import {day_words, supplier_words} from './words.js';

const pages = [
    {name: 'desk', title: 'Desk', page: DeskPage},
    {name: 'receiving', title: 'Receiving', page: ReceivingPage},
    {name: 'shelves', title: 'Shelves', page: ShelvesPage},
    {name: 'jobs', title: 'Jobs', page: JobsPage},
    {name: 'tracing', title: 'Tracing', page: TracingPage},
    {name: 'questions', title: 'Questions', page: QuestionsPage,
     count: tables => (tables.questions || []).length + (tables.lent || []).filter(is_overdue).length},
    {name: 'labels', title: 'Labels', page: LabelsPage,
     count: tables => (tables.prints || []).filter(print => /^(failed|unknown)$/.test(print.state)).length},
    {name: 'room', title: 'Room', page: RoomPage},
    {name: 'stock-list', title: 'Stock list', page: StockListPage, within: 'room'}, // reached from there
    {name: 'templates', title: 'Label templates', page: TemplatesPage, within: 'labels'},
    {name: 'stickers', title: 'Stickers', page: StickersPage, within: 'receiving'},
    {name: 'label-printers', title: 'Label printers', page: LabelPrintersPage, within: 'labels'},
];

function decoded(part) {
    try {
        return decodeURIComponent(part);
    } catch {
        return part;
    }
}

/** "#/unit/C900001X" -> {name: 'unit', serial}. Anything unknown is the desk. */
function route_now() {
    const [, name, serial, lot] = location.hash.split('/');
    if (name === 'unit' && /^[0-9A-Za-z]{1,11}$/.test(serial || ''))
        return {name, serial: serial.toUpperCase()};
    if (name === 'tracing' && serial && lot)
        return {name, asked: {item: decoded(serial), lot: decoded(lot)}};
    return {name: pages.some(page => page.name === name) ? name : 'desk'};
}

/** The page of the head's row that `name` belongs to. */
function within(name) {
    return pages.find(page => page.name === name).within || name;
}

function Nav({here, tables}) {
    return h('nav', {'aria-label': 'Pages'}, pages.filter(page => !page.within).map(({name, title, count}) => {
        const open = count ? count(tables) : 0;
        return h('a', {key: name, href: `#/${name}`, 'aria-current': here === name ? 'page' : null},
                 title, open > 0 ? h('span', {class: 'count'}, String(open)) : null);
    }));
}

function Person({person}) {
    if (!person)
        return h('p', {class: 'person person-none'}, 'Nobody is signed in');
    return h('div', {class: 'person'},
             h('p', null, h('strong', null, person.name), h('span', {class: 'quiet'}, ` ${person.role}`)));
}

class SoundKey extends Component {
    render() {
        const on = tones_are_on();
        return h('button', {type: 'button', class: 'key key-sound', 'aria-pressed': on ? 'true' : 'false',
                            onClick: () => { switch_tones(!on); this.setState({}); }}, on ? 'Sound on' : 'Sound off');
    }
}

// ---- what is wrong with the whole room ----

function DemoBand({demo_pin}) {
    return h('div', {class: 'band band-demo', role: 'note'},
             h('strong', null, 'DEMO'), h('span', null, 'Kestrel Quay is invented. Nothing here is a real stock.',
                                          demo_pin ? ` The storekeeper\u2019s PIN at the start: ${demo_pin}` : ''),
             h('strong', {'aria-hidden': 'true'}, 'DEMO'));
}

function EnrolBand() {
    return h('div', {class: 'band band-clock', role: 'note'}, h(Shape, {name: 'ask'}),
             h('span', null, 'Somebody is to get a storekeeper\u2019s first PIN, with the code from the kiosk\u2019s terminal: ',
               h('a', {href: '#/room'}, 'page Room'), '.'));
}

function ClockBand({view}) {
    return h('div', {class: 'band band-clock', role: 'alert'}, h(Shape, {name: 'ask'}),
             h('span', null, 'The clock is not confirmed. Is today ', h('strong', null, day_words(view.today)),
               '? Until a storekeeper says so, nothing with a date is a GO.'),
             h('button', {type: 'button', class: 'key key-plain', onClick: () => act_shown('clock-confirm', {})},
               'The date shown is right'));
}

function LostBand({waiting, link}) {
    return h('div', {class: 'band band-lost', role: 'alert'}, h(Shape, {name: 'stop'}),
             h('span', null, link === 'lost' ? h('strong', null, 'The kiosk does not answer. ') : null,
               waiting > 0 ? `${waiting === 1 ? '1 scan or key waits' : `${waiting} scans and keys wait`} and will be sent when it answers.`
                           : 'What you see may be old; this page tries again by itself.'),
             waiting > 0 ? h('button', {type: 'button', class: 'key key-plain', onClick: forget_waiting}, 'Forget them') : null);
}

function StoppedBand({stopped}) {
    return h('div', {class: 'band band-stopped', role: 'alert'}, h(Shape, {name: 'stop'}),
             h('span', null, h('strong', null, 'STOP. Nothing can be booked. '),
               `${stopped.charAt(0).toUpperCase()}${stopped.slice(1)}.`));
}

function NoteBands({notes}) {
    return notes.length === 0 ? null
        : h('div', {role: 'status'}, notes.map(note => h('div', {class: 'band band-clock', key: note}, h(Shape, {name: 'ask'}),
            h('span', null, `${note.charAt(0).toUpperCase()}${note.slice(1)}${/[.!?]$/.test(note) ? '' : '.'}`))));
}

function DeviceBands({devices}) {
    const told = Object.keys(devices).filter(device => devices[device]);
    return told.length === 0 ? null
        : h('div', {role: 'status'}, told.map(device => h('div', {class: 'band band-clock', key: device}, h(Shape, {name: 'ask'}),
            h('span', null, h('strong', null, `${device.replace(/-/g, ' ')}: `), devices[device]))));
}

class Room extends Component {
    constructor(props) {
        super(props);
        this.state = {route: route_now()};
    }

    componentDidMount() {
        watch_state(() => this.setState({}));
        addEventListener('hashchange', () => {
            set({problem: null});
            this.setState({route: route_now()});
            scrollTo(0, 0);
        });
        start();
    }

    title() {
        const page = pages.find(row => row.name === this.state.route.name);
        document.title = `${page ? page.title : this.state.route.serial} \u00B7 Ambershelf`;
    }

    page() {
        const {name, serial} = this.state.route;
        if (state.stopped && (name === 'desk' || name === 'receiving')) // no READY under a STOP
            return h('main', {class: 'page', id: 'main'},
                     h('p', null, 'The other pages still show what was booked. What you take or bring now, write down on paper.'));
        if (name === 'unit')
            return h(UnitPage, {key: serial, state, serial});
        return h(pages.find(row => row.name === name).page, {key: name, state, asked: this.state.route.asked});
    }

    render(props, {route}) {
        const view = state.view;
        this.title();
        if (!view)
            return h('div', {class: 'starting'}, state.stopped ? h(StoppedBand, state)
                : h('p', null, state.problem || 'Reading what this counter is doing\u2026'));
        const at_counter = route.name === 'desk' || route.name === 'receiving';
        return h('div', {class: 'room'},
                 h('a', {class: 'skip', href: '#main', onClick: event => {
                     event.preventDefault();
                     document.getElementById('main').querySelector('button, a, input, select')?.focus();
                 }}, 'Skip to the page'),
                 h('header', {class: 'head'},
                   h('p', {class: 'brand'}, h('img', {src: '/pages/mark.svg', alt: '', width: 36, height: 36}), 'Ambershelf'),
                   h(Nav, {here: route.name === 'unit' ? 'shelves' : within(route.name), tables: state.tables}),
                   h(SoundKey)),
                 view.demo ? h(DemoBand, state) : null,
                 state.enrolment ? h(EnrolBand) : null,
                 view.clock_trusted ? null : h(ClockBand, {view}),
                 state.link === 'lost' || state.stuck ? h(LostBand, state) : null,
                 state.stopped ? h(StoppedBand, state) : null,
                 h(NoteBands, state),
                 h(DeviceBands, state),
                 state.stopped ? null : h('div', {class: 'scan-row'},
                   h(ScanBox, {always: at_counter, waiting: state.waiting}),
                   h(Person, {person: view.person}),
                   view.delivery ? h('p', {class: 'delivery-chip'}, h(Tag, {look: 'plain'}, `delivery open: ${supplier_words(view.delivery)}`)) : null,
                   counter === 'desk' ? null : h('p', {class: 'quiet'}, `counter ${counter}`)),
                 at_counter || state.stopped ? null : h(VerdictLine, {view, fresh_until: state.fresh_until}),
                 this.page(),
                 state.pin_asked ? h(PinPad, {asked: state.pin_asked}) : null,
                 state.pin_told ? h(PinTold, {told: state.pin_told}) : null);
    }
}

const room = document.getElementById('room');
room.textContent = '';
render(h(Room), room);

// Devices that speak for themselves: printers, slicers, scripts. A token is shown once, and the kiosk keeps only its digest.

import {Component, h} from '/vendor/preact/preact.js';
import {new_id, post_once} from './api.js';
import {DoKey, Form, Tag} from './parts.js';
import {act, counter} from './store.js';
import {instant_words} from './words.js';

function Device({device}) {
    return h('li', null,
             h('span', null, h('strong', null, device.name), device.printer ? `, for ${device.printer}` : '',
               `, since ${instant_words(device.issued_at)} `, device.revoked ? h(Tag, {look: 'hold'}, 'taken back') : null),
             device.revoked ? null : h(DoKey, {word: 'Take back', label: `Take back the credential of ${device.name}`,
                                               done: () => act('device-revoke', {name: device.name})}));
}

export class Devices extends Component {
    constructor(props) {
        super(props);
        this.state = {token: null, name: ''};
        this.enter = this.enter.bind(this);
    }

    async enter(content) {
        const answer = await post_once('/api/devices', {id: new_id(), kind: 'device-entry', counter, content});
        this.setState({token: answer.token, name: content.name});
        return answer.title;
    }

    render({devices, printers}, {token, name}) {
        return h('section', {class: 'panel', id: 'devices'}, h('h2', null, 'Devices'),
                 h('p', null, 'A printer, a slicer or a script with a token of its own tells of jobs: that one began, how it ended.'),
                 !devices ? h('p', null, 'Reading\u2026')
                          : devices.length === 0 ? h('p', null, 'No device has a token.')
                          : h('ul', {class: 'room-list'}, devices.map(device => h(Device, {device, key: device.name}))),
                 token ? h('div', {role: 'status'},
                           h('p', null, `The token of ${name}. Copy it now: it is not shown again.`),
                           h('pre', {class: 'token'}, token)) : null,
                 h('h3', null, 'Give a token'),
                 h(Form, {name: 'Give a token', word: 'Give a token', done: this.enter, fields: [
                     {name: 'name', label: 'Name of the device', required: true, longest: 32,
                      hint: 'Small letters, digits and -, such as slicer-2. A name that has one gets a new one, and the old counts no more.'},
                     {name: 'printer', label: 'Speaks for printer', none: 'every printer',
                      options: (printers || []).map(printer => [printer.code, printer.name || printer.code])}]}));
    }
}

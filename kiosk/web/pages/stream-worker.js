// One event stream for all tabs of this browser: a kiosk serves a bounded number of them. A classic shared worker, so
// that every browser that knows shared workers can run it.
'use strict';

const ports = new Set();
let link = 'starting';
let last = ''; // number of the last movement seen
let source = null;

function tell(message) {
    for (const port of ports)
        port.postMessage(message);
}

function set_link(now) {
    if (now === link)
        return;
    link = now;
    tell({link});
}

function pass_on(event) {
    if (event.lastEventId)
        last = event.lastEventId;
    tell({event: event.type, data: event.data});
}

function open_stream() {
    source = new EventSource(last ? `/api/events?last=${last}` : '/api/events');
    source.onopen = () => set_link('open');
    source.onerror = () => {
        set_link('lost');
        if (source.readyState === EventSource.CLOSED) // refused, not cut: the browser does not try again by itself
            setTimeout(open_stream, 2000);
    };
    for (const type of ['hello', 'reload', 'movement', 'counter', 'device', 'ledger'])
        source.addEventListener(type, pass_on);
}

self.onconnect = connected => {
    const port = connected.ports[0];
    ports.add(port);
    port.onmessage = message => {
        if (message.data === 'bye')
            ports.delete(port);
    };
    port.postMessage({link});
    if (!source)
        open_stream();
};

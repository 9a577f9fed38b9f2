// What happens in the room, as it happens: calls `told({event, data})` for every event of the kiosk and
// `told({link: 'open' | 'lost'})` when the stream comes and goes. One stream per browser, shared by its tabs through a
// worker; where there are no shared workers, each tab opens its own.

function follow_shared(told) {
    const worker = new SharedWorker('/pages/stream-worker.js', {name: 'ambershelf-stream'});
    worker.onerror = () => follow_alone(told); // the file could not be loaded
    worker.port.onmessage = message => told(message.data);
    worker.port.start();
    addEventListener('pagehide', () => worker.port.postMessage('bye'));
    addEventListener('pageshow', shown => shown.persisted && location.reload());
}

function follow_alone(told) {
    let last = '';
    const open_stream = () => {
        const source = new EventSource(last ? `/api/events?last=${last}` : '/api/events');
        source.onopen = () => told({link: 'open'});
        source.onerror = () => {
            told({link: 'lost'});
            if (source.readyState === EventSource.CLOSED)
                setTimeout(open_stream, 2000);
        };
        for (const type of ['hello', 'reload', 'movement', 'counter', 'device', 'ledger'])
            source.addEventListener(type, event => {
                last = event.lastEventId || last;
                told({event: type, data: event.data});
            });
    };
    open_stream();
}

export function follow_stream(told) {
    if (typeof SharedWorker === 'function')
        follow_shared(told);
    else
        follow_alone(told);
}

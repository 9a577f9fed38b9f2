// The verdict band: shape, word, colour, the sentence, and each reason with what to do next.

import {h} from '/vendor/preact/preact.js';
import {Shape} from './parts.js';

const words = {go: 'GO', ask: 'ASK', stop: 'STOP'};

/** Is the verdict about what is going on now? An idle counter's old GO must not be taken for the next person's. */
export function is_news(view, fresh_until) {
    return view.verdict !== null && (view.step !== 'idle' || Date.now() < fresh_until);
}

function Reason({reason}) {
    return h('li', {class: 'reason'},
             h(Shape, {name: reason.verdict}),
             h('div', null, h('strong', null, reason.sentence),
               reason.next ? h('p', {class: 'next'}, h('span', {class: 'next-word'}, 'What to do: '), reason.next, '.') : null));
}

/** The title of one reason is its sentence: it is not said twice. */
function Reasons({view}) {
    if (view.reasons.length === 0)
        return null;
    if (view.reasons.length === 1 && view.reasons[0].sentence === view.title)
        return view.reasons[0].next
            ? h('p', {class: 'next'}, h('span', {class: 'next-word'}, 'What to do: '), view.reasons[0].next, '.') : null;
    return h('ul', {class: 'reasons'},
             view.reasons.map(reason => h(Reason, {reason, key: `${reason.code} ${reason.sentence}`})));
}

/** A sentence without a verdict: heard, nothing to decide. */
function is_note(view, fresh_until) {
    return view.verdict === null && view.title !== '' && Date.now() < fresh_until;
}

export function Verdict({view, fresh_until}) {
    if (is_note(view, fresh_until)) {
        return h('section', {class: 'verdict verdict-none', 'aria-live': 'assertive', 'aria-label': 'Verdict'},
                 h(Shape, {name: 'none'}),
                 h('div', {class: 'verdict-text'},
                   h('p', {class: 'verdict-word'}, 'NOTED'),
                   h('p', {class: 'verdict-title'}, view.title)));
    }
    if (!is_news(view, fresh_until)) {
        return h('section', {class: 'verdict verdict-none', 'aria-live': 'assertive', 'aria-label': 'Verdict'},
                 h(Shape, {name: 'none'}),
                 h('div', {class: 'verdict-text'},
                   h('p', {class: 'verdict-word'}, 'READY'),
                   h('p', {class: 'verdict-title'}, view.person
                       ? 'Scan a thing, a shelf or a maker\u2019s code.'
                       : 'Scan your badge, a thing, or a maker\u2019s code.'),
                   view.title ? h('p', {class: 'quiet'}, `Last: ${view.title}`) : null));
    }
    return h('section', {class: `verdict verdict-${view.verdict}`, 'aria-live': 'assertive', 'aria-label': 'Verdict'},
             h(Shape, {name: view.verdict}),
             h('div', {class: 'verdict-text'},
               h('p', {class: 'verdict-word'}, words[view.verdict]),
               h('p', {class: 'verdict-title'}, view.title),
               h(Reasons, {view})));
}

/** The same on one line, for the pages beside the desk. */
export function VerdictLine({view, fresh_until}) {
    const note = is_note(view, fresh_until);
    if (!note && !is_news(view, fresh_until))
        return null;
    if (note) {
        return h('div', {role: 'status'},
                 h('a', {class: 'verdict-line verdict-none', href: '#/desk'},
                   h(Shape, {name: 'none'}), h('strong', null, 'NOTED'), h('span', null, view.title)));
    }
    return h('div', {role: 'status'},
             h('a', {class: `verdict-line verdict-${view.verdict}`, href: '#/desk'},
               h(Shape, {name: view.verdict}), h('strong', null, words[view.verdict]), h('span', null, view.title)));
}

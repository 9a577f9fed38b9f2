// Backups: whether the day on which the disk dies would be a bad one, and the ledger's head to write down.

import {h} from '/vendor/preact/preact.js';
import {Shape, Tag} from './parts.js';
import {instant_words} from './words.js';

function sentence_of(backup) {
    const sentence = `${backup.sentence[0].toUpperCase()}${backup.sentence.slice(1)}`;
    return /[.?!]$/.test(sentence) ? sentence : `${sentence}.`;
}

/** A line for pages that a storekeeper looks at daily; nothing while all is well, or in a demo. */
export function BackupTrouble({health}) {
    if (!health || health.demo || !health.backup || health.backup.ok)
        return null;
    return h('p', {class: 'panel backup-trouble', role: 'status'}, h(Shape, {name: 'ask'}),
             h('span', null, h('strong', null, 'Backups: '), sentence_of(health.backup)));
}

/** The number and the hash, in groups of eight that a person can compare. */
function Head({seq, head}) {
    return h('p', {class: 'head-hash'}, h('strong', null, `${seq}:`), head.match(/.{8}/g).map((group, i) =>
        h('span', {key: i}, group)));
}

export function Backups({health}) {
    if (!health || !health.backup)
        return null;
    const {backup, seq, head} = health;
    return h('section', {class: 'panel', 'aria-label': 'Backups'}, h('h2', null, 'Backups'),
             h('p', null, h(Tag, {look: backup.ok ? 'good' : 'ask'}, backup.ok ? 'good' : backup.set_up ? 'look here' : 'none'),
               ' ', sentence_of(backup)),
             backup.newest ? h('p', {class: 'quiet'}, `Newest: ${instant_words(backup.newest)}, in ${backup.folder}`) : null,
             head ? h('h3', null, 'The ledger\u2019s head when this page was opened') : null,
             head ? h(Head, {seq, head}) : null,
             head ? h('p', {class: 'quiet'}, 'Written down elsewhere, it shows later whether somebody cut or rewrote the ledger.') : null);
}

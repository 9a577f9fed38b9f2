// What film and surface look like: the words of the counter's cards, and a picture of each (look-NAME.svg), so that two
// people mean the same by "dented".

import {h} from '/vendor/preact/preact.js';

/** Conditions as an inspection books them, with their words. */
export const FILMS = [['clear', 'Film is clear'], ['fogged', 'Film is fogged'], ['dented', 'Film has a dent'],
                      ['bits', 'Cured bits on the film'], ['leaking', 'Film or vat leaks']];
export const SURFACES = [['fine', 'Surface is fine'], ['scratched', 'Surface is scratched'], ['loose', 'Surface is loose']];

const PICTURED = new Set([...FILMS.map(([film]) => `film-${film}`), ...SURFACES.map(([surface]) => `surface-${surface}`),
                          'mixer-missing', 'float-stuck']);

/** The picture of a card's word, or of such a name; the words stand beside it, so it is silent for screen readers. */
export function Look({name}) {
    const plain = name.toLowerCase();
    return PICTURED.has(plain) ? h('img', {class: 'look', src: `/pages/look-${plain}.svg`, alt: '', width: 96, height: 60}) : null;
}

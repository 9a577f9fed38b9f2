// Numbers and rows of the kiosk as a person reads them. What is not known is said so, never shown as 0.

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** "2027-02-14" -> "14 Feb 2027": no order of digits to mistake. */
export function day_words(day) {
    const [year, month, number] = day.split('-').map(Number);
    return `${number} ${MONTHS[month - 1]} ${year}`;
}

/** What the kiosk says of a use-by day, {state, days_left}, in words. */
export function days_words({state, days_left}) {
    if (state === 'expired')
        return `expired ${days_left === -1 ? 'yesterday' : `${-days_left} days ago`}`;
    if (days_left === 0)
        return 'last day today';
    return days_left === 1 ? '1 day left' : `${days_left} days left`;
}

export function instant_words(instant) {
    const at = new Date(instant);
    const clock = `${String(at.getHours()).padStart(2, '0')}:${String(at.getMinutes()).padStart(2, '0')}`;
    return `${at.getDate()} ${MONTHS[at.getMonth()]} ${at.getFullYear()}, ${clock}`;
}

export function ml_words(amount_ml) {
    return amount_ml === null || amount_ml === undefined ? 'amount unknown' : `${Math.round(amount_ml * 10) / 10} ml`;
}

export function hours_words(hours) {
    if (hours === null || hours === undefined)
        return 'hours unknown';
    return `${hours < 10 ? Math.round(hours * 10) / 10 : Math.round(hours)} h of light`;
}

/** Minutes of life left, whole hours as printers show them: "412 h left". */
export function hours_left_words(minutes) {
    return `${Math.floor(minutes / 60)} h left`;
}

export function plural(count, one, many) {
    return `${count} ${count === 1 ? one : many || `${one}s`}`;
}

/** The page that says where a lot went. */
export function tracing_address(item, lot) {
    return `#/tracing/${encodeURIComponent(item)}/${encodeURIComponent(lot)}`;
}

export function resin_words(unit) {
    if (!unit.resin)
        return null;
    return unit.revision ? `${unit.resin}, revision ${unit.revision}` : unit.resin;
}

/** A keyword such as "said-at-counter" as words. */
export function word_words(word) {
    const known = {
        'film-dented': 'film has a dent', 'film-bits': 'cured bits on the film', 'film-leaking': 'film or vat leaks',
        'said-at-counter': 'put on hold at the counter', 'provisional': 'item not in the catalogue yet',
        'outlet-stuck': 'outlet does not open', 'outlet-leaks': 'outlet leaks', 'tray-moved': 'a tray in another case', 'supplier-claim': 'to claim from its supplier',
        'mixer-missing': 'mixer is missing', 'float-stuck': 'level float is stuck',
        'surface-scratched': 'surface is scratched', 'surface-loose': 'surface is loose', 'more-than-booked': 'more used than the books had',
        'cartridge-elsewhere': 'resin of a cartridge that is not in the printer', 'job-other-resin': 'a job for another resin',
        'job-other-printer': 'a job planned for another printer',
        'job-told-late': 'a job\u2019s use, told late', 'job-planned-late': 'a job planned anew while it runs',
        'label-unknown': 'did the label come out?',
        'lost-label-found': 'a label that was given up as lost has turned up', 'label-chosen': 'a new label by choice, not by elimination',
        'taken': 'taken against the verdict', 'life-differs': 'life left: the printer and the books differ',
    };
    return known[word] || word.replace(/-/g, ' ');
}

export const PRINT_STATES = {
    waiting: 'waits for the label printer', sent: 'being printed', printed: 'printed, not scanned back yet',
    proved: 'proved: scanned back', failed: 'printing failed', unknown: 'nobody knows whether it came out',
    withdrawn: 'withdrawn: not to be printed',
};

function label_words(movement) {
    const states = {
        waiting: 'was ordered', sent: 'was sent to the label printer', printed: 'was printed',
        proved: 'was proved by a scan', failed: 'failed to print', unknown: 'may or may not have come out', withdrawn: 'was withdrawn',
    };
    return `Label ${movement.pieces ?? ''} ${states[movement.word] || movement.word}`.replace('  ', ' ');
}

function came_in_words(movement) {
    return [`${movement.kind === 'receipt' ? 'Received' : 'Taken on'}${movement.place ? ` at ${movement.place}` : ''}`,
            movement.lot && `lot ${movement.lot}`, movement.expires && `use by ${day_words(movement.expires)}`,
            movement.amount_ul !== undefined && ml_words(movement.amount_ul / 1000),
            movement.minutes !== undefined && hours_words(movement.minutes / 60),
            movement.kind === 'take-on' && movement.note,
            movement.kind === 'receipt' && movement.word && `on hold: ${word_words(movement.word)}`,
    ].filter(Boolean).join(', ');
}

function came_back_words(movement) {
    return [`Brought back to ${movement.place}`, movement.word && `film ${movement.word}`,
            movement.minutes !== undefined && `${hours_words(movement.minutes / 60)} more`,
            movement.amount_ul !== undefined && `${ml_words(movement.amount_ul / 1000)} in it`,
    ].filter(Boolean).join(', ');
}

function amount_words(movement) {
    return movement.amount_ul === undefined ? 'an unknown amount' : ml_words(movement.amount_ul / 1000);
}

/** Of what goes out: the day by which it is promised back. */
function back_words({expires}) {
    return expires ? `, back by ${day_words(expires)}` : '';
}

/** A person's name, or "job KQ-1042". */
function whom_words({detail}, names) {
    const whom = (detail && detail.for) || '';
    return names.get(whom) || `job ${whom}`;
}

const pour_words = {
    'fill': 'filled into', 'top-up': 'topped up in', 'decant': 'decanted into', 'transfer': 'moved into', 'recover': 'recovered into',
    'printer': 'run by the printer into',
};

function inspected_words(movement) {
    const {mixer, float} = movement.detail || {};
    return [`Inspected: ${movement.unit && movement.unit[0] === 'P' ? 'surface' : 'film'} ${movement.word}`,
            mixer && `mixer ${mixer}`, float && `float ${float}`].filter(Boolean).join(', ');
}

function life_shown_words({minutes, detail}) {
    const {left} = detail || {};
    return `The printer showed ${hours_left_words(minutes)}; ${left === undefined ? 'our books did not know, and took it' : `by our books ${hours_left_words(left)}`}; read`;
}

const movement_kinds = {
    'pour': movement => `${amount_words(movement)} from ${movement.unit} ${pour_words[movement.word] || 'into'} ${movement.other}`,
    'use': movement => `${amount_words(movement)} used by job ${movement.job}${movement.word === 'estimate' ? ', an estimate' : ''}`,
    'waste': movement => [`${amount_words(movement)} thrown away`, movement.other && `into ${movement.other}`,
                          movement.word && word_words(movement.word)].filter(Boolean).join(', '),
    'retire': movement => [`Retired: ${word_words(movement.word || '')}`, movement.other && `its resin is in ${movement.other}`].filter(Boolean).join(', '),
    'dispose': () => 'It has left the room',
    'relabel': movement => `The label of ${movement.other} was lost: the thing is ${movement.unit} from here on`,
    'clean': () => 'Cleaned: nothing is in it',
    'weighing': movement => `${amount_words(movement)} were found in it`,
    'inspection': inspected_words,
    'stir': () => 'Stirred',
    'pair': movement => `Tray ${movement.other} and case ${movement.unit} ${movement.word ? 'were parted' : 'were made a pair'}`,
    'surface-renewal': () => 'A new removable surface was put on',
    'life-shown': life_shown_words,
    'receipt': came_in_words,
    'take-on': came_in_words,
    'print': label_words,
    'print-move': movement => `Label ${movement.pieces ?? ''} was moved to the front`.replace('  ', ' '),
    'print-tell': () => 'The printer was told to drop the label',
    'put-away': movement => `Put at ${movement.place}`,
    'fill': movement => ['Filled with', movement.item, movement.lot && `lot ${movement.lot}`,
                         movement.amount_ul !== undefined && ml_words(movement.amount_ul / 1000)].filter(Boolean).join(' '),
    'check-out': movement => `Taken to ${movement.printer}${movement.word ? ', against the verdict' : ''}${back_words(movement)}`,
    'reserve': (movement, names) => `Kept for ${whom_words(movement, names)}${movement.expires ? ` until ${day_words(movement.expires)}` : ''}`,
    'unreserve': () => 'Kept no more',
    'lend': movement => `Lent to ${movement.place}${movement.word ? ', against the verdict' : ''}${back_words(movement)}`,
    'check-in': came_back_words,
    'supply': movement => movement.other ? `From here on the resin of ${movement.other} may run into ${movement.unit}`
                                         : 'Stood in the printer for another job',
    'hold': movement => `Put on hold: ${word_words(movement.word || 'no reason')}`,
    'release': () => 'Released from hold',
    'question': movement => `A question was opened: ${word_words(movement.word || '')}`,
    'settlement': () => 'The question was settled',
    'correction': movement => `Movement ${movement.refers} was taken back`,
};

function overruled_words({overruled, approver}, names) {
    const reasons = overruled.split(' ').map(word_words).join(', ');
    return `; ${names.get(approver) || approver} overruled the stop (${reasons})`;
}

/** One movement of a unit's history as a sentence; `names` maps badge serials to names. */
export function movement_words(movement, names) {
    const kind = movement_kinds[movement.kind];
    const what = kind ? kind(movement, names) : word_words(movement.kind);
    const who = movement.person ? ` by ${names.get(movement.person) || movement.person}` : '';
    const against = movement.detail && movement.detail.overruled ? overruled_words(movement.detail, names) : '';
    return `${what}${who}${against}.`;
}

/** Reasons to put a thing on hold: keyword and words. */
export const HOLD_REASONS = [
    ['damaged', 'damaged'], ['leaking', 'leaking'], ['not-ordered', 'not ordered'], ['short-dated', 'short-dated'],
    ['wrong-label', 'wrong label'], ['contaminated', 'contaminated'], ['to-inspect', 'to inspect'],
];

/** The same of a cartridge besides: its supplier's to answer for. */
export const OUTLET_REASONS = [['outlet-stuck', 'outlet does not open'], ['outlet-leaks', 'outlet leaks']];

/** Reasons to end a thing's service. */
export const RETIRE_REASONS = [
    ['worn', 'worn out'], ['film-damaged', 'film damaged'], ['leaking', 'leaking'], ['scratched', 'scratched'], ['empty', 'empty'],
    ['contaminated', 'contaminated'], ['lost', 'lost'],
];

/** A delivery opened by its card has no supplier yet. */
export function supplier_words(delivery) {
    return delivery.supplier && delivery.supplier !== 'not said' ? delivery.supplier : 'a supplier nobody named';
}

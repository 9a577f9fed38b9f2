// What stands in a label that is only looked at. Everything is of Kestrel Quay, which is invented; the serials are of the
// range that a real kiosk refuses.

const serials = {'bottle-hazard': 'R900102Q', 'bottle-hazard-red': 'R900102Q', 'waste-hazard': 'W900101H', 'vat-case': 'V900101Y', vat: 'T900101V', bottle: 'R900102Q', platform: 'P900101P', waste: 'W900101H', person: 'H900101N'};

const common = {
    item: 'FLINT', 'item-name': 'Flint cartridge', resin: 'Flint rev 2', lot: 'FL-2207', filled: '2026-02-14',
    expires: '2027-08-31', content: '1000', place: 'A03', person: 'Maren', card: 'YES', note: 'Kestrel Quay', sample: 'SAMPLE',
    // invented as well: what goes on a real label comes from its SDS
    product: 'Flint resin', 'signal-word': 'Warning', pictograms: 'GHS07 GHS09', statements: 'H317 May cause an allergic skin reaction.|H411 Toxic to aquatic life with long lasting effects.',
    precautions: 'P280 Wear protective gloves and eye protection.', sds: 'SDS of 2026-01-10: binder 3', capacity: '1000',
    supplier: 'Kestrel Quay Resins', 'supplier-address': '2 Harbour Row, Kestrel Quay', 'supplier-phone': '+00 555 0100', quantity: '1 l', ufi: 'N1QV-R02N-J00M-WQD5', language: 'en',
};

const others = {
    'vat-case': {item: 'VAT-S', 'item-name': 'Small vat', content: ''},
    vat: {item: 'VAT-S', 'item-name': 'Small vat', resin: ''},
    platform: {item: 'PLAT-S', 'item-name': 'Small platform', resin: ''},
    'waste-hazard': {item: 'WASTE', 'item-name': 'Used wash solvent', product: 'Used wash solvent'},
    waste: {item: 'WASTE', 'item-name': 'Used wash solvent'},
    'job-ticket': {job: 'KQ-1042', printer: 'CAPSTAN', resin: 'Flint', revision: '2', content: '120', ends: '2027-02-14T18:30Z'},
};

/** A value for each of the fields in `names`, "" where nothing would usually stand. */
export function sample_values(template, names) {
    const kind = template.replace(/-[0-9]+x[0-9]+$/, ''); // another roll's label says the same
    const values = {serial: serials[kind] || 'C900102M', ...common, ...others[kind]};
    return Object.fromEntries(names.map(name => [name, values[name] || '']));
}

/** The fields that a template asks for, in the order of the kiosk's list; `text` may be ahead of what was saved. */
export function fields_of(row, text, all) {
    const written = [...text.matchAll(/\{([a-z-]+)\}|\bonly if (?:no )?([a-z-]+)/g)].map(found => found[1] || found[2]);
    const asked = new Set([...(row.needs || []), ...(row.takes || []), ...written]);
    return all.filter(name => asked.has(name));
}

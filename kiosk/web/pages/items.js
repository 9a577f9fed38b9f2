// Items: what the ledger keeps in minutes, people say in hours.

const HOURS = {life_hours: 'life_minutes', inspect_hours: 'inspect_minutes', surface_hours: 'surface_minutes'};

/** {life_hours, …} of an item as the kiosk answers it; null where nobody said. */
export function hours_of_item(item) {
    return Object.fromEntries(Object.entries(HOURS).map(
        ([hours, minutes]) => [hours, item[minutes] === null ? null : item[minutes] / 60]));
}

#ifndef TESTS_SUPPORT_GROWN_ROOM_H
#define TESTS_SUPPORT_GROWN_ROOM_H

#include "kiosk/ledger/ledger.h"

/* A print room's ledger by how many things it ever had, booked through the ledger's own door (ledger_book: apply and
 * hashes), act by act as a counter does: units come in twenty of a lot, are labelled, proved and put away; a tenth of
 * them all stands on the shelves at the end, the others were taken out, brought back and retired, the vats with a job
 * each. 300 items, GROWN_PLACES places, GROWN_PRINTERS printers, 40 people. Deterministic. Aborts with a sentence when
 * something fails.
 *
 * (tests/bench/big_ledger.h grows one by its movements: few units, long lives.) */

enum { GROWN_PLACES = 2000, GROWN_PRINTERS = 20, GROWN_LOT_UNITS = 20 };

/* Into an empty ledger, opened as the writer. `today`: the last unit came in the day before. */
void grown_room_fill(struct ledger *ledger, int64_t units, struct day today);

/* A storekeeper trained for everything, whom every such room has. */
void grown_room_storekeeper(char serial[SERIAL_SIZE]);
/* Item number `which` of a letter: C cartridges (with density), V vats, R bottles, P platforms. */
void grown_room_item(char letter, int64_t which, char code[ITEM_CODE_SIZE]);
void grown_room_place(int64_t which, char code[PLACE_SIZE]);
void grown_room_printer(int64_t which, char code[PRINTER_SIZE]);

#endif

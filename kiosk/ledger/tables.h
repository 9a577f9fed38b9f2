#ifndef KIOSK_LEDGER_TABLES_H
#define KIOSK_LEDGER_TABLES_H

#include "kiosk/ledger/ledger_room.h"

/* Writing the rows of present state: for database_store.c alone, because only apply may change them. Each is
 * FAULT_CONFLICT when the stored row has a newer version. Loading by key is in the public headers, but for these two,
 * which do not join the erasable text in. */

bool item_save(struct ledger *ledger, const struct item *row, struct fault *fault);
bool lot_save(struct ledger *ledger, const struct lot *row, struct fault *fault);
bool place_save(struct ledger *ledger, const struct place *row, struct fault *fault);
bool machine_save(struct ledger *ledger, const struct machine *row, struct fault *fault);
bool unit_save(struct ledger *ledger, const struct unit *row, struct fault *fault);
bool delivery_save(struct ledger *ledger, const struct delivery *row, struct fault *fault);
bool job_save(struct ledger *ledger, const struct job *row, struct fault *fault);
bool print_save(struct ledger *ledger, const struct print *row, struct fault *fault);
/* `text` "" keeps the text that the row has. */
bool person_save(struct ledger *ledger, const struct person *row, const char *text, struct fault *fault);
bool question_save(struct ledger *ledger, const struct question *row, const char *text, struct fault *fault);

/* name and note are left as they are */
bool person_load_row(struct ledger *ledger, struct person *row, bool *found, struct fault *fault);
bool question_load_row(struct ledger *ledger, struct question *row, bool *found, struct fault *fault);

#endif

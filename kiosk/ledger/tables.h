#ifndef KIOSK_LEDGER_TABLES_H
#define KIOSK_LEDGER_TABLES_H

#include "kiosk/ledger/contents.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/print_looks.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/ledger/substitutions.h"

/* Writing the rows of present state: for database_store.c alone, because only apply may change them; and what verify
 * needs of them. Each is
 * FAULT_CONFLICT when the stored row has a newer version. Loading by key is in the public headers, but for these two,
 * which do not join the erasable text in. */

bool item_save(struct ledger *ledger, const struct item *row, struct fault *fault);
bool lot_save(struct ledger *ledger, const struct lot *row, struct fault *fault);
bool place_save(struct ledger *ledger, const struct place *row, struct fault *fault);
bool machine_save(struct ledger *ledger, const struct machine *row, struct fault *fault);
bool unit_save(struct ledger *ledger, const struct unit *row, struct fault *fault);
bool unit_mix_save(struct ledger *ledger, const struct unit_mix *row, struct fault *fault);
bool delivery_save(struct ledger *ledger, const struct delivery *row, struct fault *fault);
bool job_save(struct ledger *ledger, const struct job *row, struct fault *fault);
bool print_save(struct ledger *ledger, const struct print *row, struct fault *fault);
bool sticker_save(struct ledger *ledger, const struct sticker *row, struct fault *fault);
bool substitution_save(struct ledger *ledger, const struct substitution *row, struct fault *fault);
bool label_printer_save(struct ledger *ledger, const struct label_printer *row, struct fault *fault);
bool print_look_save(struct ledger *ledger, const struct print_look *row, struct fault *fault);
/* `text` "" keeps the text that the row has. */
bool person_save(struct ledger *ledger, const struct person *row, const char *text, struct fault *fault);
bool question_save(struct ledger *ledger, const struct question *row, const char *text, struct fault *fault);

/* The stock's totals follow a saved unit; `before` NULL: it is new. Called by unit_save. */
bool stock_change(struct ledger *ledger, const struct unit *before, const struct unit *after, struct fault *fault);

/* name and note are left as they are */
bool person_load_row(struct ledger *ledger, struct person *row, bool *found, struct fault *fault);
bool question_load_row(struct ledger *ledger, struct question *row, bool *found, struct fault *fault);

/* For verify: the stock's lines against the units added up anew. `*first` is the first that differs, when any does. */
bool stock_compare(struct ledger *ledger, int64_t *lines, int64_t *different, struct stock_line *first,
                   struct fault *fault);

#endif

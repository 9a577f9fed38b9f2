#ifndef KIOSK_LEDGER_APPLY_H
#define KIOSK_LEDGER_APPLY_H

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/movement.h"
#include "kiosk/ledger/print_looks.h"
#include "kiosk/ledger/substitutions.h"
#include "kiosk/ledger/unit.h"

/* What a movement does to the present state: the same function for booking, verify, import and an offline copy. It
 * knows no SQL: rows are read and written through a store, which is the database (booking, import) or memory (verify).
 * Deterministic: depends on the movement and the rows alone. */

struct apply_store {
    void *context;
    /* `*row` is filled with key fields set by the caller; *found says whether it existed. */
    bool (*load_item)(void *context, struct item *row, bool *found, struct fault *fault);
    bool (*save_item)(void *context, const struct item *row, struct fault *fault);
    bool (*load_lot)(void *context, struct lot *row, bool *found, struct fault *fault);
    bool (*save_lot)(void *context, const struct lot *row, struct fault *fault);
    bool (*load_place)(void *context, struct place *row, bool *found, struct fault *fault);
    bool (*save_place)(void *context, const struct place *row, struct fault *fault);
    bool (*load_machine)(void *context, struct machine *row, bool *found, struct fault *fault);
    bool (*save_machine)(void *context, const struct machine *row, struct fault *fault);
    bool (*load_person)(void *context, struct person *row, bool *found, struct fault *fault); /* name not touched */
    bool (*save_person)(void *context, const struct person *row, const char *text, struct fault *fault);
    bool (*load_unit)(void *context, struct unit *row, bool *found, struct fault *fault);
    bool (*save_unit)(void *context, const struct unit *row, struct fault *fault);
    bool (*load_unit_mix)(void *context, struct unit_mix *row, bool *found, struct fault *fault);
    bool (*save_unit_mix)(void *context, const struct unit_mix *row, struct fault *fault);
    bool (*load_delivery)(void *context, struct delivery *row, bool *found, struct fault *fault);
    bool (*save_delivery)(void *context, const struct delivery *row, struct fault *fault);
    bool (*load_job)(void *context, struct job *row, bool *found, struct fault *fault);
    bool (*save_job)(void *context, const struct job *row, struct fault *fault);
    bool (*load_print)(void *context, struct print *row, bool *found, struct fault *fault);
    bool (*save_print)(void *context, const struct print *row, struct fault *fault);
    bool (*load_sticker)(void *context, struct sticker *row, bool *found, struct fault *fault);
    bool (*save_sticker)(void *context, const struct sticker *row, struct fault *fault);
    bool (*load_substitution)(void *context, struct substitution *row, bool *found, struct fault *fault);
    bool (*save_substitution)(void *context, const struct substitution *row, struct fault *fault);
    bool (*load_label_printer)(void *context, struct label_printer *row, bool *found, struct fault *fault);
    bool (*save_label_printer)(void *context, const struct label_printer *row, struct fault *fault);
    bool (*load_print_look)(void *context, struct print_look *row, bool *found, struct fault *fault);
    bool (*save_print_look)(void *context, const struct print_look *row, struct fault *fault);
    bool (*load_question)(void *context, struct question *row, bool *found, struct fault *fault);
    bool (*save_question)(void *context, const struct question *row, const char *text, struct fault *fault);
};

/* FAULT_REFUSED when the movement cannot be: an unknown unit, a receipt of a serial that exists, a check-out of what is
 * out, a print step that is not listed … Then nothing was saved. */
bool apply(const struct movement *movement, const struct apply_store *store, struct fault *fault);

/* A unit's row and the lots in it, when they are several ("": they are not). */
struct unit_state {
    struct unit unit;
    char mix[CONTENTS_TEXT_SIZE];
};

/* The counter-movement that puts a unit's row back to `before` (its state before movement `refers`): fills
 * `correction` with the unit's present fields in full. Reading it back is part of apply. */
bool apply_write_correction(const struct unit_state *before, int64_t refers, struct movement *correction,
                            struct fault *fault);
/* The movement that gives the thing of `old` the serial `fresh`, because its label is lost: fills `relabel` with its
 * fields in full, so that the new unit's past can be told without the old one's. apply refuses it when the old row has
 * changed meanwhile. */
bool apply_write_relabel(const struct unit_state *old, const char *fresh, struct movement *relabel,
                         struct fault *fault);
/* The old unit's row and mix, as far as a movement "relabel" says them. */
bool apply_read_relabelled(const struct movement *relabel, struct unit_state *old, struct fault *fault);
/* The unit as it was just before movement `seq`, by folding its history. *found false: it did not exist. */
bool apply_unit_before(struct ledger *ledger, const char *serial, int64_t seq, struct unit_state *before, bool *found,
                       struct fault *fault);
/* The same, step by step: the unit before and after each of its movements (before: serial "" when it did not exist).
 * The visitor may not book; it returns false to stop. */
typedef bool unit_step_visitor(const struct movement *movement, const struct unit_state *before,
                               const struct unit_state *after, void *context);
bool apply_unit_each_step(struct ledger *ledger, const char *serial, unit_step_visitor *visit, void *context,
                          struct fault *fault);

#endif

#ifndef KIOSK_DESK_LABEL_CHOICE_H
#define KIOSK_DESK_LABEL_CHOICE_H

#include "kiosk/desk/turn.h"
#include "kiosk/ledger/print_batch.h"

/* Which labels an act is about: the newest of one thing, badge or place, or a range of a batch. */

#define LABEL_CHOICE_KEYS "unit", "place", "batch", "from", "to"

struct label_choice {
    struct print_batch batch; /* of one label, place 1 of 1, when no batch was named */
    bool is_batch;
};

/* Reads the keys above from the act's content. FAULT_INPUT: not exactly one of unit, place, batch, or a range that is
 * none; FAULT_MISSING: no such label. label_choice_clear frees. */
bool label_choice_load(struct turn *turn, struct label_choice *choice, struct fault *fault);
void label_choice_clear(struct label_choice *choice);

/* "label 1 of C000001X", "labels 5 to 12 of 20". */
enum { LABEL_CHOICE_WORDS = 80 };
void label_choice_words(const struct label_choice *choice, char words[LABEL_CHOICE_WORDS]);

#endif

#ifndef KIOSK_LEDGER_PRINT_BATCH_H
#define KIOSK_LEDGER_PRINT_BATCH_H

#include "kiosk/ledger/desk_rows.h"

/* The labels that one act ordered: a receipt of 20 is a batch of 20, "labels 5 to 12 of 20" is a range of it. Their
 * places in it are those of the movements that ordered them, and stay, whatever becomes of the labels. */

struct print_batch {
    struct print *labels; /* those of the range, in the order in which they were ordered */
    int64_t first;        /* place of labels[0] in the batch, from 1 */
    size_t count;
    int64_t size; /* of the whole batch; 0: no such act, or it ordered no labels */
};

/* Labels `from` to `to` of a batch, both counted; `to` beyond its end is its end. True with size 0 when there is none.
 * print_batch_clear frees. */
bool print_batch_load(struct ledger *ledger, const char *batch, int64_t from, int64_t to, struct print_batch *loaded,
                      struct fault *fault);
void print_batch_clear(struct print_batch *batch);

#endif

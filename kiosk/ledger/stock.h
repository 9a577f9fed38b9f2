#ifndef KIOSK_LEDGER_STOCK_H
#define KIOSK_LEDGER_STOCK_H

#include "kiosk/ledger/unit.h"

/* What there is, summed: a line an item, use-by day, lot, status, hold and label. A table of its own, which changes
 * with every unit that is saved, because adding up a million units takes longer than anybody waits. Units in and out
 * count, others do not. */

struct stock_line {
    char item[ITEM_CODE_SIZE], lot[LOT_SIZE];
    enum unit_status status;
    bool held, labelled;
    int64_t expires; /* day, MOVEMENT_NULL = none or unknown */
    int64_t units;
    int64_t amount_ul;      /* known contents summed */
    int64_t amount_unknown; /* units whose content is unknown */
};
typedef bool stock_visitor(const struct stock_line *line, void *context);
/* In order of item, use-by day (none last), lot; those of items behind `after` ("": all). The visitor returns false to
 * stop. */
bool stock_each(struct ledger *ledger, const char *after, stock_visitor *visit, void *context, struct fault *fault);
/* Of one item. */
bool stock_each_of_item(struct ledger *ledger, const char *item, stock_visitor *visit, void *context,
                        struct fault *fault);

/* Units in stock or out whose label was never scanned back. */
bool stock_count_unproved(struct ledger *ledger, int64_t *units, struct fault *fault);

/* An item's lines added up. Each unit counts once in `units` and once in one of the five below it. */
struct stock_total {
    char item[ITEM_CODE_SIZE];
    int64_t units;
    int64_t out;
    int64_t held;          /* these and the next are in */
    int64_t unproved;      /* not held, label not scanned back */
    int64_t expired;       /* nothing but its use-by day is against it */
    int64_t ready;         /* to take */
    int64_t first_expires; /* earliest use-by day of those ready, MOVEMENT_NULL = none has one */
    int64_t amount_ul, amount_unknown;
};
typedef bool stock_total_visitor(const struct stock_total *total, void *context);
/* Of every item that has units, in order of item; `today` decides what has expired. */
bool stock_each_total(struct ledger *ledger, struct day today, stock_total_visitor *visit, void *context,
                      struct fault *fault);

#endif

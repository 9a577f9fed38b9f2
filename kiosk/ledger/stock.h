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
/* In order of item, use-by day (none last), lot. The visitor returns false to stop. */
bool stock_each(struct ledger *ledger, stock_visitor *visit, void *context, struct fault *fault);
/* Of one item. */
bool stock_each_of_item(struct ledger *ledger, const char *item, stock_visitor *visit, void *context,
                        struct fault *fault);

#endif

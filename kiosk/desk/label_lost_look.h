#ifndef KIOSK_DESK_LABEL_LOST_LOOK_H
#define KIOSK_DESK_LABEL_LOST_LOOK_H

#include "kiosk/desk/counter.h"
#include "kiosk/rules/lost_label.h"

/* Which units of the counter's item (and lot) may be the thing without a label: those that stand there by the books,
 * and those that are out or were never put away; without those whose labels were seen. */

struct label_lost_look {
    struct lost_candidate list[LOST_LABEL_CANDIDATES];
    size_t count;
    bool more; /* than the list holds */
    struct lost_finding finding;
};

bool label_lost_look(struct ledger *ledger, const struct counter *counter, struct label_lost_look *look,
                     struct fault *fault);

#endif

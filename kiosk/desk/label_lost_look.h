#ifndef KIOSK_DESK_LABEL_LOST_LOOK_H
#define KIOSK_DESK_LABEL_LOST_LOOK_H

#include "kiosk/desk/counter.h"
#include "kiosk/rules/lost_label.h"

/* Which units of the counter's item (and lot) may be the thing without a label: those that stand there by the books,
 * and those that are out or were never put away; without those whose labels were seen. One whose lot is unknown or a
 * mix may be of any lot. Those that stand elsewhere by the books are told apart: they may have been moved unscanned. */

enum { LABEL_LOST_BOOKED = 2 };

struct label_lost_booked {
    char serial[SERIAL_SIZE], place[PLACE_SIZE];
};

struct label_lost_look {
    char lot[LOT_SIZE];                                 /* that is looked for; "" any */
    struct label_lost_booked booked[LABEL_LOST_BOOKED]; /* the first ones of those elsewhere … */
    size_t booked_count;                                /* … and how many there are */
    struct lost_candidate list[LOST_LABEL_CANDIDATES];
    size_t count;
    bool more; /* than the list holds */
    struct lost_finding finding;
};

bool label_lost_look(struct ledger *ledger, const struct counter *counter, struct label_lost_look *look,
                     struct fault *fault);

#endif

#ifndef KIOSK_RULES_LOST_LABEL_H
#define KIOSK_RULES_LOST_LABEL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/content/unit_label.h"

/* A thing without its label: which of the units that are booked must it be? What is left when all whose labels were
 * seen are left out. Those that should stand where it stands come first; one that is out by the books may have come
 * back unbooked, so it is said and never left out by itself. Common practice of stores, no source. Pure. */

enum { LOST_LABEL_CANDIDATES = 64, LOST_LABEL_WORD_SIZE = 33 };

struct lost_candidate {
    char serial[SERIAL_SIZE];
    bool here;                  /* by the books it stands there; else it is out, or was never put away */
    char resin[ITEM_CODE_SIZE]; /* in it; "" none */
    char lot[LOT_SIZE];
    char film[LOST_LABEL_WORD_SIZE];
    int64_t amount_ul; /* INT64_MIN: nobody knows */
    bool opened;
};

enum lost_answer {
    LOST_NONE,    /* no booked unit can be it */
    LOST_SURE,    /* one, and no other anywhere */
    LOST_LIKELY,  /* one that should stand here; others are elsewhere by the books */
    LOST_SEVERAL, /* two or more: see more labels, or look at what differs */
};

struct lost_finding {
    enum lost_answer answer;
    size_t one;             /* LOST_SURE, LOST_LIKELY: its place in the list */
    size_t here, elsewhere; /* how many of the list */
};

/* `count` of LOST_LABEL_CANDIDATES at most; `more`: there were others that are not in the list. */
struct lost_finding lost_label_find(const struct lost_candidate *list, size_t count, bool more);

/* LOST_SEVERAL: in what those that it is first among differ, as a sentence with what to do; "" when in nothing that
 * anybody could see. */
enum { LOST_LABEL_ADVICE_SIZE = 120 };
void lost_label_advise(const struct lost_candidate *list, size_t count, char advice[LOST_LABEL_ADVICE_SIZE]);

#endif

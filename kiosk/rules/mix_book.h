#ifndef KIOSK_RULES_MIX_BOOK_H
#define KIOSK_RULES_MIX_BOOK_H

#include "kiosk/rules/mix.h"
#include "kiosk/rules/names.h"

/* The events of a mix, played from first to last: what mix and recall have in common. Lots, containers and jobs are
 * numbered by the order of their ids. */

struct mix_part {
    uint32_t lot;
    double ml;
};

struct mix_vessel {
    struct mix_part *parts; /* of the lots present, by lot */
    uint32_t count, room;
    double total;
    const char *resin; /* the one that is stated of a lot present; NULL: none is */
};

struct mix_book {
    const struct mix_case *asked;
    struct arena *arena;
    struct names lots, containers, jobs;
    struct mix_vessel *held, *used;      /* of containers, of jobs */
    double *received, *used_up, *wasted; /* of lots */
    uint32_t *from, *to;                 /* of events: numbers of containers; to: of a container or a job */
    double *share;                       /* of events: what part of what was in `from` left it */
};

/* Everything in the book lives in the arena; the case is borrowed. */
bool mix_book_play(struct mix_book *book, const struct mix_case *asked, struct arena *arena, struct rule_fault *fault);

#endif

#ifndef KIOSK_RULES_SHELF_LIFE_H
#define KIOSK_RULES_SHELF_LIFE_H

#include "kiosk/rules/rule.h"

/* Until when may it be used? The last usable day is the earliest of what the label, the supplier's code and the
 * making allow, and, once it is open, of the open life. Usable through the end of that day: common practice, no
 * source. Six-digit dates: labels/content/gs1_date.h. */

/* A life counted from a day: one of the two, the other RULE_NO_COUNT; both RULE_NO_COUNT: none is known. Months are
 * added in one step and end at the end of the month reached at most. */
struct shelf_life_span {
    int64_t months, days; /* >= 0 */
};

struct shelf_life_case {
    struct day today;
    struct day expires;          /* of the label; RULE_NO_DAY: none, as with the other days */
    const char *gs1_date;        /* YYMMDD; NULL: none */
    struct day made;             /* not after today; comes with a life */
    struct shelf_life_span life; /* of a lot, from `made` */
    struct day opened;           /* not after today */
    struct shelf_life_span open_life;
    struct day needed_until; /* RULE_NO_DAY: not asked */
    int64_t minimum_days;    /* fewer days left are short-dated; RULE_NO_COUNT: not asked */
};

struct shelf_life_answer {
    struct rule_said said;
    struct day lot_expires;  /* RULE_NO_DAY: not known */
    struct day open_expires; /* RULE_NO_DAY: not opened, or not known */
    struct day expires;
    const char *limited_by; /* "label", "gs1", "made", "opened"; NULL: not known */
    int64_t days_left;      /* negative: so many days too late */
    enum rule_truth expired;
    bool day_was_00; /* the supplier's code named a month only */
    enum rule_truth usable_then, short_dated;
};

/* The same of a date alone, for a counter that has its own sentences: all but `said`. It cannot fail. */
struct shelf_life_answer shelf_life_of(struct day expires, struct day today, int64_t minimum_days);
/* The first use-by day that is not expired today: the bound for whoever lets a database count by it. */
struct day shelf_life_first_usable(struct day today);

bool shelf_life(const struct shelf_life_case *asked, struct arena *arena, struct shelf_life_answer *answer,
                struct rule_fault *fault);

#endif

#ifndef KIOSK_RULES_OLDER_FIRST_H
#define KIOSK_RULES_OLDER_FIRST_H

#include "kiosk/rules/check_out.h"
#include "kiosk/rules/rule.h"

/* Resin that must be used sooner goes out sooner: a cartridge or bottle is asked about while an older one of the same
 * resin and revision stands in storage. Common practice of the trade (first expired, first out), no source.
 *
 * As many are chosen as were asked for, in this order: while the job's need is not known, by use-by day; once it is,
 * first what the load plan takes (load_plan.h, objective fefo), in the order to draw from them, then the others by day.
 * What was asked for and not chosen is asked about when an older one was chosen; never for one of the same day.
 *
 * The plan counts with what is there for sure: less of each amount, more of the need (job_need.h). One that was asked
 * for and holds the need alone is only put behind a single one that does so too: nobody who has enough in hand is sent
 * for two. Where no set holds the need, or it is so large that the plan would take long, the day decides.
 *
 * Pure. Texts are borrowed for the call, and by the answer. */

enum {
    OLDER_FIRST_STORED = 16, /* the earliest of those in storage */
    OLDER_FIRST_NEED_ML = 20000
};

struct older_first_one {
    const char *serial, *place; /* "": not put away yet */
    struct day use_by;          /* last usable day */
    int64_t amount_ul;          /* by the books; OLDER_FIRST_UNKNOWN */
    bool estimated, opened;
};
#define OLDER_FIRST_UNKNOWN INT64_MIN

struct older_first_case {
    const char *resin;                   /* what is in all of them */
    const struct older_first_one *asked; /* CHECK_OUT_UNITS at most */
    size_t asked_count;
    const struct older_first_one *stored; /* usable, none of them asked for; OLDER_FIRST_STORED at most */
    size_t stored_count;
    int64_t need_ul; /* that they have to hold; OLDER_FIRST_UNKNOWN */
    int64_t slots;   /* containers the printer still takes at once, >= 1 */
    struct day job_end;
};

/* May it go out in place of another one? What stands in storage with a use-by day, and nothing speaks against it.
 * `printer` NULL: not said yet. */
bool older_first_usable(const struct check_out_thing *thing, bool labelled, int64_t amount_ul, struct day today,
                        const char *printer);

/* Of each asked for, in order, the one of `stored` that should go first; NULL where it may go. */
struct older_first_answer {
    const struct older_first_one *instead[CHECK_OUT_UNITS];
};
void older_first(const struct older_first_case *asked, struct arena *arena, struct older_first_answer *answer);

/* Adds a reason for each that should wait. */
void older_first_judge(const struct older_first_case *asked, const struct older_first_answer *answer,
                       struct verdict_list *list);

#endif

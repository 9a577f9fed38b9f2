#ifndef KIOSK_RULES_LIFE_CHANNELS_H
#define KIOSK_RULES_LIFE_CHANNELS_H

#include <stddef.h>

#include "kiosk/rules/rule.h"

/* A vat has several limits (damage of the film, age, litres, inspections, wear of one spot), and the first that is
 * reached retires it: the life used is the largest share of a limit, the days left are the fewest. The channel that is
 * worn most need not be the first to run out, for each goes at its own rate. Weakest link; common practice, no source.
 */

struct life_channel {
    const char *name;
    double used;        /* >= 0, in the channel's own unit, as the next two */
    double limit;       /* > 0; RULE_NULL: not known, which is neither 0 nor endless */
    double use_per_day; /* >= 0; RULE_NULL: not known */
};

struct life_channels_case {
    const struct life_channel *channels;
    size_t channel_count;
    bool inspection_failed; /* retires at once, whatever the numbers say */
};

struct life_channel_state {
    double fraction;  /* RULE_NULL: no limit */
    double days_left; /* RULE_NULL: no limit, or no use a day; but 0 once the limit is reached */
};

struct life_channels_answer {
    struct rule_said said;
    double fraction;              /* the largest; RULE_NULL: no channel has a limit */
    const char *fraction_channel; /* the first that has it; NULL likewise */
    double days_left;             /* the fewest; RULE_NULL: no channel has any */
    const char *first_out;        /* the first that has them, "inspection" when that failed; NULL likewise */
    bool retire;
    const struct life_channel_state *channels; /* of each, in order */
};

bool life_channels(const struct life_channels_case *asked, struct arena *arena, struct life_channels_answer *answer,
                   struct rule_fault *fault);

#endif

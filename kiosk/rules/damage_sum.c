#include "kiosk/rules/damage_sum.h"

#include <math.h>
#include <string.h>

const struct damage_hours *damage_rating(const struct damage_hours *ratings, size_t count, const char *class)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(ratings[i].class, class) == 0)
            return &ratings[i];
    return NULL;
}

static void say_unknown(const char *class, struct arena *arena, struct damage_sum_answer *answer)
{
    const char *why = rule_text(arena, "hours of class '%s' were used, for which no life is rated: rate it", class);
    answer->damage = RULE_NULL;
    answer->hours_left = NULL;
    answer->retire = TRUTH_NULL;
    rule_set_unknown(&answer->said, "damage", why);
    rule_set_unknown(&answer->said, "hours_left", why);
    rule_set_unknown(&answer->said, "retire", why);
    answer->said.sentence = rule_text(arena, "The damage is not known: %s.", why);
}

bool damage_sum(const struct damage_sum_case *asked, struct arena *arena, struct damage_sum_answer *answer,
                struct rule_fault *fault)
{
    double damage = 0;
    *answer = (struct damage_sum_answer){.said = {.method = "linear damage sum (Palmgren, Miner)"}};
    for (size_t i = 0; i < asked->used_count; i++) {
        const struct damage_hours *used = &asked->used[i],
                                  *rating = damage_rating(asked->ratings, asked->rating_count, used->class);
        if (!rating && used->hours > 0) {
            say_unknown(used->class, arena, answer);
            return true;
        }
        damage += rating ? used->hours / rating->hours : 0;
    }
    double *left = arena_take(arena, asked->rating_count, sizeof *left);
    if (!left)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < asked->rating_count; i++)
        left[i] = fmax(0, (asked->limit - damage) * asked->ratings[i].hours);
    answer->damage = damage;
    answer->hours_left = left;
    answer->retire = damage >= asked->limit - RULE_SLACK ? TRUTH_YES : TRUTH_NO;
    answer->said.sentence =
        answer->retire == TRUTH_YES
            ? rule_text(arena, "%.0f %% of the life is used and the limit is %.0f %%: retire it.", 100 * damage,
                        100 * asked->limit)
            : rule_text(arena, "%.0f %% of the life is used; the limit is %.0f %%.", 100 * damage, 100 * asked->limit);
    return true;
}

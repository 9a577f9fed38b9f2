#include "kiosk/rules/fefo_waste.h"

#include <math.h>

static void say_unknown(struct fefo_waste_answer *answer)
{
    static const char why[] = "no demand is known: give 'demand_per_day', or 'demand' day by day";
    answer->total_waste = answer->unmet = RULE_NULL;
    rule_set_unknown(&answer->said, "total_waste", why);
    rule_set_unknown(&answer->said, "unmet", why);
    rule_set_unknown(&answer->said, "lots", why);
    answer->said.sentence = "Nobody knows what will expire unused, for no demand is known.";
}

static void say(struct arena *arena, struct fefo_waste_answer *answer)
{
    const char *missing = answer->unmet > RULE_SLACK
                              ? rule_text(arena, " %s of the demand finds nothing.", rule_number(arena, answer->unmet))
                              : "";
    size_t worst = 0;
    for (size_t i = 1; i < answer->lot_count; i++)
        if (answer->waste[i] > answer->waste[worst])
            worst = i;
    if (answer->total_waste <= RULE_SLACK)
        answer->said.sentence = rule_text(arena, "Nothing will expire unused.%s", missing);
    else
        answer->said.sentence = rule_text(
            arena, "%s of %s will expire unused, most of it of lot '%s' (%s): use it sooner or order less.%s",
            rule_number(arena, answer->total_waste), rule_number(arena, fefo_total(answer->lots, answer->lot_count)),
            answer->lots[worst].id, rule_number(arena, answer->waste[worst]), missing);
}

/* Demand through the end of a day, asked for days that do not go back. */
struct demand_so_far {
    size_t days;
    double sum;
};

static double demand_through(const struct fefo_waste_case *asked, double day, struct demand_so_far *so_far)
{
    if (day <= 0)
        return 0;
    if (!asked->demand)
        return asked->per_day * day;
    while ((double)so_far->days < day)
        so_far->sum += asked->demand[so_far->days++];
    return so_far->sum;
}

static bool check(const struct fefo_waste_case *asked, double last_day, struct rule_fault *fault)
{
    if (asked->demand && !rule_is_null(asked->per_day))
        return rule_fault_set(fault, RULE_CONFLICT, "demand",
                              "'demand_per_day' and 'demand' are both given: give one of them");
    if (asked->demand && (double)asked->demand_count < last_day)
        return rule_fault_set(fault, RULE_CONFLICT, "demand",
                              "'demand' has %zu days, but the last lot expires on day %.0f: give as many days",
                              asked->demand_count, last_day);
    return true;
}

static bool project(const struct fefo_waste_case *asked, double *waste, struct fefo_waste_answer *answer,
                    struct rule_fault *fault)
{
    struct demand_so_far so_far = {0};
    double stock = 0, demand = 0;
    for (size_t i = 0; i < answer->lot_count; i++) {
        stock += answer->lots[i].quantity;
        demand = demand_through(asked, answer->lots[i].expires, &so_far);
        waste[i] = fmax(0, stock - demand - answer->total_waste);
        answer->total_waste += waste[i];
    }
    answer->unmet = fmax(0, demand - (stock - answer->total_waste));
    answer->waste = waste;
    if (isfinite(stock) && isfinite(demand))
        return true;
    return rule_fault_set(fault, RULE_RANGE, isfinite(stock) ? asked->demand ? "demand" : "demand_per_day" : "lots",
                          "the quantities are too large to be added up: check the units");
}

bool fefo_waste(const struct fefo_waste_case *asked, struct arena *arena, struct fefo_waste_answer *answer,
                struct rule_fault *fault)
{
    *answer = (struct fefo_waste_answer){.said = {.method = "FEFO projection, closed form"},
                                         .lots = fefo_sort(asked->lots, asked->lot_count, arena),
                                         .lot_count = asked->lot_count};
    double *waste = arena_take(arena, asked->lot_count, sizeof *waste);
    if (!answer->lots || !waste)
        return rule_fault_memory(fault);
    if (!check(asked, asked->lot_count > 0 ? answer->lots[asked->lot_count - 1].expires : 0, fault))
        return false;
    if (asked->lot_count > 0 && !asked->demand && rule_is_null(asked->per_day)) {
        say_unknown(answer);
        return true;
    }
    if (!project(asked, waste, answer, fault))
        return false;
    say(arena, answer);
    return true;
}

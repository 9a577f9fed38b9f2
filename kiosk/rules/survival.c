#include "kiosk/rules/survival.h"

#include <gsl/gsl_cdf.h>

#include "kiosk/rules/log_rank.h"
#include "kiosk/rules/survival_curve.h"
#include "kiosk/rules/text_kinds.h"

/* --- what is read off the curve --- */

static bool read_quantiles(const struct survival_curve *curve, struct arena *arena, struct survival_answer *answer)
{
    const struct survival_case *asked = curve->asked;
    const bool enough = curve->event_count >= SURVIVAL_LEAST_EVENTS;
    double *quantiles = arena_take(arena, asked->quantile_count, sizeof *quantiles);
    answer->quantiles = quantiles;
    for (size_t i = 0; quantiles && i < asked->quantile_count; i++) {
        const size_t step = enough ? survival_curve_falls_to(curve, 1 - asked->quantiles[i]) : curve->step_count;
        quantiles[i] = step < curve->step_count ? curve->steps[step].hours : RULE_NULL;
    }
    if (!enough)
        rule_set_unknown(&answer->said, "quantiles",
                         rule_text(arena,
                                   "%zu of %zu units came to their end, and fewer than %d say nothing of when others "
                                   "will: go by the rated life",
                                   curve->event_count, asked->unit_count, (int)SURVIVAL_LEAST_EVENTS));
    return quantiles != NULL;
}

static void read_restricted_mean(const struct survival_curve *curve, struct arena *arena,
                                 struct survival_answer *answer)
{
    const double asked = curve->asked->restrict_hours, until = rule_is_null(asked) ? curve->last : asked;
    double area = 0, from = 0;
    size_t i = 0;
    if (until > curve->last) {
        answer->restricted_mean_hours = RULE_NULL;
        rule_set_unknown(
            &answer->said, "restricted_mean_hours",
            rule_text(arena, "no unit was watched for longer than %.10g hours: restrict to that or less", curve->last));
        return;
    }
    for (; i < curve->step_count && curve->steps[i].hours < until; from = curve->steps[i++].hours)
        area += survival_curve_after(curve, i) * (curve->steps[i].hours - from);
    answer->restricted_mean_hours = area + survival_curve_after(curve, i) * (until - from);
}

static bool read_at(const struct survival_curve *curve, struct arena *arena, struct survival_answer *answer)
{
    const struct survival_case *asked = curve->asked;
    bool all_known = true;
    double *at = arena_take(arena, asked->at_count, sizeof *at);
    answer->at = at;
    for (size_t i = 0; at && i < asked->at_count; i++) {
        const bool known = survival_curve_is_known(curve, asked->at_hours[i]);
        at[i] = known ? survival_curve_after(curve, survival_curve_steps(curve, asked->at_hours[i])) : RULE_NULL;
        all_known = all_known && known;
    }
    if (all_known)
        return at != NULL;
    const char *why =
        rule_text(arena, "no unit was watched for longer than %.10g hours: ask for that or less", curve->last);
    rule_set_unknown(&answer->said, "at", why);
    if (asked->causes)
        rule_set_unknown(&answer->said, "incidence", why);
    return true;
}

/* --- causes --- */

struct passing { /* an event of one cause */
    double hours;
    double share; /* of all units, gone for this cause by then */
};

struct passings {
    struct passing *all; /* those of the first cause in order of hours, then of the second, … */
    size_t *ends;        /* of each cause, the place behind its last */
};

static bool causes_find(const struct survival_case *asked, struct arena *arena, struct text_kinds *causes)
{
    const char **of_events = arena_take(arena, asked->unit_count, sizeof *of_events);
    for (size_t i = 0; of_events && i < asked->unit_count; i++)
        of_events[i] = asked->events[i] ? asked->causes[i] : NULL;
    return of_events && text_kinds_find(of_events, asked->unit_count, arena, causes);
}

/* An event takes one in those at risk of the units that were left before it. */
static bool passings_find(const struct survival_curve *curve, const struct text_kinds *causes, struct arena *arena,
                          struct passings *passings)
{
    const size_t count = curve->asked->unit_count;
    size_t step = 0, end = 0;
    passings->all = arena_take(arena, curve->event_count, sizeof *passings->all);
    passings->ends = arena_take(arena, causes->count, sizeof *passings->ends);
    if (!passings->all || !passings->ends)
        return false;
    for (size_t i = 0; i < count; i++)
        if (causes->of[i] != TEXT_KINDS_NONE)
            passings->ends[causes->of[i]]++;
    for (size_t k = 0; k < causes->count; k++) { /* counts become first places, which move on to ends below */
        const size_t events = passings->ends[k];
        passings->ends[k] = end;
        end += events;
    }
    for (size_t i = 0; i < count; i++) {
        const size_t cause = causes->of[curve->units[i].index];
        if (cause == TEXT_KINDS_NONE)
            continue;
        while (curve->steps[step].hours < curve->units[i].hours)
            step++;
        passings->all[passings->ends[cause]++] = (struct passing){
            curve->units[i].hours, survival_curve_after(curve, step) / (double)curve->steps[step].at_risk};
    }
    for (size_t k = 0, i = 0; k < causes->count; k++)
        for (double sum = 0; i < passings->ends[k]; i++)
            passings->all[i].share = sum += passings->all[i].share;
    return true;
}

static double share_at(const struct passing *passings, size_t count, double hours)
{
    size_t low = 0, high = count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (passings[middle].hours <= hours)
            low = middle + 1;
        else
            high = middle;
    }
    return low > 0 ? passings[low - 1].share : 0;
}

static bool read_incidence(const struct survival_curve *curve, struct arena *arena, struct survival_answer *answer)
{
    const struct survival_case *asked = curve->asked;
    struct text_kinds causes;
    struct passings passings;
    if (!causes_find(asked, arena, &causes) || !passings_find(curve, &causes, arena, &passings))
        return false;
    struct survival_incidence *incidence = arena_take(arena, causes.count, sizeof *incidence);
    answer->incidence = incidence;
    answer->cause_count = causes.count;
    for (size_t k = 0; incidence && k < causes.count; k++) {
        const size_t start = k > 0 ? passings.ends[k - 1] : 0;
        double *at = arena_take(arena, asked->at_count, sizeof *at);
        incidence[k] = (struct survival_incidence){causes.kinds[k], at};
        if (!at)
            return false;
        for (size_t i = 0; i < asked->at_count; i++)
            at[i] = survival_curve_is_known(curve, asked->at_hours[i])
                        ? share_at(passings.all + start, passings.ends[k] - start, asked->at_hours[i])
                        : RULE_NULL;
    }
    return incidence != NULL;
}

/* --- groups --- */

static bool compare_groups(const struct survival_curve *curve, struct arena *arena, struct survival_answer *answer,
                           struct rule_fault *fault)
{
    const struct survival_case *asked = curve->asked;
    struct text_kinds groups;
    struct log_rank_unit *units = arena_take(arena, asked->unit_count, sizeof *units);
    if (!units || !text_kinds_find(asked->groups, asked->unit_count, arena, &groups))
        return rule_fault_memory(fault);
    if (groups.count < 2)
        return rule_fault_set(fault, RULE_CONFLICT, "groups",
                              "all units are of group '%.60s', so there is nothing to compare: leave groups out",
                              groups.kinds[0]);
    if (groups.count > SURVIVAL_GROUPS)
        return rule_fault_set(fault, RULE_RANGE, "groups", "there are %zu groups, but at most %d can be compared",
                              groups.count, (int)SURVIVAL_GROUPS);
    for (size_t i = 0; i < asked->unit_count; i++) {
        const size_t index = curve->units[i].index;
        units[i] = (struct log_rank_unit){curve->units[i].hours, asked->events[index], groups.of[index]};
    }
    answer->degrees_of_freedom = groups.count - 1;
    if (!log_rank(units, asked->unit_count, groups.count, arena, &answer->chi2))
        return rule_fault_memory(fault);
    answer->p = rule_is_null(answer->chi2) ? RULE_NULL : gsl_cdf_chisq_Q(answer->chi2, (double)groups.count - 1);
    if (rule_is_null(answer->p))
        rule_set_unknown(&answer->said, "log_rank",
                         "never were units of two groups at risk when one of them came to its end: wait for more");
    return true;
}

/* --- all --- */

static bool check(const struct survival_case *asked, struct arena *arena, struct rule_fault *fault)
{
    if (asked->unit_count == 0)
        return rule_fault_set(fault, RULE_RANGE, "hours", "there are no units: give the hours of one at least");
    if (asked->groups && asked->entry_hours)
        return rule_fault_set(fault, RULE_CONFLICT, "groups",
                              "groups are compared for units watched from new only: leave out entry_hours or groups");
    for (size_t i = 0; asked->entry_hours && i < asked->unit_count; i++)
        if (!(asked->entry_hours[i] < asked->hours[i]))
            return rule_fault_set(fault, RULE_RANGE, rule_text(arena, "entry_hours.%zu", i),
                                  "unit %zu entered at %.10g hours, but was watched until %.10g only: entry must be "
                                  "before it",
                                  i, asked->entry_hours[i], asked->hours[i]);
    return true;
}

static const char *sentence_of(const struct survival_curve *curve, const struct survival_answer *answer,
                               struct arena *arena)
{
    const char *groups = "";
    if (!rule_is_null(answer->p))
        groups = answer->p < 1 - curve->asked->confidence ? " The groups do not last alike."
                                                          : " The groups may well last alike.";
    if (curve->event_count < SURVIVAL_LEAST_EVENTS)
        return rule_text(arena, "%zu of %zu units came to their end: too few to say how long others last.%s",
                         curve->event_count, curve->asked->unit_count, groups);
    const size_t half = survival_curve_falls_to(curve, 0.5);
    if (half < curve->step_count)
        return rule_text(arena, "%zu of %zu units came to their end; half are gone by %s hours.%s", curve->event_count,
                         curve->asked->unit_count, rule_number(arena, curve->steps[half].hours), groups);
    return rule_text(arena, "%zu of %zu units came to their end; %.0f %% last %s hours or longer.%s",
                     curve->event_count, curve->asked->unit_count, 100 * survival_curve_after(curve, curve->step_count),
                     rule_number(arena, curve->last), groups);
}

bool survival(const struct survival_case *asked, struct arena *arena, struct survival_answer *answer,
              struct rule_fault *fault)
{
    static const char *const methods[] = {"Kaplan-Meier, Greenwood's limits on ln(-ln S)",
                                          "Kaplan-Meier, Greenwood's limits on ln S",
                                          "Kaplan-Meier, Greenwood's limits on S"};
    struct survival_curve curve;
    *answer = (struct survival_answer){.said = {.method = methods[asked->interval]}, .chi2 = RULE_NULL, .p = RULE_NULL};
    if (!check(asked, arena, fault))
        return false;
    if (!survival_curve_draw(asked, arena, &curve) || !read_quantiles(&curve, arena, answer) ||
        !read_at(&curve, arena, answer) || (asked->causes && !read_incidence(&curve, arena, answer)))
        return rule_fault_memory(fault);
    answer->steps = curve.steps;
    answer->step_count = curve.step_count;
    answer->event_count = curve.event_count;
    read_restricted_mean(&curve, arena, answer);
    if (asked->groups && !compare_groups(&curve, arena, answer, fault))
        return false;
    answer->said.sentence = sentence_of(&curve, answer, arena);
    return true;
}

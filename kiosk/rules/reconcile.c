#include "kiosk/rules/reconcile.h"

static const double GUARD = 1.645; /* normal, 95 % on one side */

static double ledger_u_now(const struct reconcile_case *asked)
{
    double u = asked->ledger_u_ml, sum = 0;
    for (size_t i = 0; i < asked->job_count; i++) {
        sum += asked->jobs_ml[i];
        if (!asked->correlated)
            u = hypot(u, asked->job_share * asked->jobs_ml[i]);
    }
    return asked->correlated ? hypot(u, asked->job_share * sum) : u;
}

static const char *sentence_of(const struct reconcile_case *asked, const struct reconcile_answer *answer,
                               struct arena *arena)
{
    if (answer->alarm)
        return rule_text(arena,
                         "The scale shows %.0f ml %s than the ledger, more than chance explains: find out why, then "
                         "decide what to book.",
                         fabs(answer->difference_ml), answer->difference_ml < 0 ? "less" : "more");
    if (fabs(answer->movement_ml) < 0.5)
        return rule_text(arena, "Ledger and scale agree: %.0f ml, give or take %.0f ml.", answer->fused_ml,
                         ceil(2 * answer->fused_u_ml));
    return rule_text(arena, "Book %+.0f ml by weighing: %.0f ml becomes %.0f ml, give or take %.0f ml.",
                     answer->movement_ml, asked->ledger_ml, answer->fused_ml, ceil(2 * answer->fused_u_ml));
}

bool reconcile(const struct reconcile_case *asked, struct arena *arena, struct reconcile_answer *answer,
               struct rule_fault *fault)
{
    const double u_now = ledger_u_now(asked), both = hypot(u_now, asked->weighed_u_ml);
    const double difference = asked->weighed_ml - asked->ledger_ml, share = u_now / both;
    *answer = (struct reconcile_answer){.said = {.method = "inverse variance, alarm by z"},
                                        .ledger_u_now_ml = u_now,
                                        .difference_ml = difference,
                                        .z = difference / both,
                                        .fused_ml = asked->ledger_ml + share * share * difference,
                                        .fused_u_ml = share * asked->weighed_u_ml};
    if (!isfinite(answer->z) || !isfinite(answer->fused_ml) || !isfinite(answer->fused_u_ml))
        return rule_fault_set(fault, RULE_RANGE, "",
                              "these numbers are too large to be reckoned with: check the units");
    answer->alarm = fabs(answer->z) > asked->limit + RULE_SLACK;
    answer->movement_ml = answer->alarm ? RULE_NULL : share * share * difference;
    answer->guard_ml = GUARD * answer->fused_u_ml;
    answer->said.sentence = sentence_of(asked, answer, arena);
    return true;
}

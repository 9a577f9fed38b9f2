#include "kiosk/rules/weibull_fit.h"

#include <gsl/gsl_cdf.h>

#include "kiosk/rules/weibull_likelihood.h"

static void say_no_fit(size_t unit_count, struct arena *arena, struct weibull_fit_answer *answer)
{
    static const char *const keys[] = {"eta_hours",  "beta",    "log_likelihood", "se_eta_hours",        "se_beta",
                                       "mean_hours", "b_lives", "survive",        "mean_remaining_hours"};
    const char *why = answer->event_count == 0
                          ? rule_text(arena, "none of %zu units has worn out: go by the rated life", unit_count)
                          : "only units of the largest hours have worn out, which every steep curve fits: wait for "
                            "more, or go by the rated life";
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        rule_set_unknown(&answer->said, keys[i], why);
    answer->eta_hours = answer->beta = answer->log_likelihood = answer->se_eta_hours = answer->se_beta =
        answer->mean_hours = RULE_NULL;
    answer->said.sentence = rule_text(arena, "No life can be told from this: %s.", why);
}

static double held(double value, const char *key, struct rule_said *said)
{
    return rule_held(value, key, "the curve is so flat that this is more hours than can be counted: give more units",
                     said);
}

static bool read_b_lives(const struct weibull_fit_case *asked, const struct weibull_estimate *fit, struct arena *arena,
                         struct weibull_fit_answer *answer)
{
    const double z = gsl_cdf_ugaussian_Qinv((1 - asked->confidence) / 2);
    const bool enough = answer->event_count >= WEIBULL_FIT_LEAST_EVENTS;
    struct weibull_b_life *lives = arena_take(arena, asked->b_life_count, sizeof *lives);
    answer->b_lives = lives;
    for (size_t i = 0; lives && i < asked->b_life_count; i++) {
        const double middle = weibull_log_quantile(fit->weibull, asked->b_lives[i]),
                     reach = z * weibull_log_quantile_se(fit, asked->b_lives[i]);
        lives[i] = (struct weibull_b_life){RULE_NULL, RULE_NULL, RULE_NULL};
        if (!enough)
            continue;
        lives[i].hours = held(exp(middle), "b_lives", &answer->said);
        lives[i].lower_hours = held(exp(middle - reach), "b_lives", &answer->said);
        lives[i].upper_hours = held(exp(middle + reach), "b_lives", &answer->said);
    }
    if (!enough)
        rule_set_unknown(&answer->said, "b_lives",
                         rule_text(arena,
                                   "%zu of %zu units have worn out, and fewer than %d say too little of when others "
                                   "will: go by the rated life",
                                   answer->event_count, asked->unit_count, (int)WEIBULL_FIT_LEAST_EVENTS));
    return lives != NULL;
}

static bool read_chances(const struct weibull_fit_case *asked, struct weibull weibull, struct arena *arena,
                         struct weibull_fit_answer *answer)
{
    double *survive = arena_take(arena, asked->survive_count, sizeof *survive),
           *remaining = arena_take(arena, asked->mean_remaining_count, sizeof *remaining);
    if (!survive || !remaining)
        return false;
    for (size_t i = 0; i < asked->survive_count; i++)
        survive[i] = exp(-weibull_hazard(weibull, asked->survive[i].from_hours, asked->survive[i].more_hours));
    for (size_t i = 0; i < asked->mean_remaining_count; i++)
        remaining[i] =
            held(weibull_mean_remaining(weibull, asked->mean_remaining_at[i]), "mean_remaining_hours", &answer->said);
    answer->survive = survive;
    answer->mean_remaining_hours = remaining;
    return true;
}

static const char *sentence_of(const struct weibull_fit_case *asked, const struct weibull_estimate *fit,
                               struct arena *arena, const struct weibull_fit_answer *answer)
{
    const double z = gsl_cdf_ugaussian_Qinv((1 - asked->confidence) / 2),
                 tenth = weibull_log_quantile(fit->weibull, 0.1), reach = z * weibull_log_quantile_se(fit, 0.1);
    if (answer->event_count < WEIBULL_FIT_LEAST_EVENTS)
        return rule_text(arena,
                         "%zu of %zu units %s worn out: a curve can be drawn, but go by the rated life until %d have.",
                         answer->event_count, asked->unit_count, answer->event_count == 1 ? "has" : "have",
                         (int)WEIBULL_FIT_LEAST_EVENTS);
    return rule_text(arena, "A tenth have worn out by %s hours (%s to %s at %.3g %%), half by %s; %s.",
                     rule_number(arena, exp(tenth)), rule_number(arena, exp(tenth - reach)),
                     rule_number(arena, exp(tenth + reach)), 100 * asked->confidence,
                     rule_number(arena, exp(weibull_log_quantile(fit->weibull, 0.5))),
                     fit->weibull.beta > 1 ? "old ones fail more often than new ones, so retiring by hours helps"
                                           : "old ones fail no more often than new ones, so retiring by hours does "
                                             "not help");
}

bool weibull_fit(const struct weibull_fit_case *asked, struct arena *arena, struct weibull_fit_answer *answer,
                 struct rule_fault *fault)
{
    struct weibull_estimate fit;
    *answer = (struct weibull_fit_answer){.said = {.method = "Weibull, maximum likelihood with right censoring"}};
    for (size_t i = 0; i < asked->unit_count; i++)
        answer->event_count += asked->events[i];
    switch (weibull_estimate(asked->hours, asked->events, asked->unit_count, arena, &fit)) {
    case WEIBULL_NO_ROOM:
        return rule_fault_memory(fault);
    case WEIBULL_NONE:
        say_no_fit(asked->unit_count, arena, answer);
        return true;
    case WEIBULL_FOUND:
        break;
    }
    answer->eta_hours = held(exp(fit.weibull.log_eta), "eta_hours", &answer->said);
    answer->beta = fit.weibull.beta;
    answer->log_likelihood = fit.log_likelihood;
    answer->se_eta_hours = held(exp(fit.weibull.log_eta) * sqrt(fit.v_location), "se_eta_hours", &answer->said);
    answer->se_beta = fit.weibull.beta * sqrt(fit.v_scale);
    answer->mean_hours = held(weibull_mean(fit.weibull), "mean_hours", &answer->said);
    if (!read_b_lives(asked, &fit, arena, answer) || !read_chances(asked, fit.weibull, arena, answer))
        return rule_fault_memory(fault);
    answer->said.sentence = sentence_of(asked, &fit, arena, answer);
    return true;
}

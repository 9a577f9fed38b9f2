#include "kiosk/rules/sample_size.h"

#include <math.h>

#include "kiosk/rules/sampling.h"

/* The chance that a list that is just not good enough passes. */
static double risk_of(const struct sample_size_case *asked, int64_t breaking, int64_t sample)
{
    if (asked->population == RULE_NO_COUNT)
        return sampling_binomial_at_most(sample, 1 - asked->accuracy, asked->wrong_allowed);
    return sampling_hypergeometric_at_most(asked->population, breaking, sample, asked->wrong_allowed);
}

/* The smallest sample up to `most` whose risk is low enough, or RULE_NO_COUNT: the larger the sample, the less. In
 * growing steps first, so that an endless list costs no more than its answer. */
static int64_t find_sample(const struct sample_size_case *asked, int64_t breaking, int64_t most)
{
    const double bound = 1 - asked->confidence + RULE_PROBABILITY_SLACK;
    int64_t low = asked->wrong_allowed, high = low; /* low is too small: so few can never be too many wrong */
    for (int64_t step = 1; high == low || risk_of(asked, breaking, high) > bound; step *= 2) {
        if (high >= most)
            return RULE_NO_COUNT;
        low = high;
        high = most - low > step ? low + step : most;
    }
    while (high - low > 1) {
        const int64_t middle = low + (high - low) / 2;
        if (risk_of(asked, breaking, middle) > bound)
            low = middle;
        else
            high = middle;
    }
    return high;
}

static int64_t find_breaking(const struct sample_size_case *asked)
{
    const double tolerable = floor((double)asked->population * (1 - asked->accuracy) + RULE_SLACK);
    const int64_t breaking = (int64_t)tolerable + 1;
    return breaking < asked->population ? breaking : asked->population;
}

static void say(const struct sample_size_case *asked, struct arena *arena, struct sample_size_answer *answer)
{
    const long long allowed = (long long)asked->wrong_allowed;
    if (!answer->possible) {
        answer->said.sentence = rule_text(
            arena,
            "No count can show it: a list with %lld of %lld wrong is not good enough any more, but would pass "
            "with %lld allowed. Allow fewer wrong ones, or ask for less accuracy.",
            (long long)answer->wrong_breaking, (long long)asked->population, allowed);
        return;
    }
    const char *of_all =
        asked->population == RULE_NO_COUNT ? "" : rule_text(arena, " of the %lld", (long long)asked->population);
    const char *wrong = allowed == 0 ? "none is" : rule_text(arena, "no more than %lld are", allowed);
    answer->said.sentence =
        rule_text(arena,
                  "Draw %lld%s records by lot and count them: if %s wrong, at least %.14g %% of all "
                  "are right, with %.14g %% confidence.",
                  (long long)answer->sample, of_all, wrong, 100 * asked->accuracy, 100 * asked->confidence);
}

bool sample_size(const struct sample_size_case *asked, struct arena *arena, struct sample_size_answer *answer,
                 struct rule_fault *fault)
{
    const bool endless = asked->population == RULE_NO_COUNT;
    *answer = (struct sample_size_answer){
        .said = {.method = endless ? "acceptance sampling, binomial" : "acceptance sampling, hypergeometric"},
        .wrong_breaking = endless ? RULE_NO_COUNT : find_breaking(asked),
        .risk = RULE_NULL};
    answer->sample = find_sample(asked, answer->wrong_breaking, endless ? SAMPLING_MOST_DRAWS : asked->population);
    answer->possible = answer->sample != RULE_NO_COUNT;
    if (endless && !answer->possible)
        return rule_fault_set(fault, RULE_RANGE, "accuracy",
                              "more than %lld records would have to be counted: ask for "
                              "less accuracy or allow fewer wrong ones",
                              (long long)SAMPLING_MOST_DRAWS);
    if (answer->possible)
        answer->risk = risk_of(asked, answer->wrong_breaking, answer->sample);
    say(asked, arena, answer);
    return true;
}

#include "kiosk/rules/record_accuracy.h"

#include <math.h>

#include "kiosk/rules/sampling.h"

static bool is_accurate(const struct counted_record *record)
{
    const double tolerated = fmax(record->tolerance, record->tolerance_share * fabs(record->expected));
    return fabs(record->found - record->expected) <= tolerated + RULE_SLACK;
}

static bool sum_records(const struct record_accuracy_case *asked, struct record_accuracy_answer *answer,
                        struct rule_fault *fault)
{
    answer->net = answer->gross = answer->net_value = answer->gross_value = 0;
    answer->counted = (int64_t)asked->record_count;
    for (size_t i = 0; i < asked->record_count; i++) {
        const struct counted_record *record = &asked->records[i];
        const double over = record->found - record->expected;
        answer->accurate += is_accurate(record);
        answer->net += over;
        answer->gross += fabs(over);
        answer->net_value += over * record->unit_value;
        answer->gross_value += fabs(over) * record->unit_value;
    }
    return (isfinite(answer->gross) && isfinite(answer->gross_value)) ||
           rule_fault_set(fault, RULE_RANGE, "records",
                          "the differences of the records are too large to be summed: "
                          "look for a number that was typed wrong");
}

static bool check(const struct record_accuracy_case *asked, struct rule_fault *fault)
{
    const int64_t counted = asked->has_records ? (int64_t)asked->record_count : asked->counted;
    if (!asked->has_records && asked->wrong > asked->counted)
        return rule_fault_set(fault, RULE_CONFLICT, "wrong",
                              "%lld records are wrong of %lld that were counted: count "
                              "each wrong one among the counted",
                              (long long)asked->wrong, (long long)asked->counted);
    if (asked->population != RULE_NO_COUNT && asked->population < counted)
        return rule_fault_set(fault, RULE_RANGE, "population",
                              "there are %lld records in all, but %lld were counted: each counts once",
                              (long long)asked->population, (long long)counted);
    if (asked->has_two_counts && (asked->both > asked->first || asked->both > asked->second))
        return rule_fault_set(fault, RULE_CONFLICT, "two_counts.both",
                              "both found %lld, but one of the two found fewer: 'both' is what the one and the other "
                              "found",
                              (long long)asked->both);
    return true;
}

/* The largest number of wrong ones in all under which so few wrong ones in the count would not be rarer than `risk`:
 * bisected, as more wrong ones in all make few in the count rarer. */
static int64_t find_most_wrong(int64_t population, int64_t counted, int64_t wrong, double risk)
{
    int64_t low = wrong, high = population - (counted - wrong) + 1; /* low may be it, high is too many */
    while (high - low > 1) {
        const int64_t middle = low + (high - low) / 2;
        if (sampling_hypergeometric_at_most(population, middle, counted, wrong) > risk + RULE_PROBABILITY_SLACK)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* Chapman's estimate, nearly without bias, of how many there are when two people looked for them independently. */
static void estimate_total(const struct record_accuracy_case *asked, struct record_accuracy_answer *answer)
{
    const double first = (double)asked->first, second = (double)asked->second, both = (double)asked->both;
    answer->estimated_total = (first + 1) * (second + 1) / (both + 1) - 1;
    answer->estimated_total_se =
        sqrt((first + 1) * (second + 1) * (first - both) * (second - both) / (both + 2)) / (both + 1);
}

static void say_nothing_was_counted(struct arena *arena, struct record_accuracy_answer *answer, bool population)
{
    static const char *const keys[] = {"accuracy", "lower", "upper", "lower_one_sided"};
    const char *why = "nothing was counted: draw some records by lot and count them";
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        rule_set_unknown(&answer->said, keys[i], why);
    if (population) {
        rule_set_unknown(&answer->said, "most_wrong", why);
        rule_set_unknown(&answer->said, "accuracy_at_least", why);
    }
    answer->said.sentence = rule_text(arena, "How accurate the records are is not known: %s.", why);
}

static void say(const struct record_accuracy_case *asked, struct arena *arena, struct record_accuracy_answer *answer)
{
    const char *more = "";
    if (answer->most_wrong != RULE_NO_COUNT)
        more = rule_text(arena, " Of all %lld no more than %lld are wrong, with the same confidence.",
                         (long long)asked->population, (long long)answer->most_wrong);
    answer->said.sentence =
        rule_text(arena,
                  "%lld of %lld records were right, %.1f %%; with %.14g %% confidence at least %.1f %% are, if "
                  "those counted were drawn by lot.%s",
                  (long long)answer->accurate, (long long)answer->counted, 100 * answer->accuracy,
                  100 * asked->confidence, 100 * answer->lower_one_sided, more);
}

bool record_accuracy(const struct record_accuracy_case *asked, struct arena *arena,
                     struct record_accuracy_answer *answer, struct rule_fault *fault)
{
    const double risk = 1 - asked->confidence;
    const bool population = asked->population != RULE_NO_COUNT;
    *answer =
        (struct record_accuracy_answer){.said = {.method = "share of accurate records, limits of Clopper and Pearson"},
                                        .counted = asked->counted,
                                        .accurate = asked->counted - asked->wrong,
                                        .accuracy = RULE_NULL,
                                        .lower = RULE_NULL,
                                        .upper = RULE_NULL,
                                        .lower_one_sided = RULE_NULL,
                                        .net = RULE_NULL,
                                        .gross = RULE_NULL,
                                        .net_value = RULE_NULL,
                                        .gross_value = RULE_NULL,
                                        .most_wrong = RULE_NO_COUNT,
                                        .accuracy_at_least = RULE_NULL,
                                        .estimated_total = RULE_NULL,
                                        .estimated_total_se = RULE_NULL};
    if (!check(asked, fault) || (asked->has_records && !sum_records(asked, answer, fault)))
        return false;
    if (asked->has_two_counts)
        estimate_total(asked, answer);
    if (answer->counted == 0) {
        say_nothing_was_counted(arena, answer, population);
        return true;
    }
    const int64_t counted = answer->counted, accurate = answer->accurate;
    answer->accuracy = (double)accurate / (double)counted;
    answer->lower = sampling_lower_limit(counted, accurate, risk / 2);
    answer->upper = sampling_upper_limit(counted, accurate, risk / 2);
    answer->lower_one_sided = sampling_lower_limit(counted, accurate, risk);
    if (population) {
        answer->most_wrong = find_most_wrong(asked->population, counted, counted - accurate, risk);
        answer->accuracy_at_least = 1 - (double)answer->most_wrong / (double)asked->population;
    }
    say(asked, arena, answer);
    return true;
}

#include "kiosk/cases/lives.h"

void lives_check_length(struct case_in *in, const char *key, size_t count, size_t units)
{
    if (case_good(in) && case_has(in, key) && count != units)
        case_fail(in, RULE_CONFLICT, key, "'%s' is of %zu units, but 'hours' of %zu: give one entry a unit", key, count,
                  units);
}

void lives_read(struct case_in *in, const double **hours, const bool **events, size_t *count)
{
    size_t flag_count = 0;
    *hours = case_numbers(in, "hours", CASE_POSITIVE, true, count);
    const int64_t *flags = case_counts(in, "events", 0, 1, true, &flag_count);
    bool *happened = case_room(in, *count, sizeof *happened);
    lives_check_length(in, "events", flag_count, *count);
    for (size_t i = 0; case_good(in) && i < *count; i++)
        happened[i] = flags[i] == 1;
    *events = happened;
}

const struct weibull_span *lives_read_spans(struct case_in *in, const char *key, size_t *count)
{
    static const char *const keys[] = {"from_hours", "more_hours", NULL};
    const json_t *list = case_list_or(in, key, count);
    struct weibull_span *spans = case_room(in, *count, sizeof *spans);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, key, list, i, keys);
        spans[i].from_hours = case_number(&item, "from_hours", CASE_NOT_NEGATIVE);
        spans[i].more_hours = case_number(&item, "more_hours", CASE_NOT_NEGATIVE);
    }
    return spans;
}

#include "kiosk/rules/record_accuracy.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/rules/sampling.h"

static void read_records(struct case_in *in, struct record_accuracy_case *asked)
{
    static const char *const keys[] = {"id", "expected", "found", "tolerance", "tolerance_share", "unit_value", NULL};
    const json_t *list = case_list(in, "records", &asked->record_count);
    struct counted_record *records = case_room(in, asked->record_count, sizeof *records);
    for (size_t i = 0; case_good(in) && i < asked->record_count; i++) {
        struct case_in item;
        case_open_item(&item, in, "records", list, i, keys);
        records[i].id = case_text(&item, "id");
        records[i].expected = case_number(&item, "expected", CASE_ANY);
        records[i].found = case_number(&item, "found", CASE_ANY);
        records[i].tolerance = case_number_or(&item, "tolerance", CASE_NOT_NEGATIVE, 0);
        records[i].tolerance_share = case_number_or(&item, "tolerance_share", CASE_NOT_NEGATIVE, 0);
        records[i].unit_value = case_number_or(&item, "unit_value", CASE_NOT_NEGATIVE, 1);
    }
    asked->has_records = true;
    asked->records = records;
    if (case_good(in))
        (void)case_unique_in(in, "records", "id", records, asked->record_count, sizeof *records,
                             offsetof(struct counted_record, id));
}

/* Records, or how many of how many were wrong: the one or the other. */
static void read_count(struct case_in *in, struct record_accuracy_case *asked)
{
    const bool numbers = case_has(in, "counted") || case_has(in, "wrong");
    if (case_has(in, "records") && numbers)
        case_fail(in, RULE_CONFLICT, case_has(in, "counted") ? "counted" : "wrong",
                  "give the records, or 'counted' and 'wrong', not both");
    else if (case_has(in, "records"))
        read_records(in, asked);
    else if (numbers || !case_good(in)) {
        asked->counted = case_count(in, "counted", 0, SAMPLING_MOST);
        asked->wrong = case_count(in, "wrong", 0, SAMPLING_MOST);
    } else
        case_fail(in, RULE_CONFLICT, "records", "nothing was counted here: give the records, or 'counted' and 'wrong'");
}

static void read_two_counts(struct case_in *in, struct record_accuracy_case *asked)
{
    static const char *const keys[] = {"first", "second", "both", NULL};
    struct case_in two;
    asked->has_two_counts = case_has(in, "two_counts");
    if (!asked->has_two_counts)
        return;
    case_open_under(&two, in, "two_counts", keys);
    asked->first = case_count(&two, "first", 0, SAMPLING_MOST);
    asked->second = case_count(&two, "second", 0, SAMPLING_MOST);
    asked->both = case_count(&two, "both", 0, SAMPLING_MOST);
}

static void put(json_t *out, const struct record_accuracy_answer *answer)
{
    case_put_count(out, "counted", answer->counted);
    case_put_count(out, "accurate", answer->accurate);
    case_put_number(out, "accuracy", answer->accuracy);
    case_put_number(out, "net", answer->net);
    case_put_number(out, "gross", answer->gross);
    case_put_number(out, "net_value", answer->net_value);
    case_put_number(out, "gross_value", answer->gross_value);
    case_put_number(out, "lower", answer->lower);
    case_put_number(out, "upper", answer->upper);
    case_put_number(out, "lower_one_sided", answer->lower_one_sided);
    case_put_count(out, "most_wrong", answer->most_wrong);
    case_put_number(out, "accuracy_at_least", answer->accuracy_at_least);
    case_put_number(out, "estimated_total", answer->estimated_total);
    case_put_number(out, "estimated_total_se", answer->estimated_total_se);
    case_put_said(out, &answer->said);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"records", "counted", "wrong", "confidence", "population", "two_counts", NULL};
    struct record_accuracy_case asked = {0};
    struct record_accuracy_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    read_count(&in, &asked);
    asked.confidence = case_number_or(&in, "confidence", CASE_INSIDE, 0.95);
    asked.population = case_count_or(&in, "population", 0, SAMPLING_MOST, RULE_NO_COUNT);
    read_two_counts(&in, &asked);
    if (!case_good(&in) || !record_accuracy(&asked, arena, &answer, fault))
        return false;
    put(out, &answer);
    return true;
}

const struct rule_case record_accuracy_rule = {"record-accuracy", compute};

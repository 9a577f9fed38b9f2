#include "kiosk/rules/survival.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/lives.h"

static const bool *read_events(struct case_in *in, struct survival_case *asked)
{
    size_t count = 0;
    const bool with_causes = case_has(in, "causes");
    bool *events = case_room(in, asked->unit_count, sizeof *events);
    if (with_causes && case_has(in, "events"))
        case_fail(in, RULE_CONFLICT, "causes", "'causes' tells which units had their event: leave out 'events'");
    if (with_causes) {
        asked->causes = case_texts_or_null(in, "causes", true, &count);
        lives_check_length(in, "causes", count, asked->unit_count);
        for (size_t i = 0; case_good(in) && i < count; i++)
            events[i] = asked->causes[i] != NULL;
        return events;
    }
    const int64_t *flags = case_counts(in, "events", 0, 1, true, &count);
    lives_check_length(in, "events", count, asked->unit_count);
    for (size_t i = 0; case_good(in) && i < count; i++)
        events[i] = flags[i] == 1;
    return events;
}

static void read_quantiles(struct case_in *in, struct survival_case *asked)
{
    static const double usual[] = {0.1, 0.25, 0.5};
    asked->quantiles = case_numbers(in, "quantiles", CASE_INSIDE, false, &asked->quantile_count);
    if (case_has(in, "quantiles"))
        return;
    asked->quantiles = usual;
    asked->quantile_count = sizeof usual / sizeof *usual;
}

static void read_case(struct case_in *in, struct survival_case *asked)
{
    static const char *const intervals[] = {"log-log", "log", "plain", NULL};
    size_t entries = 0, groups = 0;
    asked->hours = case_numbers(in, "hours", CASE_POSITIVE, true, &asked->unit_count);
    asked->events = read_events(in, asked);
    asked->entry_hours = case_numbers(in, "entry_hours", CASE_NOT_NEGATIVE, false, &entries);
    lives_check_length(in, "entry_hours", entries, asked->unit_count);
    asked->groups = case_texts(in, "groups", false, &groups);
    lives_check_length(in, "groups", groups, asked->unit_count);
    asked->interval = (enum survival_interval)case_word_or(in, "interval", intervals, SURVIVAL_LOG_LOG);
    asked->confidence = case_number_or(in, "confidence", CASE_INSIDE, 0.95);
    read_quantiles(in, asked);
    asked->at_hours = case_numbers(in, "at_hours", CASE_NOT_NEGATIVE, false, &asked->at_count);
    asked->restrict_hours = case_number_or(in, "restrict_hours", CASE_POSITIVE, RULE_NULL);
}

static void put_steps(json_t *out, const struct survival_answer *answer)
{
    json_t *list = case_put_list(out, "steps");
    for (size_t i = 0; i < answer->step_count; i++) {
        const struct survival_step *step = &answer->steps[i];
        json_t *item = case_put_item(list);
        case_put_number(item, "hours", step->hours);
        case_put_count(item, "at_risk", (int64_t)step->at_risk);
        case_put_count(item, "events", (int64_t)step->events);
        case_put_number(item, "survival", step->survival);
        case_put_number(item, "se", step->se);
        case_put_number(item, "lower", step->lower);
        case_put_number(item, "upper", step->upper);
    }
}

static void put_quantiles(json_t *out, const struct survival_case *asked, const struct survival_answer *answer)
{
    json_t *list = case_put_list(out, "quantiles");
    for (size_t i = 0; i < asked->quantile_count; i++) {
        json_t *item = case_put_item(list);
        case_put_number(item, "p", asked->quantiles[i]);
        case_put_number(item, "hours", answer->quantiles[i]);
    }
}

static void put_incidence(json_t *out, const struct survival_case *asked, const struct survival_answer *answer)
{
    if (!answer->incidence) {
        case_put_null(out, "incidence");
        return;
    }
    json_t *causes = json_object();
    case_put(out, "incidence", causes);
    for (size_t i = 0; i < answer->cause_count; i++)
        case_put_numbers(causes, answer->incidence[i].cause, answer->incidence[i].at, asked->at_count);
}

static void put_log_rank(json_t *out, const struct survival_answer *answer)
{
    if (rule_is_null(answer->p)) {
        case_put_null(out, "log_rank");
        return;
    }
    json_t *test = json_object();
    case_put(out, "log_rank", test);
    case_put_number(test, "chi2", answer->chi2);
    case_put_count(test, "df", (int64_t)answer->degrees_of_freedom);
    case_put_number(test, "p", answer->p);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"hours",      "events",    "causes",   "entry_hours",    "groups", "interval",
                                       "confidence", "quantiles", "at_hours", "restrict_hours", NULL};
    struct survival_case asked = {0};
    struct survival_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    read_case(&in, &asked);
    if (!case_good(&in) || !survival(&asked, arena, &answer, fault))
        return false;
    case_put_count(out, "units", (int64_t)asked.unit_count);
    case_put_count(out, "event_count", (int64_t)answer.event_count);
    put_steps(out, &answer);
    put_quantiles(out, &asked, &answer);
    case_put_number(out, "restricted_mean_hours", answer.restricted_mean_hours);
    case_put_numbers(out, "at", answer.at, asked.at_count);
    put_incidence(out, &asked, &answer);
    put_log_rank(out, &answer);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case survival_rule = {"survival", compute};

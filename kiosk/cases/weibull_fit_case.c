#include "kiosk/rules/weibull_fit.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/lives.h"

static void read_b_lives(struct case_in *in, struct weibull_fit_case *asked)
{
    static const double usual[] = {0.01, 0.1, 0.5};
    asked->b_lives = case_numbers(in, "b_lives", CASE_INSIDE, false, &asked->b_life_count);
    if (case_has(in, "b_lives"))
        return;
    asked->b_lives = usual;
    asked->b_life_count = sizeof usual / sizeof *usual;
}

static void put_b_lives(json_t *out, const struct weibull_fit_case *asked, const struct weibull_fit_answer *answer)
{
    if (!answer->b_lives) {
        case_put_null(out, "b_lives");
        return;
    }
    json_t *list = case_put_list(out, "b_lives");
    for (size_t i = 0; i < asked->b_life_count; i++) {
        json_t *item = case_put_item(list);
        case_put_number(item, "p", asked->b_lives[i]);
        case_put_number(item, "hours", answer->b_lives[i].hours);
        case_put_number(item, "lower_hours", answer->b_lives[i].lower_hours);
        case_put_number(item, "upper_hours", answer->b_lives[i].upper_hours);
    }
}

static void put_numbers(json_t *out, const char *key, const double *values, size_t count)
{
    if (values)
        case_put_numbers(out, key, values, count);
    else
        case_put_null(out, key);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"hours", "events", "b_lives", "confidence", "survive", "mean_remaining_at",
                                       NULL};
    struct weibull_fit_case asked = {0};
    struct weibull_fit_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    lives_read(&in, &asked.hours, &asked.events, &asked.unit_count);
    read_b_lives(&in, &asked);
    asked.confidence = case_number_or(&in, "confidence", CASE_INSIDE, 0.95);
    asked.survive = lives_read_spans(&in, "survive", &asked.survive_count);
    asked.mean_remaining_at =
        case_numbers(&in, "mean_remaining_at", CASE_NOT_NEGATIVE, false, &asked.mean_remaining_count);
    if (!case_good(&in) || !weibull_fit(&asked, arena, &answer, fault))
        return false;
    case_put_count(out, "units", (int64_t)asked.unit_count);
    case_put_count(out, "event_count", (int64_t)answer.event_count);
    case_put_number(out, "eta_hours", answer.eta_hours);
    case_put_number(out, "beta", answer.beta);
    case_put_number(out, "log_likelihood", answer.log_likelihood);
    case_put_number(out, "se_eta_hours", answer.se_eta_hours);
    case_put_number(out, "se_beta", answer.se_beta);
    case_put_number(out, "mean_hours", answer.mean_hours);
    put_b_lives(out, &asked, &answer);
    put_numbers(out, "survive", answer.survive, asked.survive_count);
    put_numbers(out, "mean_remaining_hours", answer.mean_remaining_hours, asked.mean_remaining_count);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case weibull_fit_rule = {"weibull-fit", compute};

#include "kiosk/rules/life_update.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/lives.h"

static void read_case(struct case_in *in, struct life_update_case *asked)
{
    asked->beta = case_number_or(in, "beta", CASE_POSITIVE, 3);
    asked->rated_hours = case_number(in, "rated_hours", CASE_POSITIVE);
    asked->rated_p = case_number_or(in, "rated_p", CASE_INSIDE, 0.1);
    asked->prior_events = case_number(in, "prior_events", CASE_POSITIVE);
    lives_read(in, &asked->hours, &asked->events, &asked->unit_count);
    asked->credible = case_number_or(in, "credible", CASE_INSIDE, 0.9);
    asked->predict = lives_read_spans(in, "predict", &asked->predict_count);
    asked->keep_from_hours = case_number_or(in, "keep_from_hours", CASE_NOT_NEGATIVE, 0);
    asked->keep_probability = case_number_or(in, "keep_probability", CASE_INSIDE, 0.9);
    asked->lower_confidence = case_number_or(in, "lower_confidence", CASE_INSIDE, 0.9);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {
        "beta",    "rated_hours",     "rated_p",          "prior_events",     "hours", "events", "credible",
        "predict", "keep_from_hours", "keep_probability", "lower_confidence", NULL};
    struct life_update_case asked = {0};
    struct life_update_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    read_case(&in, &asked);
    if (!case_good(&in) || !life_update(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "a", answer.a);
    case_put_number(out, "b", answer.b);
    case_put_number(out, "eta_hours", answer.eta_hours);
    case_put_number(out, "b_life_hours", answer.b_life_hours);
    case_put_number(out, "b_life_median_hours", answer.b_life_median_hours);
    case_put_number(out, "b_life_lower_hours", answer.b_life_lower_hours);
    case_put_number(out, "b_life_upper_hours", answer.b_life_upper_hours);
    case_put_numbers(out, "predict", answer.predict, asked.predict_count);
    case_put_number(out, "keep_hours", answer.keep_hours);
    json_t *classical = json_object();
    case_put(out, "classical", classical);
    case_put_number(classical, "eta_hours", answer.classical.eta_hours);
    case_put_number(classical, "b_life_hours", answer.classical.b_life_hours);
    case_put_number(classical, "eta_lower_hours", answer.classical.eta_lower_hours);
    case_put_number(classical, "b_life_lower_hours", answer.classical.b_life_lower_hours);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case life_update_rule = {"life-update", compute};

#include "kiosk/rules/spares.h"

#include <math.h>

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

/* Either the chances, or hours and the life they follow. */
static void read_chances(struct case_in *in, struct spares_case *asked)
{
    static const char *const of_hours[] = {"hours", "horizon_hours", "eta_hours", "beta"};
    if (!case_has(in, "probabilities") && case_has(in, "hours")) {
        asked->hours = case_numbers(in, "hours", CASE_NOT_NEGATIVE, true, &asked->vat_count);
        asked->horizon_hours = case_number(in, "horizon_hours", CASE_POSITIVE);
        asked->life.log_eta = log(case_number(in, "eta_hours", CASE_POSITIVE));
        asked->life.beta = case_number(in, "beta", CASE_POSITIVE);
        return;
    }
    for (size_t i = 0; case_has(in, "probabilities") && i < sizeof of_hours / sizeof *of_hours; i++)
        if (case_has(in, of_hours[i]))
            case_fail(in, RULE_CONFLICT, of_hours[i], "'%s' and 'probabilities' exclude each other: give one of them",
                      of_hours[i]);
    asked->probabilities = case_numbers(in, "probabilities", CASE_INSIDE, true, &asked->vat_count);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"probabilities", "hours", "horizon_hours", "eta_hours", "beta", "target", NULL};
    struct spares_case asked = {0};
    struct spares_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    read_chances(&in, &asked);
    asked.target = case_number_or(&in, "target", CASE_INSIDE, 0.95);
    if (!case_good(&in) || !spares(&asked, arena, &answer, fault))
        return false;
    case_put_numbers(out, "probabilities", answer.probabilities, asked.vat_count);
    case_put_number(out, "mean", answer.mean);
    case_put_pmf(out, "pmf", &answer.pmf);
    case_put_count(out, "spares", (int64_t)answer.spares);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case spares_rule = {"spares", compute};

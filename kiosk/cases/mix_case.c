#include "kiosk/rules/mix.h"

#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/mix_in.h"

static void put_holders(json_t *out, const char *key, const struct mix_holder *holders, size_t count, bool dated)
{
    json_t *list = case_put_list(out, key);
    for (size_t i = 0; i < count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", holders[i].id);
        case_put_number(item, "total_ml", holders[i].total_ml);
        if (dated)
            case_put_day(item, "expires", holders[i].expires);
        json_t *lots = case_put_list(item, "lots");
        for (size_t k = 0; k < holders[i].share_count; k++) {
            json_t *share = case_put_item(lots);
            case_put_text(share, "lot", holders[i].shares[k].lot);
            case_put_number(share, "quantity_ml", holders[i].shares[k].ml);
            case_put_number(share, "fraction", holders[i].shares[k].fraction);
        }
    }
}

static void put_balance(json_t *out, const struct mix_answer *answer)
{
    json_t *list = case_put_list(out, "balance");
    for (size_t i = 0; i < answer->balance_count; i++) {
        const struct mix_balance *balance = &answer->balance[i];
        json_t *item = case_put_item(list);
        case_put_text(item, "lot", balance->lot);
        case_put_number(item, "received_ml", balance->received_ml);
        case_put_number(item, "held_ml", balance->held_ml);
        case_put_number(item, "used_ml", balance->used_ml);
        case_put_number(item, "wasted_ml", balance->wasted_ml);
    }
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"lots", "containers", "events", NULL};
    struct mix_case asked = {0};
    struct mix_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    mix_in(&in, &asked);
    if (!case_good(&in) || !mix(&asked, arena, &answer, fault))
        return false;
    put_holders(out, "containers", answer.containers, answer.container_count, true);
    put_holders(out, "jobs", answer.jobs, answer.job_count, false);
    put_balance(out, &answer);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case mix_rule = {"mix", compute};

#include "kiosk/desk/weigh_in.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/rules/reconcile.h"
#include "kiosk/rules/weigh.h"

/* What a counter's scale and a resin's stated density are good for, and what the books are worth: common practice, no
 * source. */
#define SCALE_G        0.1   /* resolution, and as much again of repeatability */
#define DENSITY_SHARE  0.005 /* plus or minus */
#define BOOKS_SHARE    0.01  /* of a full one, standard uncertainty of an amount that was told or weighed */
#define ESTIMATE_SHARE 0.10  /* likewise of one that was reckoned */
#define FAR            3.0   /* standard uncertainties: then the two contradict each other */

enum { DG_A_G = 10, GRAMS_MOST = 100000, UL_A_ML = 1000, ARENA_SIZE = 65536 };

struct weighing {
    struct thing thing;
    struct contents contents;
    int64_t gross_dg, tare_dg; /* 0.1 g; tare MOVEMENT_NULL: not known */
    bool empty, confirm;
    int64_t amount_ul; /* to be booked */
    char sentence[COUNTER_TITLE_SIZE];
};

static bool read_content(struct turn *turn, const json_t *content, struct weighing *weighing, struct fault *fault)
{
    static const char *const keys[] = {"unit", "gross_g", "tare_g", "empty", "confirm", NULL};
    char serial[SERIAL_SIZE];
    if (!content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_amount(content, "gross_g", GRAMS_MOST, DG_A_G, &weighing->gross_dg, fault) ||
        !content_amount(content, "tare_g", GRAMS_MOST, DG_A_G, &weighing->tare_dg, fault) ||
        !content_flag(content, "empty", &weighing->empty, fault) ||
        !content_flag(content, "confirm", &weighing->confirm, fault) ||
        !thing_require(turn->ledger, serial, &weighing->thing, fault))
        return false;
    if (!strchr("VTCR", serial[0]))
        return fault_set(fault, FAULT_INPUT, "%s holds no resin: there is nothing to weigh", serial);
    if (weighing->gross_dg == MOVEMENT_NULL)
        return fault_set(fault, FAULT_INPUT, "'gross_g' is missing: say what the scale shows");
    if (weighing->tare_dg == MOVEMENT_NULL)
        weighing->tare_dg = weighing->empty ? weighing->gross_dg : weighing->thing.unit.tare_dg;
    return contents_load(turn->ledger, &weighing->thing.unit, &weighing->contents, fault);
}

static bool check_known(const struct weighing *weighing, struct fault *fault)
{
    const struct unit *unit = &weighing->thing.unit;
    if (weighing->contents.count == 0)
        return fault_set(fault, FAULT_REFUSED, "%s is empty by the books: say what was filled into it first",
                         unit->serial);
    if (weighing->tare_dg == MOVEMENT_NULL)
        return fault_set(fault, FAULT_REFUSED,
                         "what %s weighs when empty is not known: weigh it once empty, or say it beside the weight",
                         unit->serial);
    if (weighing->thing.resin.density_mg_ml <= 0)
        return fault_set(fault, FAULT_REFUSED,
                         "no density is entered for %s: enter it with the item on the page Room (SDS section 9)",
                         unit->resin);
    return true;
}

static double nominal_ml(const struct weighing *weighing)
{
    const int64_t content_ul = weighing->thing.item.content_ul;
    return content_ul == MOVEMENT_NULL ? RULE_NULL : (double)content_ul / UL_A_ML;
}

/* The books beside the weight: what to book, or that they contradict each other. */
static bool compare(struct weighing *weighing, double volume_ml, double u_ml, struct arena *arena,
                    struct verdict_list *list, struct fault *fault)
{
    const struct unit *unit = &weighing->thing.unit;
    const double nominal = nominal_ml(weighing), books_ml = (double)unit->amount_ul / UL_A_ML;
    const double full = rule_is_null(nominal) ? fmax(volume_ml, books_ml) : nominal;
    struct reconcile_answer both;
    struct rule_fault why;
    weighing->amount_ul = llround(volume_ml * UL_A_ML);
    if (unit->amount_ul == MOVEMENT_NULL)
        return true;
    if (!reconcile(&(struct reconcile_case){.ledger_ml = books_ml,
                                            .ledger_u_ml = full * (unit->estimated ? ESTIMATE_SHARE : BOOKS_SHARE),
                                            .weighed_ml = volume_ml,
                                            .weighed_u_ml = u_ml,
                                            .limit = FAR},
                   arena, &both, &why))
        return fault_set(fault, FAULT_REFUSED, "%s cannot be weighed: %s", unit->serial, why.text);
    if (both.alarm)
        verdict_add(list, REASON_WEIGHT_DIFFERS, unit->serial, "%.0f ml are in %s by weight, and %.0f ml by the books.",
                    volume_ml, unit->serial, books_ml);
    else
        weighing->amount_ul = llround(both.fused_ml * UL_A_ML);
    return true;
}

static bool judge(struct weighing *weighing, struct arena *arena, struct verdict_list *list, struct fault *fault)
{
    struct weigh_answer answer;
    struct rule_fault why;
    const double density = (double)weighing->thing.resin.density_mg_ml / 1000;
    if (!weigh(&(struct weigh_case){.gross_g = (double)weighing->gross_dg / DG_A_G,
                                    .tare_g = (double)weighing->tare_dg / DG_A_G,
                                    .density = density,
                                    .reference_c = 25,
                                    .temperature_c = 25,
                                    .buoyancy = true,
                                    .repeatability_g = SCALE_G,
                                    .tare_u_g = SCALE_G,
                                    .resolution_g = SCALE_G,
                                    .density_limit = density * DENSITY_SHARE,
                                    .nominal_ml = nominal_ml(weighing),
                                    .zero_reading_g = RULE_NULL},
               arena, &answer, &why))
        return fault_set(fault, FAULT_REFUSED, "%s cannot be weighed: %s", weighing->thing.unit.serial, why.text);
    if (!answer.accepted) {
        verdict_add(list, REASON_WEIGHT, weighing->thing.unit.serial, "%s", answer.said.sentence);
        return true;
    }
    (void)snprintf(weighing->sentence, sizeof weighing->sentence, "%s", answer.said.sentence);
    return compare(weighing, answer.volume_ref_ml, answer.u_ref_ml, arena, list, fault);
}

static bool book(struct turn *turn, const struct weighing *weighing, const struct verdict_list *list,
                 struct fault *fault)
{
    const struct unit *unit = &weighing->thing.unit;
    struct movement movement;
    json_t *more =
        json_pack("{s:I, s:I}", "gross_dg", (json_int_t)weighing->gross_dg, "tare_dg", (json_int_t)weighing->tare_dg);
    movement_init(&movement, MOVEMENT_WEIGHING);
    if (!contents_say(turn->ledger, unit->serial, more, &movement, fault))
        return false;
    movement.amount_ul = weighing->amount_ul;
    if (!turn_book(turn, &movement, fault))
        return false;
    if (list->count > 0 && /* it was asked about, and is so */
        !turn_question(turn, "weight-differs", unit->serial, list->reasons[0].sentence, fault))
        return false;
    counter_say(&turn->counter, "Booked: %s holds %.0f ml.%s%s", unit->serial, (double)weighing->amount_ul / UL_A_ML,
                weighing->empty ? "" : " By weight ", weighing->sentence);
    return true;
}

static bool judge_in_arena(struct weighing *weighing, struct verdict_list *list, struct fault *fault)
{
    struct arena arena;
    void *memory = malloc(ARENA_SIZE);
    if (!memory)
        return fault_set(fault, FAULT_STORAGE, "no memory to weigh %s: try again", weighing->thing.unit.serial);
    arena_init(&arena, memory, ARENA_SIZE);
    const bool done = judge(weighing, &arena, list, fault);
    free(memory);
    return done;
}

bool weigh_in_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct weighing weighing = {.amount_ul = 0};
    struct verdict_list list = {.verdict = VERDICT_GO};
    if (!turn_begin(context, &turn, fault) || !read_content(&turn, context->act->content, &weighing, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who weighs");
    if (!weighing.empty && (!check_known(&weighing, fault) || !judge_in_arena(&weighing, &list, fault)))
        return false;
    if (list.verdict == VERDICT_GO || (list.verdict == VERDICT_ASK && weighing.confirm)) {
        if (!book(&turn, &weighing, &list, fault))
            return false;
    } else {
        counter_show(&turn.counter, &list);
    }
    return turn_answer(&turn, answer, fault);
}

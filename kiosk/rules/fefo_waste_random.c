#include "kiosk/rules/fefo_waste_random.h"

#include "kiosk/rules/fefo_excess.h"

static void say_unknown(struct fefo_waste_random_answer *answer)
{
    static const char why[] = "no demand model is known: give 'model'";
    answer->total_expected_waste = RULE_NULL;
    rule_set_unknown(&answer->said, "total_expected_waste", why);
    rule_set_unknown(&answer->said, "lots", why);
    answer->said.sentence = "Nobody knows what will expire unused, for no demand is known.";
}

static void say(double grid, struct arena *arena, struct fefo_waste_random_answer *answer)
{
    size_t worst = 0;
    for (size_t i = 1; i < answer->lot_count; i++)
        if (answer->expected_waste[i] > answer->expected_waste[worst])
            worst = i;
    if (answer->lot_count == 0 || answer->total_expected_waste <= 0)
        answer->said.sentence = "Nothing is expected to expire unused.";
    else
        answer->said.sentence = rule_text(
            arena,
            "Of %s, %s are expected to expire unused, most of lot '%s' (%s; a chance of %.0f %% that any is left).",
            rule_number(arena, grid * fefo_total(answer->lots, answer->lot_count)),
            rule_number(arena, answer->total_expected_waste), answer->lots[worst].id,
            rule_number(arena, answer->expected_waste[worst]), 100 * answer->p_waste[worst]);
}

static bool expect(const struct fefo_waste_random_case *asked, struct arena *arena,
                   struct fefo_waste_random_answer *answer, struct rule_fault *fault)
{
    const struct fefo_expected *expected =
        fefo_expect(answer->lots, answer->lot_count, &asked->model, "lots", arena, fault);
    double *waste = arena_take(arena, answer->lot_count, sizeof *waste);
    double *p = arena_take(arena, answer->lot_count, sizeof *p);
    if (!expected)
        return false;
    if (!waste || !p)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < answer->lot_count; i++) {
        waste[i] = asked->grid * expected[i].waste;
        p[i] = expected[i].p_waste;
        answer->total_expected_waste += waste[i];
    }
    answer->expected_waste = waste;
    answer->p_waste = p;
    return true;
}

bool fefo_waste_random(const struct fefo_waste_random_case *asked, struct arena *arena,
                       struct fefo_waste_random_answer *answer, struct rule_fault *fault)
{
    struct fefo_lot *lots = fefo_sort(asked->lots, asked->lot_count, arena);
    *answer = (struct fefo_waste_random_answer){
        .said = {.method = "exact recursion over the lots"}, .lots = lots, .lot_count = asked->lot_count};
    if (!lots)
        return rule_fault_memory(fault);
    if (!fefo_to_cells(lots, asked->lot_count, asked->grid, "lots", arena, fault))
        return false;
    if (asked->lot_count > 0 && asked->model.kind == DEMAND_NONE) {
        say_unknown(answer);
        return true;
    }
    if (!expect(asked, arena, answer, fault))
        return false;
    say(asked->grid, arena, answer);
    return true;
}

#include "kiosk/rules/order_by_waste.h"

#include "kiosk/rules/fefo_excess.h"

enum { MOST_ROWS = 1 << 20 };

static size_t lots_before(const struct fefo_lot *sorted, size_t count, double new_expires)
{
    size_t before = 0;
    while (before < count && sorted[before].expires <= new_expires)
        before++;
    return before;
}

/* The excess of demand when the new lot expires: what decides how much of it is left. */
static bool excess_at_new(const struct order_by_waste_case *asked, const struct fefo_lot *sorted, struct arena *arena,
                          struct fefo_excess *excess, struct rule_fault *fault)
{
    const size_t before = lots_before(sorted, asked->on_hand_count, asked->new_expires_period);
    double most = fefo_total(sorted, before) + (double)asked->max_quantity;
    if (!fefo_excess_start(most, arena, excess, fault))
        return false;
    for (size_t i = 0; i < before; i++) {
        const char *key = rule_text(arena, "on_hand.%zu.expires_period", sorted[i].place);
        if (!fefo_excess_demand(&asked->model, sorted[i].expires, most, key, arena, excess, fault))
            return false;
        fefo_excess_pass(excess, sorted[i].quantity);
        most -= sorted[i].quantity;
    }
    return fefo_excess_demand(&asked->model, asked->new_expires_period, most, "new_expires_period", arena, excess,
                              fault);
}

/* --- the table --- */

/* Goes from order to order in one pass over the excess: `p` is the chance of an excess below the quantity. */
struct rise {
    const struct fefo_excess *excess;
    struct order_row row;
    double p;
    size_t next;
};

static void add_pack(struct rise *rise, int64_t pack)
{
    struct order_row *row = &rise->row;
    row->quantity += pack;
    row->expected_waste += (double)pack * rise->p;
    for (; rise->next < rise->excess->count && (double)rise->next < (double)row->quantity; rise->next++) {
        row->expected_waste += rise->excess->p[rise->next] * ((double)row->quantity - (double)rise->next);
        rise->p += rise->excess->p[rise->next];
    }
    row->waste_share = row->expected_waste / (double)row->quantity;
}

/* The share never falls with the quantity, so the first order that loses too much ends it. Fills `table` unless it is
 * NULL, `*chosen` with the last good one, and returns how many rows there are. */
static size_t climb(const struct order_by_waste_case *asked, const struct fefo_excess *excess, struct order_row *table,
                    struct order_row *chosen)
{
    struct rise rise = {.excess = excess};
    size_t rows = 0;
    *chosen = rise.row;
    while (asked->pack <= asked->max_quantity - rise.row.quantity && rows <= MOST_ROWS) {
        add_pack(&rise, asked->pack);
        if (table)
            table[rows] = rise.row;
        rows++;
        if (rise.row.waste_share > asked->max_waste_share + RULE_SLACK)
            break;
        *chosen = rise.row;
    }
    return rows;
}

static bool fill_table(const struct order_by_waste_case *asked, const struct fefo_excess *excess, struct arena *arena,
                       struct order_by_waste_answer *answer, struct rule_fault *fault)
{
    answer->table_count = climb(asked, excess, NULL, &answer->chosen);
    if (answer->table_count > MOST_ROWS)
        return rule_fault_set(fault, RULE_RANGE, "max_quantity",
                              "the table would have more than %d rows: ask for a smaller 'max_quantity' or a larger "
                              "'pack'",
                              MOST_ROWS);
    struct order_row *table = arena_take(arena, answer->table_count, sizeof *table);
    if (!table)
        return rule_fault_memory(fault);
    (void)climb(asked, excess, table, &answer->chosen);
    answer->table = table;
    return true;
}

/* --- what becomes of the lots on hand --- */

/* `ordered` more that expire with the new lot; 0: nothing is ordered. False: fault. */
static bool waste_on_hand(const struct order_by_waste_case *asked, const struct fefo_lot *sorted, int64_t ordered,
                          struct arena *arena, double *waste, struct rule_fault *fault)
{
    const size_t count = asked->on_hand_count, before = lots_before(sorted, count, asked->new_expires_period);
    struct fefo_lot *all = arena_take(arena, count + 1, sizeof *all);
    if (!all)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < count; i++)
        all[i + (i >= before)] = sorted[i];
    all[before] = (struct fefo_lot){.quantity = (double)ordered, .expires = asked->new_expires_period};
    const struct fefo_expected *expected = fefo_expect(all, count + 1, &asked->model, "on_hand", arena, fault);
    *waste = 0;
    for (size_t i = 0; expected && i <= count; i++)
        *waste += i == before ? 0 : expected[i].waste;
    return expected != NULL;
}

static void say_unknown(struct order_by_waste_answer *answer)
{
    static const char *const keys[] = {"quantity", "expected_waste", "waste_share", "expected_waste_on_hand", "table"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        rule_set_unknown(&answer->said, keys[i], "no demand model is known: give 'model'");
    answer->chosen = (struct order_row){RULE_NO_COUNT, RULE_NULL, RULE_NULL};
    answer->expected_waste_on_hand = RULE_NULL;
    answer->said.sentence = "Nobody knows how much to order, for no demand is known.";
}

static void say(const struct order_by_waste_case *asked, double waste_with_order, struct arena *arena,
                struct order_by_waste_answer *answer)
{
    const struct order_row *chosen = &answer->chosen;
    const double more = waste_with_order - answer->expected_waste_on_hand;
    const char *old = answer->expected_waste_on_hand > 0
                          ? rule_text(arena, " Of what is on hand %s will expire anyhow.",
                                      rule_number(arena, answer->expected_waste_on_hand))
                          : "";
    const char *crowded =
        more > RULE_SLACK
            ? rule_text(arena, " The order makes %s more of it expire, for it expires first.", rule_number(arena, more))
            : "";
    if (chosen->quantity > 0)
        answer->said.sentence = rule_text(arena, "Order %lld: %s of them are expected to expire unused (%.1f %%).%s%s",
                                          (long long)chosen->quantity, rule_number(arena, chosen->expected_waste),
                                          100 * chosen->waste_share, old, crowded);
    else if (answer->table_count > 0)
        answer->said.sentence = rule_text(
            arena, "Order nothing: of %lld, %.1f %% would be expected to expire unused, and %.1f %% are allowed.%s",
            (long long)answer->table[0].quantity, 100 * answer->table[0].waste_share, 100 * asked->max_waste_share,
            old);
    else
        answer->said.sentence = rule_text(arena, "Order nothing: one pack of %lld is more than the %lld allowed.%s",
                                          (long long)asked->pack, (long long)asked->max_quantity, old);
}

bool order_by_waste(const struct order_by_waste_case *asked, struct arena *arena, struct order_by_waste_answer *answer,
                    struct rule_fault *fault)
{
    struct fefo_lot *sorted = fefo_sort(asked->on_hand, asked->on_hand_count, arena);
    struct fefo_excess excess;
    double waste_with_order = 0;
    *answer = (struct order_by_waste_answer){.said = {.method = "waste-limited"}};
    if (!sorted)
        return rule_fault_memory(fault);
    if (!fefo_to_cells(sorted, asked->on_hand_count, 1, "on_hand", arena, fault))
        return false;
    if (asked->model.kind == DEMAND_NONE) {
        say_unknown(answer);
        return true;
    }
    if (!excess_at_new(asked, sorted, arena, &excess, fault) || !fill_table(asked, &excess, arena, answer, fault) ||
        !waste_on_hand(asked, sorted, 0, arena, &answer->expected_waste_on_hand, fault) ||
        !waste_on_hand(asked, sorted, answer->chosen.quantity, arena, &waste_with_order, fault))
        return false;
    say(asked, waste_with_order, arena, answer);
    return true;
}

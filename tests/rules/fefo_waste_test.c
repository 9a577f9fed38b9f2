#include "kiosk/rules/fefo_waste.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"
#include "tests/rules/fefo_by_day.h"

enum { ROOM = 1024 * 1024, MOST_LOTS = 8, DAYS = 20 };
static char ids[MOST_LOTS][2] = {"a", "b", "c", "d", "e", "f", "g", "h"};

static struct arena fresh_arena(void)
{
    static unsigned char memory[ROOM];
    struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    return arena;
}

/* Whole numbers, so that the play by day is exact; every kind of tie comes up. */
static size_t deal(uint64_t *seed, struct fefo_lot *lots, double *demand)
{
    const size_t count = (size_t)random_below(seed, MOST_LOTS + 1);
    for (size_t i = 0; i < count; i++)
        lots[i] = (struct fefo_lot){.id = ids[i],
                                    .quantity = random_below(seed, 12),
                                    .expires = random_below(seed, DAYS + 2) - 1,
                                    .opened = random_below(seed, 2) == 1,
                                    .received = random_below(seed, 2) ? RULE_NO_DAY
                                                                      : (struct day){20000 + random_below(seed, 2)}};
    for (int day = 0; day < DAYS; day++)
        demand[day] = random_below(seed, 4);
    return count;
}

static void ask(const struct fefo_lot *lots, size_t count, const double *demand, double per_day, struct arena *arena,
                struct fefo_waste_answer *answer)
{
    struct rule_fault fault = {0};
    *arena = fresh_arena();
    if (!fefo_waste(&(struct fefo_waste_case){lots, count, per_day, demand, demand ? DAYS : 0}, arena, answer, &fault))
        fail_msg("%s: %s", fault.key, fault.text);
}

static double last_day(const struct fefo_lot *lots, size_t count)
{
    double last = 0;
    for (size_t i = 0; i < count; i++)
        last = fmax(last, lots[i].expires);
    return last;
}

/* Brute force: the closed form is the play day by day, lot by lot. */
static void is_what_a_play_day_by_day_gives(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int round = 0; round < 5000; round++) {
        struct fefo_lot lots[MOST_LOTS];
        double demand[DAYS], used = 0, asked_for = 0;
        struct fefo_waste_answer answer;
        struct fefo_by_day end;
        struct arena arena;
        const size_t count = deal(&seed, lots, demand);
        ask(lots, count, demand, RULE_NULL, &arena, &answer);
        fefo_by_day(lots, count, demand, (int)last_day(lots, count), &end);
        for (size_t i = 0; i < count; i++) {
            assert_true(answer.waste[i] == end.left[answer.lots[i].place]);
            used += answer.lots[i].quantity - answer.waste[i];
        }
        assert_true(answer.unmet == end.unmet);
        for (int day = 0; day < (int)last_day(lots, count); day++)
            asked_for += demand[day];
        assert_true(used + answer.unmet == asked_for); /* nothing is lost */
    }
}

static void the_order_of_the_list_does_not_matter(void **state)
{
    uint64_t seed = 2;
    (void)state;
    for (int round = 0; round < 500; round++) {
        struct fefo_lot lots[MOST_LOTS], turned[MOST_LOTS];
        double demand[DAYS], waste[MOST_LOTS];
        const char *order[MOST_LOTS];
        struct fefo_waste_answer answer;
        struct arena arena;
        const size_t count = deal(&seed, lots, demand);
        ask(lots, count, demand, RULE_NULL, &arena, &answer);
        for (size_t i = 0; i < count; i++) {
            order[i] = answer.lots[i].id;
            waste[i] = answer.waste[i];
            turned[i] = lots[count - 1 - i];
        }
        ask(turned, count, demand, RULE_NULL, &arena, &answer);
        for (size_t i = 0; i < count; i++)
            assert_true(strcmp(order[i], answer.lots[i].id) == 0 && waste[i] == answer.waste[i]);
    }
}

static void more_demand_never_wastes_more(void **state)
{
    uint64_t seed = 3;
    (void)state;
    for (int round = 0; round < 500; round++) {
        struct fefo_lot lots[MOST_LOTS];
        double demand[DAYS], waste = INFINITY;
        const size_t count = deal(&seed, lots, demand);
        for (int quarters = 0; quarters < 20; quarters++) {
            struct fefo_waste_answer answer;
            struct arena arena;
            ask(lots, count, NULL, quarters / 4.0, &arena, &answer);
            assert_true(answer.total_waste <= waste);
            waste = answer.total_waste;
        }
    }
}

static void demand_by_the_day_and_as_a_list_agree(void **state)
{
    uint64_t seed = 4;
    (void)state;
    for (int round = 0; round < 500; round++) {
        struct fefo_lot lots[MOST_LOTS];
        double demand[DAYS];
        struct fefo_waste_answer listed, daily;
        struct arena arena;
        const size_t count = deal(&seed, lots, demand);
        for (int day = 1; day < DAYS; day++)
            demand[day] = demand[0];
        ask(lots, count, demand, RULE_NULL, &arena, &listed);
        const double total = listed.total_waste, unmet = listed.unmet;
        ask(lots, count, NULL, demand[0], &arena, &daily);
        assert_true(total == daily.total_waste && unmet == daily.unmet);
    }
}

static void a_small_arena_is_a_fault(void **state)
{
    static unsigned char memory[64];
    const struct fefo_lot lots[] = {{.id = "a", .quantity = 1, .expires = 1}, {.id = "b", .quantity = 1, .expires = 2}};
    struct fefo_waste_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_false(fefo_waste(&(struct fefo_waste_case){lots, 2, 1, NULL, 0}, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_what_a_play_day_by_day_gives), cmocka_unit_test(the_order_of_the_list_does_not_matter),
        cmocka_unit_test(more_demand_never_wastes_more),   cmocka_unit_test(demand_by_the_day_and_as_a_list_agree),
        cmocka_unit_test(a_small_arena_is_a_fault),
    };
    return cmocka_run_group_tests_name("rules/fefo_waste", tests, NULL, NULL);
}

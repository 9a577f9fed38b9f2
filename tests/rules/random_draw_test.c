#include "kiosk/rules/random_draw.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

/* Seed 1234567: the five numbers published for this generator in the Rosetta Code task "Pseudo-random
 * numbers/Splitmix64" (from memory). Seed 0: first number of Java's SplittableRandom (from memory). */
static void draws_the_published_numbers(void **state)
{
    static const uint64_t wanted[] = {UINT64_C(6457827717110365317), UINT64_C(3203168211198807973),
                                      UINT64_C(9817491932198370423), UINT64_C(4593380528125082431),
                                      UINT64_C(16408922859458223821)};
    struct random_draw random = {1234567}, zero = {0};
    (void)state;
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_true(random_draw_next(&random) == wanted[i]);
    assert_true(random_draw_next(&zero) == UINT64_C(0xE220A8397B1DCDAF));
}

/* A count of n draws with probability p has a standard deviation of sqrt(n p (1 - p)). */
static void a_table_is_drawn_by_its_probabilities(void **state)
{
    enum { DRAWS = 1000000, CELLS = 6 };
    static unsigned char memory[4096];
    double p[CELLS] = {0.5, 0, 0.25, 0.2, 0.05, 0};
    int drawn[CELLS] = {0};
    struct random_draw random = {1};
    struct random_table table;
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_true(random_table_fill(&(struct pmf){p, CELLS}, &arena, &table));
    for (int i = 0; i < DRAWS; i++)
        drawn[random_table_draw(&table, &random)]++;
    for (int k = 0; k < CELLS; k++)
        assert_true(fabs(drawn[k] - DRAWS * p[k]) <= 4 * sqrt(DRAWS * p[k] * (1 - p[k])));
}

static void what_is_certain_is_drawn(void **state)
{
    static unsigned char memory[4096];
    double third[4] = {0, 0, 0, 1}, first[3] = {1, 0, 0};
    struct random_draw random = {1};
    struct random_table table;
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_true(random_table_fill(&(struct pmf){third, 4}, &arena, &table));
    for (int i = 0; i < 1000; i++)
        assert_int_equal(random_table_draw(&table, &random), 3);
    assert_true(random_table_fill(&(struct pmf){first, 3}, &arena, &table));
    assert_int_equal(random_table_draw(&table, &random), 0);
    assert_int_equal(table.count, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(draws_the_published_numbers),
        cmocka_unit_test(a_table_is_drawn_by_its_probabilities),
        cmocka_unit_test(what_is_certain_is_drawn),
    };
    return cmocka_run_group_tests_name("rules/random_draw", tests, NULL, NULL);
}

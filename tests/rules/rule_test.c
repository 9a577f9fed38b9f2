#include "kiosk/rules/rule.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* By hand: what a person would write. */
static void numbers_read_as_a_person_writes_them(void **state)
{
    static const struct {
        double value;
        const char *text;
    } cases[] = {{0, "0"},
                 {1, "1"},
                 {2.412273207, "2.41"},
                 {0.046687, "0.047"},
                 {0.5, "0.5"},
                 {10, "10"},
                 {12.34, "12.3"},
                 {100, "100"},
                 {1050, "1050"},
                 {99.96, "100"},
                 {9.996, "10"},
                 {0.9996, "1"},
                 {123456789.4, "123456789"},
                 {-2.5, "-2.5"},
                 {3.10, "3.1"},
                 {0.0004, "less than 0.001"},
                 {-0.0001, "not quite 0"}};
    unsigned char memory[4096];
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(rule_number(&arena, cases[i].value), cases[i].text);
    assert_int_equal(rule_number(&arena, 1e308)[0], '1');
}

static int compare(const void *a, const void *b)
{
    const int *one = a, *two = b;
    return (*one > *two) - (*one < *two);
}

static void sorting_leaves_the_arena_as_it_was(void **state)
{
    static unsigned char memory[8192];
    int values[300], sum = 0;
    uint64_t seed = 1;
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    for (int i = 0; i < 300; i++)
        sum += values[i] = random_below(&seed, 50);
    const size_t mark = arena_mark(&arena);
    assert_true(rule_sort(&arena, values, 300, sizeof *values, compare));
    assert_true(arena_mark(&arena) == mark);
    for (int i = 0; i < 300; i++) {
        assert_true(i == 0 || values[i - 1] <= values[i]);
        sum -= values[i];
    }
    assert_int_equal(sum, 0);
    arena_init(&arena, memory, 64);
    assert_false(rule_sort(&arena, values, 300, sizeof *values, compare));
}

static void the_first_fault_counts(void **state)
{
    struct rule_fault fault = {0};
    (void)state;
    assert_false(rule_fault_set(&fault, RULE_DATE, "lots.2.expires", "no %s", "date"));
    assert_false(rule_fault_memory(&fault));
    assert_int_equal(fault.code, RULE_DATE);
    assert_string_equal(fault.key, "lots.2.expires");
    assert_string_equal(fault.text, "no date");
    assert_string_equal(rule_fault_word(RULE_UNKNOWN_KEY), "unknown_key");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_fault_counts),
        cmocka_unit_test(numbers_read_as_a_person_writes_them),
        cmocka_unit_test(sorting_leaves_the_arena_as_it_was),
    };
    return cmocka_run_group_tests_name("rules/rule", tests, NULL, NULL);
}

#include "kiosk/rules/abc_class.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Worked cases stand in fixtures/compute/abc-class.json; here is what holds for any. */

enum { ROOM = 4 << 20, MOST = 400 };
static unsigned char memory[ROOM];
static char ids[MOST][8];

static bool ask(const struct abc_item *items, size_t count, double cut_a, double cut_b, struct abc_class_answer *answer,
                struct rule_fault *fault)
{
    const struct abc_class_case asked = {items, count, cut_a, cut_b, {12, 4, 2}, 250};
    struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    *fault = (struct rule_fault){0};
    return abc_class(&asked, &arena, answer, fault);
}

static void fill(struct abc_item *items, size_t count, uint64_t *random)
{
    for (size_t i = 0; i < count; i++) {
        (void)snprintf(ids[i], sizeof ids[i], "i%03zu", i);
        items[i] = (struct abc_item){ids[i], random_below(random, 20), random_below(random, 30), false};
    }
}

/* 40 * 12 + 90 * 4 + 270 * 2 = 1380 counts a year, 5.52 on each of 250 days: a plan that is common practice. */
static void forty_ninety_and_270_items(void **state)
{
    struct abc_item items[MOST];
    struct abc_class_answer answer;
    struct rule_fault fault;
    uint64_t random = 1;
    (void)state;
    fill(items, MOST, &random);
    for (int i = 0; i < MOST; i++) {
        items[i].annual_use = i % 10 == 0 ? 1000 : i % 40 < 10 ? 50 : 3;
        items[i].unit_cost = 1;
    }
    assert_true(ask(items, MOST, 40000 / 45310.0, 44500 / 45310.0, &answer, &fault));
    assert_int_equal(answer.in_class[ABC_A], 40);
    assert_int_equal(answer.in_class[ABC_B], 90);
    assert_int_equal(answer.in_class[ABC_C], 270);
    assert_true(answer.counts_per_year == 1380 && answer.counts_per_day == 5.52);
}

static void classes_follow_the_value(void **state)
{
    uint64_t random = 5;
    (void)state;
    for (int round = 0; round < 200; round++) {
        struct abc_item items[MOST];
        struct abc_class_answer answer;
        struct rule_fault fault;
        const size_t count = 1 + (size_t)random_below(&random, 60);
        double total = 0, sum = 0;
        fill(items, count, &random);
        items[0].annual_use = items[0].unit_cost = 1; /* so that the total is not 0 */
        for (size_t i = 0; i < count; i++)
            total += items[i].annual_use * items[i].unit_cost;
        assert_true(ask(items, count, 0.8, 0.95, &answer, &fault));
        assert_true(answer.total == total);
        assert_int_equal(answer.items[0].letter, ABC_A);
        for (size_t i = 0; i < count; i++) {
            const struct abc_place *place = &answer.items[i], *before = i > 0 ? place - 1 : NULL;
            sum += place->value;
            assert_true(fabs(place->cumulative - sum / total) < 1e-12 &&
                        fabs(place->share * total - place->value) < 1e-9);
            assert_true(!before || before->value > place->value ||
                        (before->value == place->value && strcmp(before->id, place->id) < 0));
            assert_true(!before || before->letter <= place->letter);
            assert_true((place->letter == ABC_A) == (!before || before->cumulative < 0.8 - 1e-12));
        }
        assert_true(sum == total);
        assert_int_equal(answer.in_class[ABC_A] + answer.in_class[ABC_B] + answer.in_class[ABC_C], count);
    }
}

static void a_critical_item_changes_no_other(void **state)
{
    struct abc_item items[20];
    struct abc_class_answer answer;
    struct rule_fault fault;
    enum abc_letter letters[20];
    uint64_t random = 9;
    (void)state;
    fill(items, 20, &random);
    assert_true(ask(items, 20, 0.5, 0.8, &answer, &fault));
    const char *last = answer.items[19].id;
    for (int i = 0; i < 20; i++)
        letters[i] = answer.items[i].letter;
    assert_int_equal(letters[19], ABC_C);
    for (int i = 0; i < 20; i++)
        items[i].critical = items[i].id == last;
    assert_true(ask(items, 20, 0.5, 0.8, &answer, &fault));
    for (int i = 0; i < 19; i++)
        assert_int_equal(answer.items[i].letter, letters[i]);
    assert_int_equal(answer.items[19].letter, ABC_A);
}

static void the_order_of_the_input_does_not_matter(void **state)
{
    struct abc_item items[40], back[40];
    struct abc_class_answer answer;
    struct rule_fault fault;
    const char *order[40];
    uint64_t random = 3;
    (void)state;
    fill(items, 40, &random);
    for (int i = 0; i < 40; i++)
        back[39 - i] = items[i];
    assert_true(ask(items, 40, 0.8, 0.95, &answer, &fault));
    for (int i = 0; i < 40; i++)
        order[i] = answer.items[i].id;
    assert_true(ask(back, 40, 0.8, 0.95, &answer, &fault));
    for (int i = 0; i < 40; i++)
        assert_ptr_equal(answer.items[i].id, order[i]);
}

static void cuts_in_the_wrong_order_and_no_memory_are_faults(void **state)
{
    struct abc_item items[2];
    struct abc_class_answer answer;
    struct rule_fault fault = {0};
    struct arena small;
    uint64_t random = 3;
    (void)state;
    fill(items, 2, &random);
    assert_false(ask(items, 2, 0.9, 0.8, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
    arena_init(&small, memory, 64);
    fault = (struct rule_fault){0};
    const struct abc_class_case asked = {items, 2, 0.8, 0.95, {12, 4, 2}, 250};
    assert_false(abc_class(&asked, &small, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forty_ninety_and_270_items),
        cmocka_unit_test(classes_follow_the_value),
        cmocka_unit_test(a_critical_item_changes_no_other),
        cmocka_unit_test(the_order_of_the_input_does_not_matter),
        cmocka_unit_test(cuts_in_the_wrong_order_and_no_memory_are_faults),
    };
    return cmocka_run_group_tests_name("rules/abc_class", tests, NULL, NULL);
}

#include "kiosk/ledger/contents.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/rules/mix.h"
#include "labels/basics/text.h"

static struct contents read(const char *text)
{
    struct contents contents;
    struct fault fault = {0};
    if (!contents_read(text, &contents, &fault))
        fail_msg("%s", fault.text);
    return contents;
}

static void assert_says(const struct contents *contents, const char *expected)
{
    char text[CONTENTS_TEXT_SIZE];
    contents_write(contents, text);
    assert_string_equal(text, expected);
}

static void a_text_comes_back_as_it_was(void **state)
{
    (void)state;
    static const char *const texts[] = {"", "1000000:FLINT:FL-2207", "?:FLINT:", "1:FLINT:A 2:FLINT:B:C 3:OAK:A",
                                        "?:FLINT:A ?:FLINT:B"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct contents contents = read(texts[i]);
        assert_says(&contents, texts[i]);
    }
}

static void a_text_that_no_mix_has_is_damage(void **state)
{
    (void)state;
    static const char *const texts[] = {"1",
                                        "1:FLINT",
                                        "1:FLINT:A ",
                                        " 1:FLINT:A",
                                        "x:FLINT:A",
                                        "-1:FLINT:A",
                                        "1::A",
                                        "1:FLINT:B 1:FLINT:A",
                                        "1:FLINT:A 1:FLINT:A",
                                        "1:FLINT:A ?:FLINT:B",
                                        "1:FLINT:ABCDEFGHIJKLMNOPQRSTU",
                                        "1000000000000001:FLINT:A",
                                        "01:FLINT:A",
                                        "9223372036854775807:FLINT:A",
                                        "1:FLINTFLINT:A"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct contents contents;
        struct fault fault = {0};
        if (contents_read(texts[i], &contents, &fault))
            fail_msg("'%s' was read", texts[i]);
        assert_int_equal(fault.code, FAULT_DAMAGED);
    }
}

static struct contents take(struct contents *from, int64_t amount)
{
    struct contents taken;
    struct fault fault = {0};
    if (!contents_take(from, amount, &taken, &fault))
        fail_msg("%s", fault.text);
    return taken;
}

/* 100 of 1 : 1 : 1 are 34, 33, 33: the method of largest remainders (Hamilton's, as for seats by votes). */
static void a_pour_is_shared_out_by_largest_remainder(void **state)
{
    (void)state;
    struct contents from = read("1000:FLINT:A 1000:FLINT:B 1000:FLINT:C");
    struct contents taken = take(&from, 100);
    assert_says(&taken, "34:FLINT:A 33:FLINT:B 33:FLINT:C");
    assert_says(&from, "966:FLINT:A 967:FLINT:B 967:FLINT:C");
    /* by hand: 7 of 60, 28 and 12 are 4.2, 1.96 and 0.84; the whole parts leave two, for .96 and .84 */
    from = read("60:FLINT:A 28:FLINT:B 12:FLINT:C");
    taken = take(&from, 7);
    assert_says(&taken, "4:FLINT:A 2:FLINT:B 1:FLINT:C");
}

static void the_largest_amounts_there_can_be_are_shared_out_exactly(void **state)
{
    (void)state;
    struct contents from = read("999999999999:FLINT:A 1:FLINT:B");
    const struct contents taken = take(&from, INT64_C(500000000000));
    assert_says(&taken, "500000000000:FLINT:A 0:FLINT:B"); /* 499999999999.5 and 0.5: the first of equals */
    assert_says(&from, "499999999999:FLINT:A 1:FLINT:B");
}

static void more_than_is_there_is_refused_and_nothing_changes(void **state)
{
    (void)state;
    struct contents from = read("500:FLINT:A"), taken = {.count = 7}, empty = read("");
    struct fault fault = {0};
    assert_false(contents_take(&from, 501, &taken, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_says(&from, "500:FLINT:A");
    assert_int_equal(taken.count, 7);
    assert_false(contents_take(&empty, 1, &taken, &fault));
    assert_non_null(strstr(fault.text, "empty"));
}

static void what_is_emptied_still_has_its_lots(void **state)
{
    (void)state;
    struct contents from = read("500:FLINT:A 300:FLINT:B");
    (void)take(&from, 800);
    assert_says(&from, "0:FLINT:A 0:FLINT:B");
    struct contents more = read("700:FLINT:C");
    struct fault fault = {0};
    assert_true(contents_add(&from, &more, &fault));
    assert_says(&from, "0:FLINT:A 0:FLINT:B 700:FLINT:C");
    const struct contents taken = take(&from, 70);
    assert_says(&taken, "0:FLINT:A 0:FLINT:B 70:FLINT:C");
}

static void what_nobody_knows_stays_unknown(void **state)
{
    (void)state;
    struct fault fault = {0};
    struct contents from = read("500:FLINT:A"), to = read("");
    struct contents taken = take(&from, MOVEMENT_NULL); /* nobody knows how much */
    assert_says(&from, "?:FLINT:A");
    assert_true(contents_add(&to, &taken, &fault));
    assert_says(&to, "?:FLINT:A");
    struct contents known = read("200:FLINT:B");
    assert_true(contents_add(&to, &known, &fault));
    assert_says(&to, "?:FLINT:A ?:FLINT:B");
    assert_true(to.total_ul == MOVEMENT_NULL);
    contents_set_total(&to, 900); /* weighed: how much, but not of which */
    assert_int_equal(to.total_ul, 900);
    assert_says(&to, "?:FLINT:A ?:FLINT:B");
    taken = take(&to, 100);
    assert_int_equal(taken.total_ul, 100);
    assert_int_equal(to.total_ul, 800);
    from = read("?:FLINT:A");
    taken = take(&from, 100); /* a lot alone: of it */
    assert_says(&taken, "100:FLINT:A");
    assert_says(&from, "?:FLINT:A");
}

static void a_weighing_keeps_the_proportions(void **state)
{
    (void)state;
    struct contents contents = read("400:FLINT:A 100:FLINT:B");
    contents_set_total(&contents, 1000);
    assert_says(&contents, "800:FLINT:A 200:FLINT:B");
    contents_set_total(&contents, 7);
    assert_says(&contents, "6:FLINT:A 1:FLINT:B"); /* 5.6 and 1.4 */
    contents_set_total(&contents, 0);
    contents_set_total(&contents, 5); /* of nothing no proportion is left */
    assert_says(&contents, "?:FLINT:A ?:FLINT:B");
}

static void a_row_says_one_lot_and_the_mix_several(void **state)
{
    (void)state;
    struct unit unit = {.serial = "V0001236", .expires = 20679};
    char mix[CONTENTS_TEXT_SIZE] = "x";
    struct contents contents = read("400:FLINT:A");
    contents_put(&contents, &unit, mix);
    assert_string_equal(unit.resin, "FLINT");
    assert_string_equal(unit.lot, "A");
    assert_int_equal(unit.amount_ul, 400);
    assert_string_equal(mix, "");
    contents = read("400:FLINT:A 100:FLINT:B");
    contents_put(&contents, &unit, mix);
    assert_string_equal(unit.lot, "");
    assert_int_equal(unit.amount_ul, 500);
    assert_string_equal(mix, "400:FLINT:A 100:FLINT:B");
    struct contents again;
    struct fault fault = {0};
    assert_true(contents_of(&unit, mix, &again, &fault));
    assert_says(&again, mix);
    contents = read("");
    contents_put(&contents, &unit, mix);
    assert_string_equal(unit.resin, "");
    assert_int_equal(unit.amount_ul, 0);
}

static void one_lot_too_many_is_refused(void **state)
{
    (void)state;
    struct contents vat = read("");
    struct fault fault = {0};
    for (int i = 0; i < CONTENTS_LOTS; i++) {
        char text[40];
        (void)snprintf(text, sizeof text, "1:FLINT:L%02d", i);
        struct contents lot = read(text);
        assert_true(contents_add(&vat, &lot, &fault));
    }
    struct contents more = read("1:FLINT:M"), same = read("1:FLINT:L07");
    assert_true(contents_add(&vat, &same, &fault));
    assert_false(contents_add(&vat, &more, &fault));
    assert_non_null(strstr(fault.text, "clean it first"));
}

/* ---- beside the rule of mixing, in floating point ---- */

enum { VESSELS = 5, EVENTS = 200, RUNS = 60 };
static const char *const names[VESSELS] = {"a", "b", "c", "d", "e"};
static const char *const lots[VESSELS] = {"L0", "L1", "L2", "L3", "L4"};

static unsigned long seed;
static int64_t draw(int64_t below)
{
    seed = seed * 6364136223846793005UL + 1442695040888963407UL;
    return (int64_t)((seed >> 33) % (unsigned long)below);
}

static double ml_of(const struct contents *contents, const char *lot)
{
    for (size_t i = 0; i < contents->count; i++)
        if (strcmp(contents->lots[i].lot, lot) == 0)
            return (double)contents->lots[i].amount_ul / 1000;
    return 0;
}

/* Each event rounds a lot by less than a microlitre, and hands on what was rounded before. */
static void random_pours_agree_with_the_rule_and_lose_no_drop(void **state)
{
    (void)state;
    static unsigned char memory[1 << 20];
    for (seed = 1; seed <= RUNS; seed++) {
        const unsigned long run = seed;
        struct contents vessels[VESSELS];
        struct mix_lot rule_lots[VESSELS];
        struct mix_content full[VESSELS];
        struct mix_container containers[VESSELS];
        struct mix_event events[EVENTS];
        size_t count = 0;
        int64_t used[VESSELS] = {0};
        struct fault fault = {0};
        for (int i = 0; i < VESSELS; i++) {
            char text[40];
            (void)snprintf(text, sizeof text, "1000000:FLINT:%s", lots[i]);
            vessels[i] = read(text);
            rule_lots[i] = (struct mix_lot){lots[i], RULE_NO_DAY, NULL};
            full[i] = (struct mix_content){lots[i], 1000};
            containers[i] = (struct mix_container){names[i], &full[i], 1, RULE_NO_DAY};
        }
        for (int i = 0; i < EVENTS; i++) {
            const int from = (int)draw(VESSELS), to = (int)draw(VESSELS);
            if (vessels[from].total_ul == 0)
                continue;
            const int64_t amount = 1 + draw(vessels[from].total_ul);
            const struct contents taken = take(&vessels[from], amount);
            if (from == to) { /* into parts */
                for (size_t j = 0; j < taken.count; j++)
                    used[taken.lots[j].lot[1] - '0'] += taken.lots[j].amount_ul;
                events[count++] = (struct mix_event){MIX_USE, names[from], NULL, "job", (double)amount / 1000};
            } else {
                assert_true(contents_add(&vessels[to], &taken, &fault));
                events[count++] = (struct mix_event){MIX_POUR, names[from], names[to], NULL, (double)amount / 1000};
            }
        }
        struct arena arena;
        struct mix_answer answer;
        struct rule_fault why;
        arena_init(&arena, memory, sizeof memory);
        const struct mix_case asked = {rule_lots, VESSELS, containers, VESSELS, events, count};
        assert_true(mix(&asked, &arena, &answer, &why));
        for (int lot = 0; lot < VESSELS; lot++) {
            int64_t sum = used[lot];
            for (int i = 0; i < VESSELS; i++)
                sum += (int64_t)llround(ml_of(&vessels[i], lots[lot]) * 1000);
            assert_int_equal(sum, 1000000); /* not a drop lost of any lot */
        }
        for (size_t i = 0; i < answer.container_count; i++)
            for (size_t j = 0; j < answer.containers[i].share_count; j++) {
                const struct mix_share *share = &answer.containers[i].shares[j];
                const double ours = ml_of(&vessels[answer.containers[i].id[0] - 'a'], share->lot);
                if (fabs(ours - share->ml) > 0.05)
                    fail_msg("run %lu: %s of %s is %.4f ml by the rule, %.4f by the ledger", run, share->lot,
                             answer.containers[i].id, share->ml, ours);
            }
        seed = run;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_text_comes_back_as_it_was),
        cmocka_unit_test(a_text_that_no_mix_has_is_damage),
        cmocka_unit_test(a_pour_is_shared_out_by_largest_remainder),
        cmocka_unit_test(the_largest_amounts_there_can_be_are_shared_out_exactly),
        cmocka_unit_test(more_than_is_there_is_refused_and_nothing_changes),
        cmocka_unit_test(what_is_emptied_still_has_its_lots),
        cmocka_unit_test(what_nobody_knows_stays_unknown),
        cmocka_unit_test(a_weighing_keeps_the_proportions),
        cmocka_unit_test(a_row_says_one_lot_and_the_mix_several),
        cmocka_unit_test(one_lot_too_many_is_refused),
        cmocka_unit_test(random_pours_agree_with_the_rule_and_lose_no_drop),
    };
    return cmocka_run_group_tests_name("ledger/contents", tests, NULL, NULL);
}

#include "kiosk/rules/amount_likely.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Slips of the unit by a factor of a thousand: common practice, no source. Microlitres. */

static void a_thousandth_or_the_thousandfold_is_what_was_likely_meant(void **state)
{
    static const struct {
        int64_t there, said, meant;
    } cases[] = {
        {1000000, 300, 300000},             /* 0.3 typed for 300 ml: litres */
        {1000000, 1000, 1000000},           /* 1 for a litre */
        {1000000, 300000000, 300000},       /* 300 000 for 300 ml: microlitres */
        {1000000, 10000000, 10000},         /* ten times what is there */
        {1000000, 1001, AMOUNT_UNKNOWN},    /* would be more than is there */
        {1000000, 5000, AMOUNT_UNKNOWN},    /* 5 ml of 1000: a rest */
        {1000000, 1200000, AMOUNT_UNKNOWN}, /* a little more than is there */
        {1000000, 9999999, AMOUNT_UNKNOWN},
        {1000000, 0, AMOUNT_UNKNOWN}, /* empty is empty */
        {0, 300, AMOUNT_UNKNOWN},
        {AMOUNT_UNKNOWN, 300, AMOUNT_UNKNOWN},
        {1000000, AMOUNT_UNKNOWN, AMOUNT_UNKNOWN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (amount_likely_meant(cases[i].there, cases[i].said) != cases[i].meant)
            fail_msg("case %zu: %lld", i, (long long)amount_likely_meant(cases[i].there, cases[i].said));
}

static struct verdict_list judge(int64_t amount_ul, int64_t full_ul, int64_t books_ul)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    amount_said_judge(&(struct amount_said_case){"C1", amount_ul, full_ul, books_ul}, &list);
    return list;
}

static void what_is_in_it_is_compared_with_the_larger_of_books_and_full(void **state)
{
    (void)state;
    struct verdict_list list = judge(300, 1000000, 400000);
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_int_equal(list.reasons[0].code, REASON_AMOUNT_UNLIKELY);
    assert_string_equal(list.reasons[0].sentence, "0.3 ml in C1, which holds 1000 ml when full: was 300 ml meant?");
    list = judge(300, AMOUNT_UNKNOWN, 400000);
    assert_string_equal(list.reasons[0].sentence, "0.3 ml in C1, where 400 ml were by the books: was 300 ml meant?");
    list = judge(800, AMOUNT_UNKNOWN, 400000); /* 800 ml never were in it */
    assert_int_equal(list.count, 0);
    list = judge(800, 1000000, 400000);
    assert_int_equal(list.count, 1);
}

static void an_amount_that_can_be_so_is_not_asked_about(void **state)
{
    (void)state;
    struct verdict_list list = judge(250000, 1000000, 400000);
    assert_int_equal(list.count, 0);
    list = judge(0, 1000000, 400000);
    assert_int_equal(list.count, 0);
    list = judge(300, AMOUNT_UNKNOWN, AMOUNT_UNKNOWN);
    assert_int_equal(list.count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thousandth_or_the_thousandfold_is_what_was_likely_meant),
        cmocka_unit_test(what_is_in_it_is_compared_with_the_larger_of_books_and_full),
        cmocka_unit_test(an_amount_that_can_be_so_is_not_asked_about),
    };
    return cmocka_run_group_tests_name("rules/amount_likely", tests, NULL, NULL);
}

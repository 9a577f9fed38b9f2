#include "kiosk/rules/receipt.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* What arrives is received and perhaps held: common practice, no source. */

enum { TODAY = 20514 }; /* 2026-03-02, GNU date 9.1 */

static struct receipt_case flint(void)
{
    return (struct receipt_case){.name = "Flint",
                                 .holds_resin = true,
                                 .has_expires = true,
                                 .expires = {TODAY + 300},
                                 .minimum_days = 90,
                                 .today = {TODAY},
                                 .clock_trusted = true};
}

static const struct reason *find(const struct verdict_list *list, enum reason_code code)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code)
            return &list->reasons[i];
    return NULL;
}

static void fresh_known_stock_is_go_and_not_held(void **state)
{
    const struct receipt_case asked = flint();
    struct verdict_list list = {.count = 7, .verdict = VERDICT_STOP}; /* is cleared first */
    (void)state;
    assert_string_equal(receipt_judge(&asked, &list), "");
    assert_int_equal(list.verdict, VERDICT_GO);
    assert_int_equal(list.count, 0);
}

static void stock_that_expires_today_is_not_expired(void **state)
{
    struct receipt_case asked = flint();
    struct verdict_list list;
    (void)state;
    asked.minimum_days = 0;
    asked.expires.number = TODAY; /* the last usable day */
    assert_string_equal(receipt_judge(&asked, &list), "");
    assert_int_equal(list.verdict, VERDICT_GO);
    asked.expires.number = TODAY - 1;
    assert_string_equal(receipt_judge(&asked, &list), "expired");
    assert_int_equal(list.verdict, VERDICT_ASK); /* it is here: it is received, and held */
    assert_non_null(strstr(find(&list, REASON_SHORT_DATED)->sentence, "2026-03-01"));
}

static void stock_with_fewer_days_than_asked_is_short_dated(void **state)
{
    struct receipt_case asked = flint();
    struct verdict_list list;
    (void)state;
    asked.expires.number = TODAY + 90;
    assert_string_equal(receipt_judge(&asked, &list), "");
    asked.expires.number = TODAY + 89;
    assert_string_equal(receipt_judge(&asked, &list), "short-dated");
    assert_non_null(find(&list, REASON_SHORT_DATED));
    assert_non_null(strstr(list.reasons[0].sentence, "89 days"));
}

static void an_unconfirmed_clock_asks_about_a_date_and_calls_nothing_expired(void **state)
{
    struct receipt_case asked = flint();
    struct verdict_list list;
    (void)state;
    asked.clock_trusted = false;
    asked.expires.number = TODAY - 400;
    assert_string_equal(receipt_judge(&asked, &list), "");
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_non_null(find(&list, REASON_CLOCK));
    assert_null(find(&list, REASON_SHORT_DATED));
    asked.clock_trusted = true;
    (void)receipt_judge(&asked, &list);
    assert_null(find(&list, REASON_CLOCK));
}

static void resin_without_a_date_is_asked_about_and_a_vat_is_not(void **state)
{
    struct receipt_case asked = flint();
    struct verdict_list list;
    (void)state;
    asked.has_expires = false;
    assert_string_equal(receipt_judge(&asked, &list), "");
    assert_non_null(find(&list, REASON_NO_EXPIRY));
    asked.holds_resin = false;
    (void)receipt_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void an_item_nobody_completed_is_held_as_provisional(void **state)
{
    struct receipt_case asked = flint();
    struct verdict_list list;
    (void)state;
    asked.provisional = true;
    assert_string_equal(receipt_judge(&asked, &list), "provisional");
    assert_non_null(find(&list, REASON_PROVISIONAL));
    assert_int_equal(list.verdict, VERDICT_ASK);
}

static void expired_stock_of_an_unknown_item_is_held_as_expired_first(void **state)
{
    struct receipt_case asked = flint();
    struct verdict_list list;
    (void)state;
    asked.provisional = true;
    asked.expires.number = TODAY - 1;
    assert_string_equal(receipt_judge(&asked, &list), "expired");
    assert_non_null(find(&list, REASON_PROVISIONAL)); /* both are said */
    assert_non_null(find(&list, REASON_SHORT_DATED));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fresh_known_stock_is_go_and_not_held),
        cmocka_unit_test(stock_that_expires_today_is_not_expired),
        cmocka_unit_test(stock_with_fewer_days_than_asked_is_short_dated),
        cmocka_unit_test(an_unconfirmed_clock_asks_about_a_date_and_calls_nothing_expired),
        cmocka_unit_test(resin_without_a_date_is_asked_about_and_a_vat_is_not),
        cmocka_unit_test(an_item_nobody_completed_is_held_as_provisional),
        cmocka_unit_test(expired_stock_of_an_unknown_item_is_held_as_expired_first),
    };
    return cmocka_run_group_tests_name("rules/receipt", tests, NULL, NULL);
}

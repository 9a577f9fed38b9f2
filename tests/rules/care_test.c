#include "kiosk/rules/care.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* What is looked after, and how often an item asks for it: common practice of the trade, no source. */

enum { NEVER = -1, DAY_MS = 24 * 60 * 60 * 1000 };
static const int64_t NOW = 1772442000000; /* 2026-03-02 09:00 UTC, GNU date 9.1 */

/* Everything is known, everything is asked for, nothing is due. */
static struct care fresh(void)
{
    return (struct care){.minutes = 1200,
                         .inspected_minutes = 600,
                         .surface_minutes = 0,
                         .stood_ms = NOW - DAY_MS,
                         .inspect_minutes = 1800,
                         .surface_life = 6000,
                         .stir_days = 3};
}

static struct verdict_list judge(const struct care *care, const char *serial, bool held)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    care_judge(care, serial, "Flint", held, NOW, &list);
    return list;
}

static void expect(const struct verdict_list *list, enum reason_code code, const char *sentence)
{
    assert_int_equal(list->verdict, VERDICT_ASK);
    assert_int_equal(list->count, 1);
    assert_string_equal(reason_code_word(list->reasons[0].code), reason_code_word(code));
    assert_string_equal(list->reasons[0].sentence, sentence);
}

static void nothing_is_asked_of_what_is_looked_after(void **state)
{
    const struct care care = fresh();
    (void)state;
    assert_int_equal(judge(&care, "V1", false).count, 0);
}

static void an_item_that_says_nothing_is_not_asked_about(void **state)
{
    const struct care care = {.minutes = 100000, .inspected_minutes = NEVER, .surface_minutes = NEVER, .stood_ms = 0};
    (void)state;
    assert_int_equal(judge(&care, "V1", false).count, 0);
    assert_int_equal(judge(&care, "P1", false).count, 0);
}

static void a_film_is_looked_at_after_its_hours_and_not_a_minute_before(void **state)
{
    struct care care = fresh();
    (void)state;
    care.minutes = care.inspected_minutes + 1799;
    assert_int_equal(judge(&care, "V1", false).count, 0);
    care.minutes = care.inspected_minutes + 1860;
    struct verdict_list list = judge(&care, "V1", false);
    expect(&list, REASON_INSPECTION_DUE,
           "The film of V1 has run 31 h since it was last looked at; every 30 h is asked.");
    care.inspected_minutes = NEVER;
    care.minutes = 1800;
    list = judge(&care, "P1", false);
    expect(&list, REASON_INSPECTION_DUE,
           "The surface of P1 has run 30 h and nobody has looked at it; every 30 h is asked.");
}

static void what_nobody_counted_is_not_asked_about(void **state)
{
    struct care care = fresh();
    (void)state;
    care.minutes = care.stood_ms = NEVER;
    care.inspected_minutes = care.surface_minutes = NEVER;
    assert_int_equal(judge(&care, "V1", false).count, 0);
}

static void what_is_on_hold_is_not_asked_for_an_inspection_besides(void **state)
{
    struct care care = fresh();
    (void)state;
    care.inspected_minutes = NEVER;
    care.inspect_minutes = 60;
    care.scratched = true;
    assert_int_equal(judge(&care, "P1", false).count, 2);
    assert_int_equal(judge(&care, "P1", true).count, 0);
}

static void a_resin_that_stood_is_stirred(void **state)
{
    struct care care = fresh();
    (void)state;
    care.stood_ms = NOW - 3 * (int64_t)DAY_MS + 1;
    assert_int_equal(judge(&care, "V1", false).count, 0);
    care.stood_ms = NOW - 12 * (int64_t)DAY_MS;
    struct verdict_list list = judge(&care, "V1", false);
    expect(&list, REASON_STIR_DUE, "The Flint in V1 has stood for 12 days; it is stirred after 3.");
    list = (struct verdict_list){.verdict = VERDICT_GO};
    care_judge(&care, "V1", "", false, NOW, &list); /* nothing is in it */
    care_judge(&care, "V1", "Flint", false, -1, &list);
    care.stood_ms = NOW + DAY_MS; /* a clock that was put back */
    care_judge(&care, "V1", "Flint", false, NOW, &list);
    assert_int_equal(list.count, 0);
}

static void a_removable_surface_has_a_life_of_its_own(void **state)
{
    struct care care = fresh();
    (void)state;
    care.inspect_minutes = 0;
    care.minutes = 9000;
    care.surface_minutes = 3001;
    assert_int_equal(judge(&care, "P1", false).count, 0);
    care.surface_minutes = 3000;
    struct verdict_list list = judge(&care, "P1", false);
    expect(&list, REASON_SURFACE_WORN, "The removable surface of P1 has run 100 h; it lasts 100 h.");
    care.surface_minutes = NEVER;
    list = judge(&care, "P1", false);
    expect(&list, REASON_SURFACE_WORN, "The removable surface of P1 has run 150 h; it lasts 100 h.");
}

static void a_scratched_surface_is_asked_about(void **state)
{
    struct care care = fresh();
    (void)state;
    care.scratched = true;
    const struct verdict_list list = judge(&care, "P1", false);
    expect(&list, REASON_SURFACE_SCRATCHED,
           "The surface of P1 was scratched when it was last looked at: parts come off harder.");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_asked_of_what_is_looked_after),
        cmocka_unit_test(an_item_that_says_nothing_is_not_asked_about),
        cmocka_unit_test(a_film_is_looked_at_after_its_hours_and_not_a_minute_before),
        cmocka_unit_test(what_nobody_counted_is_not_asked_about),
        cmocka_unit_test(what_is_on_hold_is_not_asked_for_an_inspection_besides),
        cmocka_unit_test(a_resin_that_stood_is_stirred),
        cmocka_unit_test(a_removable_surface_has_a_life_of_its_own),
        cmocka_unit_test(a_scratched_surface_is_asked_about),
    };
    return cmocka_run_group_tests_name("rules/care", tests, NULL, NULL);
}

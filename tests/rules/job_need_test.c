#include "kiosk/rules/job_need.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* What the books' amounts are good for is common practice, no source; the decision is JCGM 106:2012, 8, with a chance
 * of 19 in 20 for go and of 1 in 20 for stop. The limits here were reckoned by hand: with u(volume) = 8 ml of 400 ml
 * and u(need) = 5 % of the need, 95 % is reached where 400 - n = 1.645 sqrt(8^2 + (0.05 n)^2). */

static struct verdict_list judged(const struct job_need_vessel *vessels, size_t count, int need_ml)
{
    struct verdict_list list = {.verdict = VERDICT_GO};
    job_need_judge(&(struct job_need_case){.vessels = vessels,
                                           .count = count,
                                           .need_ul = (int64_t)need_ml * 1000,
                                           .printer = "CAPSTAN",
                                           .printer_name = "Capstan"},
                   &list);
    return list;
}

static void expect(const struct job_need_vessel *vessels, size_t count, int need_ml, enum verdict verdict,
                   const char *code)
{
    const struct verdict_list list = judged(vessels, count, need_ml);
    if (list.verdict != verdict || (code && strcmp(reason_code_word(list.reasons[0].code), code) != 0))
        fail_msg("%d ml: %s (%s)", need_ml, verdict_word(list.verdict), list.count ? list.reasons[0].sentence : "");
}

static void a_known_amount_goes_asks_and_stops_at_its_limits(void **state)
{
    static const struct job_need_vessel vat = {400000, 500000, false};
    (void)state;
    expect(&vat, 1, 0, VERDICT_GO, NULL);
    expect(&vat, 1, 366, VERDICT_GO, NULL);                  /* 34 of 1.645 * 20.0 = 32.9 */
    expect(&vat, 1, 368, VERDICT_ASK, "perhaps-too-little"); /* 32 of 33.0 */
    expect(&vat, 1, 400, VERDICT_ASK, "perhaps-too-little");
    expect(&vat, 1, 438, VERDICT_ASK, "perhaps-too-little"); /* -38 of -38.4 */
    expect(&vat, 1, 441, VERDICT_STOP, "too-little");        /* -41 of -38.6 */
}

static void an_estimate_is_less_sure(void **state)
{
    static const struct job_need_vessel told = {400000, 500000, false}, reckoned = {400000, 500000, true};
    (void)state;
    expect(&told, 1, 360, VERDICT_GO, NULL);
    expect(&reckoned, 1, 360, VERDICT_ASK, "perhaps-too-little");
    expect(&told, 1, 450, VERDICT_STOP, "too-little");
    expect(&reckoned, 1, 450, VERDICT_ASK, "perhaps-too-little");
}

static void what_is_in_all_of_them_counts(void **state)
{
    static const struct job_need_vessel both[] = {{400000, 500000, false}, {1000000, 1000000, false}};
    (void)state;
    expect(both, 2, 1200, VERDICT_GO, NULL);
    expect(both, 2, 2000, VERDICT_STOP, "too-little");
}

static void an_unknown_amount_is_anything_up_to_full(void **state)
{
    static const struct job_need_vessel bounded[] = {{400000, 500000, false}, {JOB_NEED_UNKNOWN, 200000, false}};
    static const struct job_need_vessel boundless[] = {{400000, 500000, false},
                                                       {JOB_NEED_UNKNOWN, JOB_NEED_UNKNOWN, false}};
    (void)state;
    expect(bounded, 2, 300, VERDICT_GO, NULL);
    expect(bounded, 2, 500, VERDICT_ASK, "perhaps-too-little");
    expect(bounded, 2, 1000, VERDICT_STOP, "too-little");
    expect(boundless, 2, 300, VERDICT_GO, NULL); /* what is known is enough already */
    expect(boundless, 2, 100000, VERDICT_ASK, "perhaps-too-little");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_known_amount_goes_asks_and_stops_at_its_limits),
        cmocka_unit_test(an_estimate_is_less_sure),
        cmocka_unit_test(what_is_in_all_of_them_counts),
        cmocka_unit_test(an_unknown_amount_is_anything_up_to_full),
    };
    return cmocka_run_group_tests_name("rules/job_need", tests, NULL, NULL);
}

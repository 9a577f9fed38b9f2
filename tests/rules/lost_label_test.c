#include "kiosk/rules/lost_label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Which of the booked things a thing without a label must be. Common practice of stores, no source. */

static struct lost_candidate standing(const char *serial)
{
    struct lost_candidate one = {.here = true, .resin = "FLINT", .lot = "FL-1", .amount_ul = 640000};
    (void)span_copy(span_of(serial), one.serial, sizeof one.serial);
    return one;
}

static struct lost_candidate out(const char *serial)
{
    struct lost_candidate one = standing(serial);
    one.here = false;
    return one;
}

static void nothing_left_was_never_booked(void **state)
{
    (void)state;
    assert_int_equal(lost_label_find(NULL, 0, false).answer, LOST_NONE);
    assert_int_equal(lost_label_find(NULL, 0, true).answer, LOST_SEVERAL); /* not all were looked at */
}

static void the_last_one_left_is_it(void **state)
{
    const struct lost_candidate here = standing("C1"), away = out("C2");
    (void)state;
    assert_int_equal(lost_label_find(&here, 1, false).answer, LOST_SURE);
    assert_int_equal(lost_label_find(&away, 1, false).answer, LOST_SURE);
    assert_int_equal(lost_label_find(&here, 1, true).answer, LOST_SEVERAL);
}

static void the_one_that_should_stand_here_is_likely_while_another_is_out(void **state)
{
    const struct lost_candidate list[] = {out("C1"), standing("C2"), out("C3")};
    (void)state;
    const struct lost_finding finding = lost_label_find(list, 3, false);
    assert_int_equal(finding.answer, LOST_LIKELY);
    assert_int_equal(finding.one, 1);
    assert_int_equal(finding.here, 1);
    assert_int_equal(finding.elsewhere, 2);
}

static void two_that_stand_here_or_two_that_are_out_are_several(void **state)
{
    const struct lost_candidate here[] = {standing("C1"), standing("C2"), out("C3")}, away[] = {out("C1"), out("C2")};
    (void)state;
    assert_int_equal(lost_label_find(here, 3, false).answer, LOST_SEVERAL);
    assert_int_equal(lost_label_find(away, 2, false).answer, LOST_SEVERAL);
}

static void what_differs_is_said_of_those_that_it_is_among(void **state)
{
    struct lost_candidate list[] = {standing("C1"), standing("C2"), out("C3")};
    char advice[LOST_LABEL_ADVICE_SIZE];
    (void)state;
    (void)span_copy(span_of("OAK"), list[2].resin, sizeof list[2].resin); /* stands elsewhere: not among them */
    lost_label_advise(list, 3, advice);
    assert_string_equal(advice, "");
    list[1].amount_ul = 1000000;
    lost_label_advise(list, 3, advice);
    assert_string_equal(advice, "They differ: amount (weigh it).");
    list[1].opened = true;
    (void)span_copy(span_of("FL-2"), list[1].lot, sizeof list[1].lot);
    (void)span_copy(span_of("fogged"), list[1].film, sizeof list[1].film);
    (void)span_copy(span_of("OAK"), list[1].resin, sizeof list[1].resin);
    lost_label_advise(list, 2, advice);
    assert_string_equal(advice,
                        "They differ: resin, lot (the maker's code says it), amount (weigh it), opened or not, film.");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_left_was_never_booked),
        cmocka_unit_test(the_last_one_left_is_it),
        cmocka_unit_test(the_one_that_should_stand_here_is_likely_while_another_is_out),
        cmocka_unit_test(two_that_stand_here_or_two_that_are_out_are_several),
        cmocka_unit_test(what_differs_is_said_of_those_that_it_is_among),
    };
    return cmocka_run_group_tests_name("rules/lost_label", tests, NULL, NULL);
}

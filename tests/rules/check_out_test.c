#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/rules/check_out_things.h"

/* The rules of a check-out are common practice of the trade, no source. */

static bool has(const struct verdict_list *list, enum reason_code code)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code)
            return true;
    return false;
}

static struct verdict_list judge_two(struct check_out_thing one, struct check_out_thing two)
{
    const struct check_out_thing things[] = {one, two};
    const struct check_out_case asked = things_to_capstan(things, 2);
    struct verdict_list list;
    check_out_judge(&asked, &list);
    return list;
}

/* A thing to Capstan, where another one is. */
static struct verdict_list judge_beside(struct check_out_thing thing, struct check_out_thing inside)
{
    struct check_out_case asked = things_to_capstan(&thing, 1);
    struct verdict_list list;
    asked.inside = &inside;
    asked.inside_count = 1;
    check_out_judge(&asked, &list);
    return list;
}

static void a_vat_and_a_cartridge_of_one_resin_are_go(void **state)
{
    const struct verdict_list list = judge_two(things_vat("V1"), things_cartridge("C1"));
    (void)state;
    assert_int_equal(list.verdict, VERDICT_GO);
    assert_int_equal(list.count, 0);
}

static void what_left_service_is_gone_and_nothing_more_is_said_of_it(void **state)
{
    struct check_out_thing thing = things_cartridge("C1");
    (void)state;
    thing.gone = true;
    thing.in = false;
    thing.hold = "leaking";
    thing.expires.number = THINGS_TODAY - 5;
    const struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_GONE, VERDICT_STOP, "C1 is no longer in service");
}

static void a_serial_given_up_as_lost_alarms_and_says_what_its_thing_is_now(void **state)
{
    struct check_out_thing thing = things_cartridge("C1");
    (void)state;
    thing.gone = true;
    thing.in = false;
    thing.now = "C2";
    thing.expires.number = THINGS_TODAY - 5;
    struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_ALARMED, VERDICT_STOP, "C1 was given up as lost: its thing is now C2.");
    thing = things_cartridge("C2"); /* and under its new serial nothing speaks against it */
    thing.now = "";
    list = things_judge_one(thing);
    assert_int_equal(list.count, 0);
}

static void what_is_out_already_stops_and_names_who_has_it_and_where(void **state)
{
    struct check_out_thing thing = things_cartridge("C1");
    (void)state;
    thing.in = false;
    thing.holder_name = "Jarl";
    thing.where = "Sextant";
    struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_ALREADY_OUT, VERDICT_STOP, "already out, with Jarl, in Sextant.");
    thing.holder_name = thing.where = "";
    list = things_judge_one(thing);
    things_expect(&list, REASON_ALREADY_OUT, VERDICT_STOP, "C1 is already out.");
}

static void what_is_on_hold_stops_with_the_reason(void **state)
{
    struct check_out_thing thing = things_cartridge("C1");
    (void)state;
    thing.hold = "leaking";
    const struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_ON_HOLD, VERDICT_STOP, "on hold: leaking");
}

static const char *sentence_of(const struct verdict_list *list, enum reason_code code)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code)
            return list->reasons[i].sentence;
    return "";
}

static void what_waits_to_be_inspected_stops_with_the_job_it_waits_since(void **state)
{
    static const struct {
        char letter;
        const char *job, *how, *sentence;
    } cases[] = {
        {'V', "KQ-7", "failed", "The film of X1 has not been inspected since job KQ-7 failed."},
        {'T', "KQ-7", "aborted", "The film of X1 has not been inspected since job KQ-7 was aborted."},
        {'P', "", "failed", "The surface of X1 has not been inspected since a job failed."},
        {'V', "", "", "The film of X1 has not been inspected."},
        {'V', NULL, NULL, "The film of X1 has not been inspected."},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct check_out_thing thing = things_vat("X1");
        thing.letter = cases[i].letter;
        thing.hold = CHECK_OUT_TO_INSPECT;
        thing.failed_job = cases[i].job;
        thing.failed_how = cases[i].how;
        const struct verdict_list list = things_judge_one(thing);
        assert_int_equal(list.verdict, VERDICT_STOP);
        assert_false(has(&list, REASON_ON_HOLD));
        assert_string_equal(sentence_of(&list, REASON_NOT_INSPECTED), cases[i].sentence);
    }
    struct check_out_thing bottle =
        things_cartridge("C1"); /* has no film: whoever wrote that on it meant something else */
    bottle.hold = CHECK_OUT_TO_INSPECT;
    const struct verdict_list list = things_judge_one(bottle);
    assert_true(has(&list, REASON_ON_HOLD) && !has(&list, REASON_NOT_INSPECTED));
}

static void the_last_usable_day_is_go_and_the_day_after_stops(void **state)
{
    struct check_out_thing thing = things_cartridge("C1");
    (void)state;
    thing.expires.number = THINGS_TODAY;
    struct verdict_list list = things_judge_one(thing);
    assert_int_equal(list.verdict, VERDICT_GO);
    thing.expires.number = THINGS_TODAY - 1;
    list = things_judge_one(thing);
    things_expect(&list, REASON_EXPIRED, VERDICT_STOP, "last usable day was 2026-03-01");
}

static void an_unconfirmed_clock_asks_about_every_date_and_calls_nothing_expired(void **state)
{
    (void)state;
    for (int days = -1000; days <= 1000; days += 250) {
        struct check_out_thing thing = things_cartridge("C1");
        thing.expires.number = THINGS_TODAY + days;
        struct check_out_case asked = things_to_capstan(&thing, 1);
        struct verdict_list list;
        asked.clock_trusted = false;
        check_out_judge(&asked, &list);
        things_expect(&list, REASON_CLOCK, VERDICT_ASK, "clock is not confirmed");
    }
}

static void an_unconfirmed_clock_does_not_ask_about_what_has_no_date(void **state)
{
    struct check_out_thing thing = things_vat("V1");
    struct verdict_list list;
    (void)state;
    thing.resin = thing.revision = "";
    thing.has_expires = false;
    struct check_out_case asked = things_to_capstan(&thing, 1);
    asked.clock_trusted = false;
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void resin_of_unknown_age_is_asked_about_and_an_empty_vat_is_not(void **state)
{
    struct check_out_thing thing = things_vat("V1");
    (void)state;
    thing.has_expires = false;
    struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_NO_EXPIRY, VERDICT_ASK, "No use-by date is known for the Flint in V1");
    thing.resin = "";
    list = things_judge_one(thing);
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void other_resin_than_the_vat_holds_stops(void **state)
{
    struct check_out_thing oak = things_cartridge("C1");
    (void)state;
    oak.resin = "Oak";
    struct verdict_list list = judge_two(things_vat("V1"), oak);
    things_expect(&list, REASON_OTHER_RESIN, VERDICT_STOP, "C1 holds Oak, but V1 holds Flint");
    list = judge_beside(oak, things_vat("V1")); /* the vat is in the printer already */
    things_expect(&list, REASON_OTHER_RESIN, VERDICT_STOP, "C1 holds Oak, but V1 in Capstan holds Flint");
}

static void other_resin_than_the_printer_holds_stops(void **state)
{
    struct check_out_thing oak = things_vat("V1");
    (void)state;
    oak.resin = "Oak";
    const struct verdict_list list = judge_beside(oak, things_cartridge("C1"));
    things_expect(&list, REASON_OTHER_RESIN, VERDICT_STOP, "V1 holds Oak, but C1 in Capstan holds Flint");
}

static void an_empty_vat_takes_any_resin(void **state)
{
    struct check_out_thing empty = things_vat("V1");
    (void)state;
    empty.resin = empty.revision = "";
    empty.has_expires = false;
    const struct verdict_list list = judge_two(empty, things_cartridge("C1"));
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void other_revision_of_the_same_resin_stops(void **state)
{
    struct check_out_thing newer = things_cartridge("C1");
    (void)state;
    newer.revision = "3";
    struct verdict_list list = judge_two(things_vat("V1"), newer);
    things_expect(&list, REASON_OTHER_REVISION, VERDICT_STOP, "C1 holds Flint revision 3, but V1 holds revision 2");
    newer.revision = "";
    list = judge_beside(newer, things_vat("V1")); /* unknown is not the same */
    things_expect(&list, REASON_OTHER_REVISION, VERDICT_STOP, "revision unknown");
}

static void two_cartridges_that_are_not_alike_stop(void **state)
{
    struct check_out_thing oak = things_cartridge("C2"), newer = things_cartridge("C3");
    (void)state;
    oak.resin = "Oak";
    newer.revision = "3";
    struct verdict_list list = judge_two(things_cartridge("C1"), oak);
    things_expect(&list, REASON_CARTRIDGES_DIFFER, VERDICT_STOP, "C2 holds Oak, but C1 holds Flint");
    list = judge_two(things_cartridge("C1"), newer);
    things_expect(&list, REASON_OTHER_REVISION, VERDICT_STOP, "revision 3");
    list = judge_beside(oak, things_cartridge("C1")); /* one is in the printer already */
    things_expect(&list, REASON_CARTRIDGES_DIFFER, VERDICT_STOP, "C2 holds Oak");
    list = judge_two(things_cartridge("C1"), things_cartridge("C2"));
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void the_list_of_printers_it_fits_is_read_word_by_word(void **state)
{
    static const struct {
        const char *fits;
        bool go;
    } cases[] = {
        {"", true},     {"CAPSTAN", true},   {"SEXTANT CAPSTAN", true},        {"CAPSTAN SEXTANT", true},
        {"CAP", false}, {"CAPSTAN2", false}, {"CAP CAPSTANX XCAPSTAN", false}, {"SEXTANT HALYARD", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct check_out_thing thing = things_cartridge("C1");
        thing.fits = cases[i].fits;
        const struct verdict_list list = things_judge_one(thing);
        if (has(&list, REASON_DOES_NOT_FIT) == cases[i].go || (list.verdict == VERDICT_GO) != cases[i].go)
            fail_msg("fits '%s': %s", cases[i].fits, verdict_word(list.verdict));
    }
}

static void without_a_printer_only_the_things_themselves_are_judged(void **state)
{
    struct check_out_thing things[] = {things_vat("V1"), things_vat("V2")};
    struct verdict_list list;
    (void)state;
    things[0].fits = "SEXTANT";
    struct check_out_case asked = things_to_capstan(things, 2);
    asked.printer = NULL;
    asked.printer_name = NULL;
    asked.slots = 0;
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
    things[1].resin = "Oak"; /* two resins in one group are wrong wherever it goes */
    check_out_judge(&asked, &list);
    assert_true(has(&list, REASON_OTHER_RESIN));
}

static void a_printer_takes_one_vat(void **state)
{
    (void)state;
    struct verdict_list list = judge_two(things_vat("V1"), things_vat("V2"));
    things_expect(&list, REASON_PRINTER_HAS_VAT, VERDICT_STOP, "Capstan already has vat V1");
    list = judge_beside(things_vat("V1"), things_vat("V2"));
    things_expect(&list, REASON_PRINTER_HAS_VAT, VERDICT_STOP, "Capstan already has vat V2");
    list = judge_beside(things_vat("V1"), things_cartridge("C1"));
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void a_printer_takes_as_many_cartridges_as_it_has_slots(void **state)
{
    const struct check_out_thing things[] = {things_cartridge("C1"), things_cartridge("C2"), things_cartridge("C3")};
    const struct check_out_thing inside = things_cartridge("C4");
    struct check_out_case asked = things_to_capstan(things, 2);
    struct verdict_list list;
    (void)state;
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
    asked.thing_count = 3;
    check_out_judge(&asked, &list);
    things_expect(&list, REASON_NO_FREE_SLOT, VERDICT_STOP, "takes 2 cartridges; C3 would be one more");
    asked.thing_count = 2;
    asked.inside = &inside;
    asked.inside_count = 1;
    check_out_judge(&asked, &list);
    things_expect(&list, REASON_NO_FREE_SLOT, VERDICT_STOP, "C2 would be one more");
    asked.slots = 0;
    asked.thing_count = 1;
    asked.inside_count = 0;
    check_out_judge(&asked, &list);
    things_expect(&list, REASON_NO_FREE_SLOT, VERDICT_STOP, "takes 0 cartridges");
}

static void a_fogged_film_is_asked_about_and_a_clear_one_is_not(void **state)
{
    struct check_out_thing thing = things_vat("V1");
    (void)state;
    thing.film = "fogged";
    struct verdict_list list = things_judge_one(thing);
    things_expect(&list, REASON_FILM_FOGGED, VERDICT_ASK, "The film of V1 was fogged");
    thing.film = "";
    list = things_judge_one(thing);
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void thirty_two_things_are_judged_and_the_worst_is_kept_in_a_cut_list(void **state)
{
    struct check_out_thing things[CHECK_OUT_UNITS];
    char serials[CHECK_OUT_UNITS][8];
    struct verdict_list list;
    (void)state;
    for (size_t i = 0; i < CHECK_OUT_UNITS; i++) {
        (void)snprintf(serials[i], sizeof serials[i], "C%zu", i);
        things[i] = things_cartridge(serials[i]);
        things[i].has_expires = false; /* asks, each */
    }
    struct check_out_case asked = things_to_capstan(things, CHECK_OUT_UNITS);
    asked.slots = CHECK_OUT_UNITS;
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_ASK);
    assert_true(list.cut);
    things[CHECK_OUT_UNITS - 1].hold = "leaking"; /* the very last */
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_STOP);
    assert_true(has(&list, REASON_ON_HOLD));
}

static void all_that_is_wrong_is_said_at_once(void **state)
{
    struct check_out_thing thing = things_cartridge("C1");
    (void)state;
    thing.hold = "leaking";
    thing.expires.number = THINGS_TODAY - 1;
    thing.fits = "SEXTANT";
    const struct verdict_list list = things_judge_one(thing);
    assert_int_equal(list.count, 3);
    assert_true(has(&list, REASON_ON_HOLD) && has(&list, REASON_EXPIRED) && has(&list, REASON_DOES_NOT_FIT));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_vat_and_a_cartridge_of_one_resin_are_go),
        cmocka_unit_test(what_left_service_is_gone_and_nothing_more_is_said_of_it),
        cmocka_unit_test(a_serial_given_up_as_lost_alarms_and_says_what_its_thing_is_now),
        cmocka_unit_test(what_is_out_already_stops_and_names_who_has_it_and_where),
        cmocka_unit_test(what_is_on_hold_stops_with_the_reason),
        cmocka_unit_test(what_waits_to_be_inspected_stops_with_the_job_it_waits_since),
        cmocka_unit_test(the_last_usable_day_is_go_and_the_day_after_stops),
        cmocka_unit_test(an_unconfirmed_clock_asks_about_every_date_and_calls_nothing_expired),
        cmocka_unit_test(an_unconfirmed_clock_does_not_ask_about_what_has_no_date),
        cmocka_unit_test(resin_of_unknown_age_is_asked_about_and_an_empty_vat_is_not),
        cmocka_unit_test(other_resin_than_the_vat_holds_stops),
        cmocka_unit_test(other_resin_than_the_printer_holds_stops),
        cmocka_unit_test(an_empty_vat_takes_any_resin),
        cmocka_unit_test(other_revision_of_the_same_resin_stops),
        cmocka_unit_test(two_cartridges_that_are_not_alike_stop),
        cmocka_unit_test(the_list_of_printers_it_fits_is_read_word_by_word),
        cmocka_unit_test(without_a_printer_only_the_things_themselves_are_judged),
        cmocka_unit_test(a_printer_takes_one_vat),
        cmocka_unit_test(a_printer_takes_as_many_cartridges_as_it_has_slots),
        cmocka_unit_test(a_fogged_film_is_asked_about_and_a_clear_one_is_not),
        cmocka_unit_test(thirty_two_things_are_judged_and_the_worst_is_kept_in_a_cut_list),
        cmocka_unit_test(all_that_is_wrong_is_said_at_once),
    };
    return cmocka_run_group_tests_name("rules/check_out", tests, NULL, NULL);
}

#include "kiosk/rules/check_out.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* The rules of a check-out are common practice of the trade, no source. */

enum { TODAY = 20514 }; /* 2026-03-02, GNU date 9.1 */

static struct check_out_thing cartridge(const char *serial)
{
    return (struct check_out_thing){.serial = serial,
                                    .letter = 'C',
                                    .name = "Flint cartridge",
                                    .in = true,
                                    .holder_name = "",
                                    .where = "",
                                    .hold = "",
                                    .film = "",
                                    .resin = "Flint",
                                    .revision = "2",
                                    .fits = "",
                                    .has_expires = true,
                                    .expires = {TODAY + 100}};
}

static struct check_out_thing vat(const char *serial)
{
    struct check_out_thing thing = cartridge(serial);
    thing.letter = 'V';
    thing.name = "Small vat";
    thing.film = "clear";
    return thing;
}

static struct check_out_case to_capstan(const struct check_out_thing *things, size_t count)
{
    return (struct check_out_case){.things = things,
                                   .thing_count = count,
                                   .printer = "CAPSTAN",
                                   .printer_name = "Capstan",
                                   .slots = 2,
                                   .today = {TODAY},
                                   .clock_trusted = true};
}

static bool has(const struct verdict_list *list, enum reason_code code)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code)
            return true;
    return false;
}

/* One thing alone, to Capstan. */
static struct verdict_list judge_one(struct check_out_thing thing)
{
    const struct check_out_case asked = to_capstan(&thing, 1);
    struct verdict_list list;
    check_out_judge(&asked, &list);
    return list;
}

static struct verdict_list judge_two(struct check_out_thing one, struct check_out_thing two)
{
    const struct check_out_thing things[] = {one, two};
    const struct check_out_case asked = to_capstan(things, 2);
    struct verdict_list list;
    check_out_judge(&asked, &list);
    return list;
}

/* A thing to Capstan, where another one is. */
static struct verdict_list judge_beside(struct check_out_thing thing, struct check_out_thing inside)
{
    struct check_out_case asked = to_capstan(&thing, 1);
    struct verdict_list list;
    asked.inside = &inside;
    asked.inside_count = 1;
    check_out_judge(&asked, &list);
    return list;
}

static void expect(const struct verdict_list *list, enum reason_code code, enum verdict verdict, const char *says)
{
    if (list->verdict != verdict || list->count != 1 || list->reasons[0].code != code ||
        !strstr(list->reasons[0].sentence, says))
        fail_msg("verdict %s, %zu reasons, first '%s': %s", verdict_word(list->verdict), list->count,
                 list->count ? reason_code_word(list->reasons[0].code) : "",
                 list->count ? list->reasons[0].sentence : "");
}

static void a_vat_and_a_cartridge_of_one_resin_are_go(void **state)
{
    const struct verdict_list list = judge_two(vat("V1"), cartridge("C1"));
    (void)state;
    assert_int_equal(list.verdict, VERDICT_GO);
    assert_int_equal(list.count, 0);
}

static void what_left_service_is_gone_and_nothing_more_is_said_of_it(void **state)
{
    struct check_out_thing thing = cartridge("C1");
    (void)state;
    thing.gone = true;
    thing.in = false;
    thing.hold = "leaking";
    thing.expires.number = TODAY - 5;
    const struct verdict_list list = judge_one(thing);
    expect(&list, REASON_GONE, VERDICT_STOP, "C1 is no longer in service");
}

static void a_serial_given_up_as_lost_alarms_and_says_what_its_thing_is_now(void **state)
{
    struct check_out_thing thing = cartridge("C1");
    (void)state;
    thing.gone = true;
    thing.in = false;
    thing.now = "C2";
    thing.expires.number = TODAY - 5;
    struct verdict_list list = judge_one(thing);
    expect(&list, REASON_ALARMED, VERDICT_STOP, "C1 was given up as lost: its thing is now C2.");
    thing = cartridge("C2"); /* and under its new serial nothing speaks against it */
    thing.now = "";
    list = judge_one(thing);
    assert_int_equal(list.count, 0);
}

static void what_is_out_already_stops_and_names_who_has_it_and_where(void **state)
{
    struct check_out_thing thing = cartridge("C1");
    (void)state;
    thing.in = false;
    thing.holder_name = "Jarl";
    thing.where = "Sextant";
    struct verdict_list list = judge_one(thing);
    expect(&list, REASON_ALREADY_OUT, VERDICT_STOP, "already out, with Jarl, in Sextant.");
    thing.holder_name = thing.where = "";
    list = judge_one(thing);
    expect(&list, REASON_ALREADY_OUT, VERDICT_STOP, "C1 is already out.");
}

static void what_is_on_hold_stops_with_the_reason(void **state)
{
    struct check_out_thing thing = cartridge("C1");
    (void)state;
    thing.hold = "leaking";
    const struct verdict_list list = judge_one(thing);
    expect(&list, REASON_ON_HOLD, VERDICT_STOP, "on hold: leaking");
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
        struct check_out_thing thing = vat("X1");
        thing.letter = cases[i].letter;
        thing.hold = CHECK_OUT_TO_INSPECT;
        thing.failed_job = cases[i].job;
        thing.failed_how = cases[i].how;
        const struct verdict_list list = judge_one(thing);
        assert_int_equal(list.verdict, VERDICT_STOP);
        assert_false(has(&list, REASON_ON_HOLD));
        assert_string_equal(sentence_of(&list, REASON_NOT_INSPECTED), cases[i].sentence);
    }
    struct check_out_thing bottle = cartridge("C1"); /* has no film: whoever wrote that on it meant something else */
    bottle.hold = CHECK_OUT_TO_INSPECT;
    const struct verdict_list list = judge_one(bottle);
    assert_true(has(&list, REASON_ON_HOLD) && !has(&list, REASON_NOT_INSPECTED));
}

static void the_last_usable_day_is_go_and_the_day_after_stops(void **state)
{
    struct check_out_thing thing = cartridge("C1");
    (void)state;
    thing.expires.number = TODAY;
    struct verdict_list list = judge_one(thing);
    assert_int_equal(list.verdict, VERDICT_GO);
    thing.expires.number = TODAY - 1;
    list = judge_one(thing);
    expect(&list, REASON_EXPIRED, VERDICT_STOP, "last usable day was 2026-03-01");
}

static void an_unconfirmed_clock_asks_about_every_date_and_calls_nothing_expired(void **state)
{
    (void)state;
    for (int days = -1000; days <= 1000; days += 250) {
        struct check_out_thing thing = cartridge("C1");
        thing.expires.number = TODAY + days;
        struct check_out_case asked = to_capstan(&thing, 1);
        struct verdict_list list;
        asked.clock_trusted = false;
        check_out_judge(&asked, &list);
        expect(&list, REASON_CLOCK, VERDICT_ASK, "clock is not confirmed");
    }
}

static void an_unconfirmed_clock_does_not_ask_about_what_has_no_date(void **state)
{
    struct check_out_thing thing = vat("V1");
    struct verdict_list list;
    (void)state;
    thing.resin = thing.revision = "";
    thing.has_expires = false;
    struct check_out_case asked = to_capstan(&thing, 1);
    asked.clock_trusted = false;
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void resin_of_unknown_age_is_asked_about_and_an_empty_vat_is_not(void **state)
{
    struct check_out_thing thing = vat("V1");
    (void)state;
    thing.has_expires = false;
    struct verdict_list list = judge_one(thing);
    expect(&list, REASON_NO_EXPIRY, VERDICT_ASK, "No use-by date is known for the Flint in V1");
    thing.resin = "";
    list = judge_one(thing);
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void other_resin_than_the_vat_holds_stops(void **state)
{
    struct check_out_thing oak = cartridge("C1");
    (void)state;
    oak.resin = "Oak";
    struct verdict_list list = judge_two(vat("V1"), oak);
    expect(&list, REASON_OTHER_RESIN, VERDICT_STOP, "C1 holds Oak, but V1 holds Flint");
    list = judge_beside(oak, vat("V1")); /* the vat is in the printer already */
    expect(&list, REASON_OTHER_RESIN, VERDICT_STOP, "C1 holds Oak, but V1 in Capstan holds Flint");
}

static void other_resin_than_the_printer_holds_stops(void **state)
{
    struct check_out_thing oak = vat("V1");
    (void)state;
    oak.resin = "Oak";
    const struct verdict_list list = judge_beside(oak, cartridge("C1"));
    expect(&list, REASON_OTHER_RESIN, VERDICT_STOP, "V1 holds Oak, but C1 in Capstan holds Flint");
}

static void an_empty_vat_takes_any_resin(void **state)
{
    struct check_out_thing empty = vat("V1");
    (void)state;
    empty.resin = empty.revision = "";
    empty.has_expires = false;
    const struct verdict_list list = judge_two(empty, cartridge("C1"));
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void other_revision_of_the_same_resin_stops(void **state)
{
    struct check_out_thing newer = cartridge("C1");
    (void)state;
    newer.revision = "3";
    struct verdict_list list = judge_two(vat("V1"), newer);
    expect(&list, REASON_OTHER_REVISION, VERDICT_STOP, "C1 holds Flint revision 3, but V1 holds revision 2");
    newer.revision = "";
    list = judge_beside(newer, vat("V1")); /* unknown is not the same */
    expect(&list, REASON_OTHER_REVISION, VERDICT_STOP, "revision unknown");
}

static void two_cartridges_that_are_not_alike_stop(void **state)
{
    struct check_out_thing oak = cartridge("C2"), newer = cartridge("C3");
    (void)state;
    oak.resin = "Oak";
    newer.revision = "3";
    struct verdict_list list = judge_two(cartridge("C1"), oak);
    expect(&list, REASON_CARTRIDGES_DIFFER, VERDICT_STOP, "C2 holds Oak, but C1 holds Flint");
    list = judge_two(cartridge("C1"), newer);
    expect(&list, REASON_OTHER_REVISION, VERDICT_STOP, "revision 3");
    list = judge_beside(oak, cartridge("C1")); /* one is in the printer already */
    expect(&list, REASON_CARTRIDGES_DIFFER, VERDICT_STOP, "C2 holds Oak");
    list = judge_two(cartridge("C1"), cartridge("C2"));
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
        struct check_out_thing thing = cartridge("C1");
        thing.fits = cases[i].fits;
        const struct verdict_list list = judge_one(thing);
        if (has(&list, REASON_DOES_NOT_FIT) == cases[i].go || (list.verdict == VERDICT_GO) != cases[i].go)
            fail_msg("fits '%s': %s", cases[i].fits, verdict_word(list.verdict));
    }
}

static void without_a_printer_only_the_things_themselves_are_judged(void **state)
{
    struct check_out_thing things[] = {vat("V1"), vat("V2")};
    struct verdict_list list;
    (void)state;
    things[0].fits = "SEXTANT";
    struct check_out_case asked = to_capstan(things, 2);
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
    struct verdict_list list = judge_two(vat("V1"), vat("V2"));
    expect(&list, REASON_PRINTER_HAS_VAT, VERDICT_STOP, "Capstan already has vat V1");
    list = judge_beside(vat("V1"), vat("V2"));
    expect(&list, REASON_PRINTER_HAS_VAT, VERDICT_STOP, "Capstan already has vat V2");
    list = judge_beside(vat("V1"), cartridge("C1"));
    assert_int_equal(list.verdict, VERDICT_GO);
}

static void a_printer_takes_as_many_cartridges_as_it_has_slots(void **state)
{
    const struct check_out_thing things[] = {cartridge("C1"), cartridge("C2"), cartridge("C3")};
    const struct check_out_thing inside = cartridge("C4");
    struct check_out_case asked = to_capstan(things, 2);
    struct verdict_list list;
    (void)state;
    check_out_judge(&asked, &list);
    assert_int_equal(list.verdict, VERDICT_GO);
    asked.thing_count = 3;
    check_out_judge(&asked, &list);
    expect(&list, REASON_NO_FREE_SLOT, VERDICT_STOP, "takes 2 cartridges; C3 would be one more");
    asked.thing_count = 2;
    asked.inside = &inside;
    asked.inside_count = 1;
    check_out_judge(&asked, &list);
    expect(&list, REASON_NO_FREE_SLOT, VERDICT_STOP, "C2 would be one more");
    asked.slots = 0;
    asked.thing_count = 1;
    asked.inside_count = 0;
    check_out_judge(&asked, &list);
    expect(&list, REASON_NO_FREE_SLOT, VERDICT_STOP, "takes 0 cartridges");
}

static void a_fogged_film_is_asked_about_and_a_clear_one_is_not(void **state)
{
    struct check_out_thing thing = vat("V1");
    (void)state;
    thing.film = "fogged";
    struct verdict_list list = judge_one(thing);
    expect(&list, REASON_FILM_FOGGED, VERDICT_ASK, "The film of V1 was fogged");
    thing.film = "";
    list = judge_one(thing);
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
        things[i] = cartridge(serials[i]);
        things[i].has_expires = false; /* asks, each */
    }
    struct check_out_case asked = to_capstan(things, CHECK_OUT_UNITS);
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
    struct check_out_thing thing = cartridge("C1");
    (void)state;
    thing.hold = "leaking";
    thing.expires.number = TODAY - 1;
    thing.fits = "SEXTANT";
    const struct verdict_list list = judge_one(thing);
    assert_int_equal(list.count, 3);
    assert_true(has(&list, REASON_ON_HOLD) && has(&list, REASON_EXPIRED) && has(&list, REASON_DOES_NOT_FIT));
}

/* What goes out for a job that ends in so many days, and in so many minutes (below 0: nobody knows). */
static struct verdict_list judge_until(struct check_out_thing thing, int days, int64_t minutes, bool exact)
{
    struct check_out_case asked = to_capstan(&thing, 1);
    struct verdict_list list;
    asked.ends = (struct check_out_job_end){.known = true, .day = {TODAY + days}, .minutes = minutes, .exact = exact};
    check_out_judge(&asked, &list);
    return list;
}

static void resin_that_must_be_used_before_the_job_ends_stops_on_any_day_but_the_last(void **state)
{
    struct check_out_thing one = cartridge("C1"), two = vat("V1");
    (void)state;
    one.expires.number = two.expires.number = TODAY + 2;
    struct verdict_list list = judge_until(one, 3, -1, false);
    expect(&list, REASON_EXPIRES_IN_JOB, VERDICT_STOP,
           "The Flint in C1 may be used until 2026-03-04, and the job ends on 2026-03-05.");
    list = judge_until(two, 3, -1, false);
    expect(&list, REASON_EXPIRES_IN_JOB, VERDICT_STOP, "The Flint in V1 may be used until 2026-03-04");
    list = judge_until(one, 2, -1, false);
    assert_int_equal(list.count, 0);
    list = judge_one(one); /* nobody knows when it ends */
    assert_int_equal(list.count, 0);
}

static void what_has_expired_already_or_holds_no_resin_does_not_expire_in_the_job(void **state)
{
    struct check_out_thing one = cartridge("C1"), platform = cartridge("P1");
    (void)state;
    one.expires.number = TODAY - 1;
    struct verdict_list list = judge_until(one, 3, -1, false);
    expect(&list, REASON_EXPIRED, VERDICT_STOP, "C1 expired");
    platform.letter = 'P';
    platform.resin = "";
    platform.expires.number = TODAY + 1;
    list = judge_until(platform, 3, -1, false);
    assert_int_equal(list.count, 0);
}

static struct check_out_thing worn_vat(int64_t hours, int64_t rated_hours)
{
    struct check_out_thing thing = vat("V1");
    thing.minutes = hours * 60;
    thing.life_minutes = rated_hours * 60;
    return thing;
}

static void a_film_that_will_be_worn_out_before_the_job_ends_is_asked_about(void **state)
{
    (void)state;
    struct verdict_list list = judge_until(worn_vat(117, 120), 0, 7 * 60, true);
    expect(&list, REASON_LIFE_ENDS, VERDICT_ASK,
           "The film of V1 has 3 h of its rated 120 h left; the job ends in 7 h.");
    list = judge_until(worn_vat(117, 120), 3, 2880, false);
    expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "left; the job goes on until 2026-03-05.");
    list = judge_until(worn_vat(117, 120), 0, 3 * 60, true); /* just enough */
    assert_int_equal(list.count, 0);
    list = judge_until(worn_vat(117, 120), 0, -1, false); /* how long, nobody knows */
    assert_int_equal(list.count, 0);
    list = judge_one(worn_vat(117, 120));
    assert_int_equal(list.count, 0);
}

static void a_film_that_is_worn_out_is_asked_about_without_any_job(void **state)
{
    struct check_out_thing thing = worn_vat(121, 120);
    (void)state;
    struct verdict_list list = judge_one(thing);
    expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "The film of V1 has run 121 h of its rated 120 h.");
    thing.minutes = 120 * 60;
    list = judge_one(thing);
    expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "has run 120 h of its rated 120 h");
    thing.minutes--;
    list = judge_one(thing);
    assert_int_equal(list.count, 0);
}

/* No hours are not 0 hours; a platform has a body, a cartridge wears nothing. */
static void hours_that_nobody_knows_or_a_rating_that_nobody_gave_say_nothing(void **state)
{
    struct check_out_thing thing = worn_vat(121, 120);
    (void)state;
    thing.minutes = INT64_MIN;
    struct verdict_list list = judge_one(thing);
    assert_int_equal(list.count, 0);
    thing = worn_vat(121, 0);
    list = judge_one(thing);
    assert_int_equal(list.count, 0);
    thing = worn_vat(121, 120);
    thing.letter = 'C';
    list = judge_one(thing);
    assert_int_equal(list.count, 0);
    thing.letter = 'P';
    list = judge_one(thing);
    expect(&list, REASON_LIFE_ENDS, VERDICT_ASK, "The body of V1 has run 121 h of its rated 120 h.");
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
        cmocka_unit_test(resin_that_must_be_used_before_the_job_ends_stops_on_any_day_but_the_last),
        cmocka_unit_test(what_has_expired_already_or_holds_no_resin_does_not_expire_in_the_job),
        cmocka_unit_test(a_film_that_will_be_worn_out_before_the_job_ends_is_asked_about),
        cmocka_unit_test(a_film_that_is_worn_out_is_asked_about_without_any_job),
        cmocka_unit_test(hours_that_nobody_knows_or_a_rating_that_nobody_gave_say_nothing),
    };
    return cmocka_run_group_tests_name("rules/check_out", tests, NULL, NULL);
}

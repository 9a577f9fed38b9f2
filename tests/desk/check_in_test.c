#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Check-in: hours, content and film are noted as things come back. Common practice, no source. */

enum { HOURS_BEFORE = 10, AN_HOUR = 3600 };

static void check_out(struct room *room, const char *one, const char *two)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, one);
    if (two)
        (void)room_scan(room, two);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
}

static void badge_case_film_and_place_bring_a_vat_back(void **state)
{
    struct room *room = *state;
    struct job job;
    bool found;
    check_out(room, room->vat_flint, NULL);
    assert_true(room_job(room, "CAPSTAN", &job));
    room_pass(room, 3 * AN_HOUR + 30 * 60);
    (void)room_scan(room, room->jarl); /* whoever brings it */
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "ask", "check-in", "is coming back: how is its film?");
    room_expect_key(room, "FILM-CLEAR", true);
    (void)room_press(room, "FILM-FOGGED");
    room_expect(room, "go", "check-in", "the next one, or the shelf");
    (void)room_scan(room, "B01");
    room_expect(room, "go", "idle", "is back, at B01");
    room_expect_undo(room, "Jarl: check-in of V");
    const struct unit vat = room_unit(room, room->vat_flint);
    assert_int_equal(vat.status, UNIT_IN);
    assert_string_equal(vat.place, "B01");
    assert_string_equal(vat.holder, "");
    assert_string_equal(vat.film, "fogged");
    assert_int_equal(vat.minutes, HOURS_BEFORE * 60 + 210); /* from the clock */
    assert_int_equal(vat.amount_ul, 400000);                /* not said: as it was */
    assert_true(job_load(room->reader, job.id, &job, &found, NULL) && found);
    assert_int_equal(job.minutes, 210);
}

static void a_thing_from_the_shelf_does_not_push_aside_what_comes_back(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, room->oak);
    room_expect(room, "ask", "check-in", "Finish what comes back first");
    (void)room_scan(room, "B01");
    room_expect(room, "go", "idle", "is back, at B01");
    assert_string_equal(room_unit(room, room->vat_flint).film, "clear");
}

static void the_film_is_asked_for_when_the_shelf_is_scanned_first(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "B01");
    room_expect(room, "ask", "check-in", "How is the film of V");
    room_expect_booked(room, false);
    (void)room_press(room, "FILM-CLEAR");
    room_expect(room, "go", "idle", "is back, at B01");
}

static void without_a_badge_nothing_comes_back(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    room_expect(room, "ask", "check-in", "Scan your badge to bring this back");
    room_expect_booked(room, false);
    (void)room_scan(room, room->jarl);
    room_expect(room, "go", "idle", "is back, at B01");
    assert_true(json_is_null(json_object_get(room->view, "person"))); /* the group is closed */
}

static void the_job_ends_when_the_last_thing_is_back(void **state)
{
    struct room *room = *state;
    struct job job;
    check_out(room, room->vat_flint, room->flint);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "A01");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(room_movements(room, MOVEMENT_JOB_END), 0);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    assert_false(room_job(room, "CAPSTAN", &job));
    assert_int_equal(room_movements(room, MOVEMENT_JOB_END), 1);
}

static void two_things_come_back_together(void **state)
{
    struct room *room = *state;
    struct job job;
    check_out(room, room->vat_flint, room->flint);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    room_expect(room, "ask", "check-in", "how is its film?"); /* still */
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    room_expect(room, "go", "idle", "2 things are back, at B01");
    assert_false(room_job(room, "CAPSTAN", &job));
    assert_int_equal(room_movements(room, MOVEMENT_JOB_END), 1);
}

static void nobody_knows_makes_hours_and_content_unknown(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "UNKNOWN");
    room_expect(room, "go", "check-in", "the shelf");
    (void)room_scan(room, "B01");
    const struct unit vat = room_unit(room, room->vat_flint);
    assert_int_equal(vat.status, UNIT_IN);
    assert_int_equal(vat.minutes, MOVEMENT_NULL);
    assert_int_equal(vat.amount_ul, MOVEMENT_NULL);
}

static void amount_and_hour_cards_say_what_is_in_it_and_how_long_it_ran(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, room->flint);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "250ML");
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, room->flint);
    (void)room_press(room, "640ML"); /* of the last thing */
    (void)room_press(room, "12H");   /* of the last thing with light hours */
    const json_t *said = json_object_get(json_array_get(json_object_get(room->view, "units"), 1), "said");
    assert_int_equal(json_integer_value(json_object_get(said, "amount_ml")), 640);
    (void)room_scan(room, "B01");
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 250000);
    assert_int_equal(room_unit(room, room->vat_flint).minutes, (HOURS_BEFORE + 12) * 60);
    assert_int_equal(room_unit(room, room->flint).amount_ul, 640000);
    assert_int_equal(room_unit(room, room->flint).minutes, MOVEMENT_NULL);
}

static void a_card_that_suits_nothing_says_so(void **state)
{
    struct room *room = *state;
    check_out(room, room->flint, NULL);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "FILM-CLEAR");
    room_expect(room, NULL, "check-in", "FILM-CLEAR says nothing here");
    (void)room_press(room, "12H");
    room_expect(room, NULL, "check-in", "12H says nothing here");
    (void)room_press(room, "9999999ML"); /* beyond the limit: no such card */
    room_expect(room, NULL, "check-in", "scan a thing first");
    (void)room_press(room, "250LM");
    room_expect(room, NULL, "check-in", "scan a thing first");
    (void)room_scan(room, "A01");
    assert_int_equal(room_unit(room, room->flint).amount_ul, 1000000);
}

static void a_second_film_card_corrects_the_first(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-LEAKING");
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    assert_string_equal(room_unit(room, room->vat_flint).film, "clear");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
}

static void a_film_that_would_spoil_a_print_puts_the_vat_on_hold(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *card, *film, *hold;
    } cases[] = {
        {"FILM-CLEAR", "clear", ""},
        {"FILM-FOGGED", "fogged", ""},
        {"FILM-DENTED", "dented", "film-dented"},
        {"FILM-BITS", "bits", "film-bits"},
        {"FILM-LEAKING", "leaking", "film-leaking"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        check_out(room, room->vat_empty, NULL);
        (void)room_scan(room, room->tobias);
        (void)room_scan(room, room->vat_empty);
        (void)room_press(room, cases[i].card);
        (void)room_scan(room, "B01");
        assert_string_equal(room_unit(room, room->vat_empty).film, cases[i].film);
        assert_string_equal(room_unit(room, room->vat_empty).hold, cases[i].hold);
        (void)room_press(room, "UNDO"); /* back out, and free of the hold */
        (void)room_press(room, "UNDO");
        assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_IN);
        assert_string_equal(room_unit(room, room->vat_empty).hold, "");
    }
}

static void hours_are_unknown_when_the_clock_cannot_be_trusted(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    room_pass(room, AN_HOUR);
    room_distrust_clock(room);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    assert_int_equal(room_unit(room, room->vat_flint).minutes, MOVEMENT_NULL); /* not 0, not a guess */
}

static void hours_are_unknown_when_the_clock_could_not_be_trusted_at_check_out(void **state)
{
    struct room *room = *state;
    room_distrust_clock(room);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_empty); /* has no date to ask about */
    (void)room_scan_printer(room, "CAPSTAN");
    clock_set_wall(room->clock, clock_now(room->clock).wall, true);
    room_pass(room, AN_HOUR);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    assert_int_equal(room_unit(room, room->vat_empty).minutes, MOVEMENT_NULL);
}

static void what_comes_back_does_not_go_to_a_printer(void **state)
{
    struct room *room = *state;
    check_out(room, room->flint, NULL);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "SEXTANT");
    room_expect(room, "stop", "check-in", "what comes back goes to a shelf");
    (void)room_scan(room, "A01");
    room_expect(room, "go", "idle", "is back");
}

/* ---- the act of a script ---- */

static void a_script_says_minutes_and_content(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:s,s:i,s:f}],s:s}", "units", "unit", room->vat_flint, "film", "clear",
                             "minutes", 45, "amount_ml", 312.5, "place", "B01"));
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_flint).minutes, HOURS_BEFORE * 60 + 45);
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 312500);
}

static void a_script_says_which_of_them_is_unknown(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, NULL);
    room_pass(room, AN_HOUR);
    (void)room_act(
        room, "check-in",
        json_pack("{s:[{s:s,s:b}],s:s}", "units", "unit", room->vat_flint, "minutes_unknown", 1, "place", "B01"));
    assert_int_equal(room_unit(room, room->vat_flint).minutes, MOVEMENT_NULL);
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 400000);
    check_out(room, room->vat_oak, NULL);
    room_pass(room, AN_HOUR);
    (void)room_act(
        room, "check-in",
        json_pack("{s:[{s:s,s:b}],s:s}", "units", "unit", room->vat_oak, "amount_unknown", 1, "place", "B01"));
    assert_int_equal(room_unit(room, room->vat_oak).minutes, (HOURS_BEFORE + 1) * 60);
    assert_int_equal(room_unit(room, room->vat_oak).amount_ul, MOVEMENT_NULL);
}

static void a_malformed_check_in_is_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    check_out(room, room->vat_flint, room->flint);
    const struct {
        json_t *content;
        enum fault_code code;
        const char *says;
    } cases[] = {
        {json_object(), FAULT_INPUT, "'place' is missing"},
        {json_pack("{s:s}", "place", "B01"), FAULT_INPUT, "'units' is not a list"},
        {json_pack("{s:[],s:s}", "units", "place", "B01"), FAULT_INPUT, "'units' is not a list"},
        {json_pack("{s:[s],s:s}", "units", room->flint, "place", "B01"), FAULT_INPUT,
         "not an object with a key 'unit'"},
        {json_pack("{s:[{}],s:s}", "units", "place", "B01"), FAULT_INPUT, "'unit' is missing"},
        {json_pack("{s:[{s:s}],s:s}", "units", "unit", room->flint, "place", "Z99"), FAULT_MISSING,
         "'Z99' is not a shelf"},
        {json_pack("{s:[{s:s}],s:s}", "units", "unit", room->flint, "place", "CAPSTAN-1"), FAULT_MISSING,
         "not a shelf"},
        {json_pack("{s:[{s:s}],s:s}", "units", "unit", room->oak, "place", "B01"), FAULT_CONFLICT, "is not out"},
        {json_pack("{s:[{s:s}],s:s}", "units", "unit", "C999999X", "place", "B01"), FAULT_MISSING, "is not known here"},
        {json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", room->vat_flint, "film", "torn", "place", "B01"),
         FAULT_INPUT, "'film' is 'torn', not one of clear, fogged"},
        {json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", room->flint, "film", "clear", "place", "B01"), FAULT_INPUT,
         "has no film"},
        {json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", room->flint, "minutes", 5, "place", "B01"), FAULT_INPUT,
         "has no light hours"},
        {json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", room->vat_flint, "minutes", -5, "place", "B01"), FAULT_INPUT,
         "'minutes' is not a whole number"},
        {json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", room->flint, "amount_ml", "much", "place", "B01"),
         FAULT_INPUT, "'amount_ml' is not a number"},
        {json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", room->flint, "amount", 5, "place", "B01"), FAULT_INPUT,
         "'amount' is not known here"},
        {json_pack("{s:[{s:s},{s:s}],s:s}", "units", "unit", room->flint, "unit", room->flint, "place", "B01"),
         FAULT_INPUT, "twice"},
        {json_pack("{s:[{s:s}],s:s,s:s}", "units", "unit", room->flint, "place", "B01", "plaice", "x"), FAULT_INPUT,
         "'plaice' is not known here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        room_refuses(room, "check-in", cases[i].content, cases[i].code, cases[i].says);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(badge_case_film_and_place_bring_a_vat_back),
        IN_ROOM(a_thing_from_the_shelf_does_not_push_aside_what_comes_back),
        IN_ROOM(the_film_is_asked_for_when_the_shelf_is_scanned_first),
        IN_ROOM(without_a_badge_nothing_comes_back),
        IN_ROOM(the_job_ends_when_the_last_thing_is_back),
        IN_ROOM(two_things_come_back_together),
        IN_ROOM(nobody_knows_makes_hours_and_content_unknown),
        IN_ROOM(amount_and_hour_cards_say_what_is_in_it_and_how_long_it_ran),
        IN_ROOM(a_card_that_suits_nothing_says_so),
        IN_ROOM(a_second_film_card_corrects_the_first),
        IN_ROOM(a_film_that_would_spoil_a_print_puts_the_vat_on_hold),
        IN_ROOM(hours_are_unknown_when_the_clock_cannot_be_trusted),
        IN_ROOM(hours_are_unknown_when_the_clock_could_not_be_trusted_at_check_out),
        IN_ROOM(what_comes_back_does_not_go_to_a_printer),
        IN_ROOM(a_script_says_minutes_and_content),
        IN_ROOM(a_script_says_which_of_them_is_unknown),
        IN_ROOM(a_malformed_check_in_is_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/check_in", tests, room_group_setup, room_group_teardown);
}

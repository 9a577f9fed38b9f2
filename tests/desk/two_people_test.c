#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Two people at one counter, one thing at two counters, and what is half-way when something else is scanned: nothing is
 * booked on the wrong person, and nothing is booked that nobody finished. Common practice, no source. */

static void stand_at(struct room *room, const char *counter)
{
    (void)snprintf(room->counter, sizeof room->counter, "%s", counter);
}

static size_t in_hand(const struct room *room)
{
    return json_array_size(json_object_get(room->view, "units"));
}

/* ---- two people, one counter ---- */

static void who_showed_the_badge_last_takes_what_is_in_hand(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->jarl);
    room_expect(room, "go", "check-out", "may go");
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->flint).holder, room->jarl);
    room_expect_undo(room, "Jarl: check-out");
}

/* Who comes next sees what the one before left lying, and puts it aside. */
static void what_somebody_left_half_way_is_seen_and_put_aside(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    room_pass(room, 600);
    (void)room_scan(room, room->jarl);
    room_expect(room, "go", "check-out", "may go");
    assert_int_equal(in_hand(room), 1);
    (void)room_press(room, "NO");
    (void)room_scan(room, room->oak);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
    assert_string_equal(room_unit(room, room->oak).holder, room->jarl);
}

static void a_pour_that_one_began_and_the_other_ended_is_the_others(void **state)
{
    struct room *room = *state;
    struct movement pour;
    bool found = false;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "POUR");
    (void)room_scan(room, room->jarl);
    room_expect(room, "ask", "pour", "How much from");
    (void)room_press(room, "100ML");
    room_expect_booked(room, true);
    assert_true(ledger_last_of_unit(room->reader, room->flint, MOVEMENT_POUR, &pour, &found, NULL) && found);
    assert_string_equal(pour.person, room->jarl);
}

/* ---- half-way, and something else is scanned ---- */

static void a_pour_half_way_takes_no_third_thing(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "POUR");
    (void)room_scan(room, room->oak);
    room_expect(room, "ask", "pour", "finish that first, or scan the card NO");
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "ask", "pour", "finish what you are at first");
    assert_int_equal(in_hand(room), 2);
    (void)room_press(room, "100ML");
    room_expect_booked(room, true);
    room_expect_content(room, room->vat_empty, "100000:FLINT:FL-1");
}

static void a_retirement_half_way_is_not_a_check_out(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "RETIRE");
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "ask", "retire", "finish what you are at first");
    (void)room_press(room, "NO");
    room_expect(room, NULL, "idle", "nothing was booked");
    assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_IN);
}

/* Another thing is another matter: what was not finished was not done. */
static void a_cleaning_or_inspection_half_way_is_put_aside_by_another_thing(void **state)
{
    struct room *room = *state;
    static const char *const cards[] = {"CLEAN", "INSPECTED"};
    for (size_t i = 0; i < sizeof cards / sizeof *cards; i++) {
        (void)room_scan(room, room->tobias);
        (void)room_scan(room, room->vat_flint);
        (void)room_press(room, cards[i]);
        (void)room_scan(room, room->vat_oak);
        room_expect(room, "go", "check-out", room->vat_oak);
        assert_int_equal(in_hand(room), 1);
        room_expect_booked(room, false);
        (void)room_press(room, "NO");
    }
    room_expect_content(room, room->vat_flint, "400000:FLINT:VT-1");
    assert_int_equal(room_movements(room, MOVEMENT_INSPECTION), 0);
}

static void a_receipt_half_way_is_put_aside_by_our_own_label_and_no_more_is_lost(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    room_expect(room, "go", "receipt", "Receive 1 ×");
    (void)room_scan(room, room->flint); /* somebody wants to take this */
    room_expect(room, "go", "check-out", "may go");
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    (void)room_press(room, "NO");
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77"); /* the delivery is still open */
    room_expect(room, "go", "receipt", "Receive 1 ×");
    assert_int_equal(room_movements(room, MOVEMENT_RECEIPT), 0);
}

/* ---- one thing, two counters ---- */

static void one_thing_at_two_counters_goes_once(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    stand_at(room, "back");
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-out", "may go"); /* as far as anybody has said */
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
    stand_at(room, "front");
    (void)room_scan(room, "HALYARD");
    room_expect(room, "stop", "check-out", "is already out, with Jarl, in Capstan");
    room_expect_booked(room, false);
    room_expect_key(room, "OVERRULE", false);
    assert_string_equal(room_unit(room, room->flint).holder, room->jarl);
}

static void one_pour_at_two_counters_is_judged_by_what_is_left(void **state)
{
    struct room *room = *state;
    static const char *const counters[] = {"front", "back"};
    for (size_t i = 0; i < 2; i++) {
        stand_at(room, counters[i]);
        (void)room_scan(room, room->tobias);
        (void)room_scan(room, room->flint);
        (void)room_scan(room, room->vat_empty);
        (void)room_press(room, "POUR");
    }
    (void)room_press(room, "ALL");
    room_expect_booked(room, true);
    stand_at(room, "front");
    (void)room_press(room, "500ML"); /* nothing is in it any more */
    room_expect(room, "ask", "pour", "more than the 0 ml");
    room_expect_booked(room, false);
    room_expect_content(room, room->vat_empty, "1000000:FLINT:FL-1");
}

static void what_came_back_elsewhere_comes_back_once(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-FOGGED");
    stand_at(room, "back");
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    room_expect(room, "go", "idle", "is back");
    stand_at(room, "front");
    room_refuses(room, "scan", json_pack("{s:s,s:s}", "text", "A02", "source", "typed"), FAULT_CONFLICT,
                 "is not out, so it can't come back");
    assert_string_equal(room_unit(room, room->vat_flint).place, "B01");
    assert_string_equal(room_unit(room, room->vat_flint).film, "clear");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(who_showed_the_badge_last_takes_what_is_in_hand),
        IN_ROOM(what_somebody_left_half_way_is_seen_and_put_aside),
        IN_ROOM(a_pour_that_one_began_and_the_other_ended_is_the_others),
        IN_ROOM(a_pour_half_way_takes_no_third_thing),
        IN_ROOM(a_retirement_half_way_is_not_a_check_out),
        IN_ROOM(a_cleaning_or_inspection_half_way_is_put_aside_by_another_thing),
        IN_ROOM(a_receipt_half_way_is_put_aside_by_our_own_label_and_no_more_is_lost),
        IN_ROOM(one_thing_at_two_counters_goes_once),
        IN_ROOM(one_pour_at_two_counters_is_judged_by_what_is_left),
        IN_ROOM(what_came_back_elsewhere_comes_back_once),
    };
    return cmocka_run_group_tests_name("desk/two_people", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/retire.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/basics/text.h"
#include "tests/desk/room.h"

/* Badge, the old vat, the fresh one, the card, YES: five scans. */
static void a_worn_vat_gives_its_resin_to_a_fresh_one(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->vat_flint);
    room_scan(room, room->vat_empty);
    room_scan(room, "[)>\x1e"
                    "06\x1dZRETIRE\x1e\x04");
    room_expect(room, "ask", "retire", "pour all of its resin into");
    room_expect_key(room, "YES", true);
    room_press(room, "YES");
    room_expect_booked(room, true);
    const struct unit old = room_unit(room, room->vat_flint), fresh = room_unit(room, room->vat_empty);
    assert_int_equal(old.status, UNIT_RETIRED);
    assert_string_equal(old.heir, room->vat_empty);
    assert_string_equal(old.place, "");
    assert_int_equal(fresh.amount_ul, 400000);
    assert_string_equal(fresh.lot, "VT-1");
    assert_int_equal(fresh.prints, 2); /* what it says has changed */
    /* the old label is dead, and says where the resin is */
    room_scan(room, room->vat_flint);
    room_expect_reason(room, "gone", room->vat_empty);
}

static void resin_without_a_place_to_go_is_a_stop(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->vat_flint);
    room_press(room, "RETIRE");
    room_expect(room, "stop", "retire", "400 ml are still in");
    room_expect_reason(room, "still-full", "");
    room_expect_key(room, "YES", false);
    room_press(room, "YES");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_IN);
}

/* "Scan a fresh vat too": the stop's own advice, followed after the card, is no new group. */
static void the_fresh_vat_may_be_scanned_after_the_stop(void **state)
{
    struct room *room = *state;
    room_scan(room, room->vat_flint);
    room_press(room, "RETIRE");
    room_expect_reason(room, "still-full", "");
    room_scan(room, room->vat_empty);
    room_expect(room, "ask", "retire", "pour all of its resin into");
    room_press(room, "YES");
    room_expect_booked(room, false); /* nobody has said who retires it */
    room_scan(room, room->tobias);
    room_expect(room, "ask", "retire", "pour all of its resin into");
    room_press(room, "YES");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_RETIRED);
    assert_string_equal(room_unit(room, room->vat_flint).heir, room->vat_empty);
}

static void an_empty_one_needs_no_other(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->vat_empty);
    room_press(room, "RETIRE");
    room_expect(room, "ask", "retire", "It can't be used any more");
    room_press(room, "YES");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_RETIRED);
    assert_string_equal(room_unit(room, room->vat_empty).heir, "");
}

/* A bad film is why its resin moves out; another hold stands in the way. */
static void a_vat_held_for_its_film_may_give_its_resin_away_and_no_other(void **state)
{
    struct room *room = *state;
    room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "recall"));
    room_act(room, "retire",
             json_pack("{s:s,s:s,s:s}", "unit", room->vat_flint, "to", room->vat_empty, "reason", "worn"));
    room_expect_reason(room, "on-hold", "recall");
    room_expect_booked(room, false);
    room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "film-dented"));
    room_act(room, "retire",
             json_pack("{s:s,s:s,s:s}", "unit", room->vat_flint, "to", room->vat_empty, "reason", "film-damaged"));
    room_expect_booked(room, true);
}

static void another_resin_in_the_fresh_vat_is_a_stop(void **state)
{
    struct room *room = *state;
    room_act(room, "retire",
             json_pack("{s:s,s:s,s:s}", "unit", room->vat_flint, "to", room->vat_oak, "reason", "worn"));
    room_expect_reason(room, "other-resin", "");
    room_expect_booked(room, false);
}

static void who_is_not_trained_does_not_retire(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Pia", "role", "technician"));
    char pia[SERIAL_SIZE];
    (void)span_copy(span_of(json_string_value(json_object_get(room->view, "serial"))), pia, sizeof pia);
    room_scan(room, pia);
    room_scan(room, room->vat_empty);
    room_press(room, "RETIRE");
    room_expect_reason(room, "not-trained", "");
    room_press(room, "YES");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_IN);
}

static void undo_brings_both_back(void **state)
{
    struct room *room = *state;
    const struct unit old = room_unit(room, room->vat_flint);
    room_act(room, "retire",
             json_pack("{s:s,s:s,s:s}", "unit", room->vat_flint, "to", room->vat_empty, "reason", "worn"));
    room_act(room, "undo", json_object());
    room_expect_booked(room, true);
    const struct unit back = room_unit(room, room->vat_flint);
    assert_int_equal(back.status, UNIT_IN);
    assert_string_equal(back.place, old.place);
    assert_string_equal(back.heir, "");
    assert_int_equal(back.amount_ul, 400000);
    assert_string_equal(room_unit(room, room->vat_empty).resin, "");
}

static void what_was_retired_leaves_the_room_once(void **state)
{
    struct room *room = *state;
    room_refuses(room, "dispose", json_pack("{s:s}", "unit", room->vat_empty), FAULT_REFUSED, "retire it first");
    room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_empty, "reason", "worn"));
    room_refuses(room, "retire", json_pack("{s:s}", "unit", room->vat_empty), FAULT_INPUT, "reason");
    room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_empty, "reason", "worn"));
    room_expect_reason(room, "gone", "");
    char storekeeper[SERIAL_SIZE];
    (void)snprintf(storekeeper, sizeof storekeeper, "%s", room->person);
    room->person[0] = '\0';
    room_refuses(room, "dispose", json_pack("{s:s}", "unit", room->vat_empty), FAULT_INPUT, "'person' is missing");
    (void)snprintf(room->person, sizeof room->person, "%s", storekeeper);
    room_act(room, "dispose", json_pack("{s:s}", "unit", room->vat_empty));
    assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_GONE);
    room_refuses(room, "dispose", json_pack("{s:s}", "unit", room->vat_empty), FAULT_REFUSED, "retire it first");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_worn_vat_gives_its_resin_to_a_fresh_one),
        IN_ROOM(resin_without_a_place_to_go_is_a_stop),
        IN_ROOM(the_fresh_vat_may_be_scanned_after_the_stop),
        IN_ROOM(an_empty_one_needs_no_other),
        IN_ROOM(a_vat_held_for_its_film_may_give_its_resin_away_and_no_other),
        IN_ROOM(another_resin_in_the_fresh_vat_is_a_stop),
        IN_ROOM(who_is_not_trained_does_not_retire),
        IN_ROOM(undo_brings_both_back),
        IN_ROOM(what_was_retired_leaves_the_room_once),
    };
    return cmocka_run_group_tests_name("desk/retire", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/lend.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Lending to another room and the day it is promised back: common practice of stores, no source. */

static void enter_room(struct room *room, const char *code, const char *name)
{
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s,s:s}", "code", code, "kind", "room", "name", name));
}

static void expect_lent(struct room *room, const char *serial, const char *place, const char *holder, int64_t due)
{
    const struct unit unit = room_unit(room, serial);
    assert_int_equal(unit.status, UNIT_OUT);
    assert_string_equal(unit.place, place);
    assert_string_equal(unit.holder, holder);
    assert_string_equal(unit.printer, "");
    assert_int_equal(unit.due, due);
}

static void badge_thing_room_and_card_lend_it(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "ANNEX");
    room_expect(room, "ask", "lend", "Lent to the Annex: back by when?");
    room_expect_booked(room, false);
    room_expect_key(room, "7D", true);
    room_expect_key(room, "YES", false);
    (void)room_press(room, "7D");
    room_expect(room, "go", "idle", "lent to the Annex, back by 2026-03-09");
    room_expect_booked(room, true);
    expect_lent(room, room->flint, "ANNEX", room->tobias, room_today(room) + 7);
    room_expect_undo(room, "Tobias: lending of C");
    assert_true(json_is_null(json_object_get(room->view, "person"))); /* the group is closed */
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
    assert_int_equal(room_unit(room, room->flint).due, MOVEMENT_NULL);
    assert_string_equal(room_unit(room, room->flint).place, "A01");
}

static void the_badge_may_come_last_and_several_things_go_together(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "ANNEX");
    (void)room_scan(room, room->oak); /* another resin: it goes into no printer with the first */
    (void)room_press(room, "UNKNOWN");
    room_expect(room, "ask", "lend", "Scan your badge to lend this");
    (void)room_scan(room, room->jarl);
    room_expect(room, "go", "idle", "2 things lent to the Annex, nobody knows until when");
    expect_lent(room, room->flint, "ANNEX", room->jarl, MOVEMENT_NULL);
    expect_lent(room, room->oak, "ANNEX", room->jarl, MOVEMENT_NULL);
}

static void what_may_not_be_used_is_not_lent_either(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, "ANNEX");
    room_expect(room, "stop", "lend", "expired");
    room_expect_reason(room, "expired", "");
    (void)room_press(room, "7D"); /* a day may be said all the same */
    room_expect(room, "stop", "lend", "expired");
    room_expect_booked(room, false);
    room_expect_key(room, "7D", false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    (void)room_press(room, "TAKEN"); /* reality: it is there */
    room_expect_booked(room, true);
    expect_lent(room, room->flint_old, "ANNEX", room->tobias, room_today(room) + 7);
    assert_true(room_question(room, "taken") > 0);
}

static void a_storekeeper_lets_it_go_with_the_pin(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, "ANNEX");
    (void)room_press(room, "1D");
    room_expect_key(room, "OVERRULE", true);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "go", "idle", "lent to the Annex, back by");
    expect_lent(room, room->flint_old, "ANNEX", room->tobias, room_today(room) + 1);
    assert_int_equal(room_question(room, "taken"), 0); /* who would be asked has decided */
}

static void what_is_asked_besides_needs_a_yes(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_fogged);
    (void)room_scan(room, "ANNEX");
    room_expect(room, "ask", "lend", "back by when?");
    room_expect_reason(room, "film-fogged", "");
    (void)room_press(room, "YES"); /* says nothing of the day */
    room_expect(room, "ask", "lend", "back by when?");
    (void)room_press(room, "1D");
    room_expect(room, "ask", "lend", "fogged");
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    expect_lent(room, room->vat_fogged, "ANNEX", room->tobias, room_today(room) + 1);
}

static void a_thing_in_a_printer_is_not_lent(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "ask", "check-in", "");
    (void)room_scan(room, "ANNEX");
    room_expect(room, "stop", "check-in", "another room, and nothing comes in there");
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->vat_flint, "place", "ANNEX", "days", 1));
    room_expect(room, "stop", "lend", "already out");
    room_expect_booked(room, false);
}

static void scanned_again_it_is_lent_longer_by_a_card_or_comes_back(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "ANNEX", "days", 1));
    room_pass(room, 3 * 24 * 3600);
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-in", "");
    room_expect_key(room, "7D", true);
    (void)room_press(room, "7D");
    room_expect(room, "ask", "lend", "Scan your badge");
    (void)room_scan(room, room->jarl);
    room_expect_booked(room, true);
    expect_lent(room, room->flint, "ANNEX", room->maren, room_today(room) + 7); /* who lent it has it still */
    (void)room_press(room, "UNDO");
    expect_lent(room, room->flint, "ANNEX", room->maren, room_today(room) - 2);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, "A02");
    room_expect(room, "go", "idle", "is back, at A02");
    assert_int_equal(room_unit(room, room->flint).due, MOVEMENT_NULL);
}

static void light_hours_in_another_room_are_said_or_unknown(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    json_t *const vats =
        json_pack("{s:[s,s],s:s,s:i}", "units", room->vat_flint, room->vat_empty, "place", "ANNEX", "days", 1);
    (void)room_act(room, "lend", vats);
    room_pass(room, 5 * 3600);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    room_expect(room, "ask", "check-in", "light hours there");
    (void)room_press(room, "3H");
    (void)room_scan(room, "B01");
    assert_int_equal(room_unit(room, room->vat_flint).minutes, (10 + 3) * 60);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01"); /* nobody said: the clock here does not know what they did there */
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_empty).minutes, MOVEMENT_NULL);
}

static void the_day_is_one_to_come_and_the_place_another_room(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    room_refuses(room, "lend",
                 json_pack("{s:[s],s:s,s:o}", "units", room->flint, "place", "ANNEX", "due", room_day(room, -1)),
                 FAULT_INPUT, "'due' is past");
    room_refuses(
        room, "lend",
        json_pack("{s:[s],s:s,s:i,s:o}", "units", room->flint, "place", "ANNEX", "days", 1, "due", room_day(room, 1)),
        FAULT_INPUT, "leave one out");
    room_refuses(room, "lend", json_pack("{s:[s],s:s}", "units", room->flint, "place", "A01"), FAULT_MISSING,
                 "is not another room");
    room_refuses(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "ANNEX"), FAULT_MISSING,
                 "is not a shelf");
    (void)room_act(room, "lend",
                   json_pack("{s:[s],s:s,s:o}", "units", room->flint, "place", "ANNEX", "due", room_day(room, 30)));
    expect_lent(room, room->flint, "ANNEX", room->maren, room_today(room) + 30);
    room_refuses(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->flint, "place", "ANNEX"),
                 FAULT_MISSING, "is not a shelf");
}

static void a_check_out_to_a_printer_may_be_promised_back_too(void **state)
{
    struct room *room = *state;
    (void)room_act(
        room, "check-out",
        json_pack("{s:[s],s:s,s:o}", "units", room->vat_flint, "printer", "CAPSTAN", "due", room_day(room, 2)));
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_flint).due, room_today(room) + 2);
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", room->vat_flint, "film", "clear", "place", "B01"));
    assert_int_equal(room_unit(room, room->vat_flint).due, MOVEMENT_NULL);
    room_refuses(
        room, "check-out",
        json_pack("{s:[s],s:s,s:o}", "units", room->vat_flint, "printer", "CAPSTAN", "due", room_day(room, -2)),
        FAULT_INPUT, "'due' is past");
}

static void who_may_not_take_things_to_a_printer_does_not_lend_them(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Ines", "role", "receiver"));
    (void)snprintf(room->person, sizeof room->person, "%s", json_string_value(json_object_get(room->view, "serial")));
    room_refuses(room, "lend", json_pack("{s:[s],s:s}", "units", room->flint, "place", "ANNEX"), FAULT_REFUSED,
                 "lends things to another room");
}

static void a_room_that_is_scanned_alone_says_what_is_lent_there(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "ANNEX", "days", 1));
    (void)room_scan(room, "ANNEX");
    room_expect(room, NULL, "idle", "another room: 1 unit is lent there");
}

static void overruling_says_a_day_only_when_it_overrules(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "ANNEX");
    (void)room_press(room, "OVERRULE"); /* nothing to overrule: the day is still to be said */
    room_expect_booked(room, false);
    room_expect(room, "ask", "lend", "");
    (void)room_press(room, "YES");
    room_expect(room, "ask", "lend", "back by when?");
    room_expect_booked(room, false);
    room_expect_key(room, "7D", true);
    (void)room_press(room, "NO");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, "ANNEX");
    (void)room_press(room, "OVERRULE"); /* a stop leaves the day out */
    room_expect(room, "go", "idle", "nobody knows until when");
    expect_lent(room, room->flint_old, "ANNEX", room->tobias, MOVEMENT_NULL);
}

static void a_day_for_things_of_two_rooms_is_not_kept_in_mind(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    enter_room(room, "LOFT", "the Loft");
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "ANNEX", "days", 1));
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->oak, "place", "LOFT", "days", 1));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->oak);
    (void)room_press(room, "14D");
    room_expect(room, "ask", "check-in", "scan them one by one");
    room_expect_booked(room, false);
    (void)room_scan(room, "ANNEX"); /* both are there now, then: until when? */
    room_expect_booked(room, false);
    expect_lent(room, room->oak, "LOFT", room->maren, room_today(room) + 1);
}

/* What is out is kept from its return on: whoever has it goes on having it. */
static void lent_longer_it_is_kept_from_its_return_all_the_same(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "ANNEX", "days", 1));
    (void)room_act(room, "reserve", json_pack("{s:s,s:s}", "unit", room->flint, "for", "KQ-1042"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "7D");
    room_expect_booked(room, true);
    expect_lent(room, room->flint, "ANNEX", room->maren, room_today(room) + 7);
    assert_string_equal(room_unit(room, room->flint).reserved, "KQ-1042");
}

static void who_keeps_it_lends_it_longer_and_keeps_it_still(void **state)
{
    struct room *room = *state;
    enter_room(room, "ANNEX", "the Annex");
    enter_room(room, "LOFT", "the Loft");
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "ANNEX", "days", 1));
    (void)room_act(room, "reserve", json_pack("{s:s,s:s}", "unit", room->flint, "for", room->maren));
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "ANNEX", "days", 9));
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->flint).reserved, room->maren);
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:i}", "units", room->flint, "place", "LOFT", "days", 9));
    room_expect_booked(room, true); /* moved on: that is what it was kept for */
    assert_string_equal(room_unit(room, room->flint).reserved, "");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(badge_thing_room_and_card_lend_it),
        IN_ROOM(the_badge_may_come_last_and_several_things_go_together),
        IN_ROOM(what_may_not_be_used_is_not_lent_either),
        IN_ROOM(a_storekeeper_lets_it_go_with_the_pin),
        IN_ROOM(what_is_asked_besides_needs_a_yes),
        IN_ROOM(a_thing_in_a_printer_is_not_lent),
        IN_ROOM(scanned_again_it_is_lent_longer_by_a_card_or_comes_back),
        IN_ROOM(light_hours_in_another_room_are_said_or_unknown),
        IN_ROOM(the_day_is_one_to_come_and_the_place_another_room),
        IN_ROOM(a_check_out_to_a_printer_may_be_promised_back_too),
        IN_ROOM(who_may_not_take_things_to_a_printer_does_not_lend_them),
        IN_ROOM(a_room_that_is_scanned_alone_says_what_is_lent_there),
        IN_ROOM(overruling_says_a_day_only_when_it_overrules),
        IN_ROOM(a_day_for_things_of_two_rooms_is_not_kept_in_mind),
        IN_ROOM(lent_longer_it_is_kept_from_its_return_all_the_same),
        IN_ROOM(who_keeps_it_lends_it_longer_and_keeps_it_still),
    };
    return cmocka_run_group_tests_name("desk/lend", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Put-away: common practice, no source. */

static void a_thing_then_a_shelf_moves_it(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "A02");
    room_expect(room, "go", "idle", "stands at A02");
    room_expect_undo(room, "Tobias: put-away of C");
    assert_string_equal(room_unit(room, room->flint).place, "A02");
}

static void a_thing_on_hold_may_be_moved(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    room_expect(room, "stop", "check-out", "on hold");
    (void)room_scan(room, "A02");
    assert_string_equal(room_unit(room, room->flint).place, "A02");
    assert_string_equal(room_unit(room, room->flint).hold, "leaking");
}

static void nobody_moves_a_thing_without_a_badge(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "A02");
    room_expect(room, "ask", "check-out", "Scan your badge and the shelf again");
    assert_string_equal(room_unit(room, room->flint).place, "A01");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, "A02");
    assert_string_equal(room_unit(room, room->flint).place, "A02");
}

static void what_somebody_took_meanwhile_is_not_put_away(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_scan(room, "A02");
    room_expect(room, "ask", "check-out", "nothing was put away");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
}

static void a_script_puts_away_and_is_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "a02"));
    assert_string_equal(room_unit(room, room->flint).place, "A02");
    room_refuses(room, "put-away", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "'place' is missing");
    room_refuses(room, "put-away", json_pack("{s:s}", "place", "A01"), FAULT_INPUT, "'unit' is missing");
    room_refuses(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "Z99"), FAULT_MISSING,
                 "'Z99' is not a shelf");
    room_refuses(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "CAPSTAN-1"), FAULT_MISSING,
                 "'CAPSTAN-1' is not a shelf");
    room_refuses(room, "put-away", json_pack("{s:s,s:s}", "unit", "C999999X", "place", "A01"), FAULT_REFUSED,
                 "C999999X is not known");
    room_refuses(room, "put-away", json_pack("{s:s,s:s,s:i}", "unit", room->flint, "place", "A01", "shelf", 1),
                 FAULT_INPUT, "'shelf' is not known here");
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    room_refuses(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "A01"), FAULT_REFUSED,
                 "check it in first");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_thing_then_a_shelf_moves_it),
        IN_ROOM(a_thing_on_hold_may_be_moved),
        IN_ROOM(nobody_moves_a_thing_without_a_badge),
        IN_ROOM(what_somebody_took_meanwhile_is_not_put_away),
        IN_ROOM(a_script_puts_away_and_is_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/put_away", tests, room_group_setup, room_group_teardown);
}

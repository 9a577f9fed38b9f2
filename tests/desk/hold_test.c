#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Anyone may put on hold, a storekeeper releases: common practice, no source. */

static void the_card_holds_all_that_was_scanned(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->oak);
    room_expect_key(room, "HOLD", true);
    (void)room_press(room, "HOLD");
    room_expect(room, "ask", "check-out", "Scan your badge to put this on hold");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "HOLD");
    room_expect(room, "go", "idle", "On hold: 2 things");
    assert_string_equal(room_unit(room, room->flint).hold, "said-at-counter");
    assert_string_equal(room_unit(room, room->oak).hold, "said-at-counter");
}

static void only_a_storekeeper_releases(void **state)
{
    struct room *room = *state;
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    room_refuses(room, "release", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, "a storekeeper releases");
    room->person[0] = '\0';
    room_refuses(room, "release", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, "a storekeeper releases");
    (void)snprintf(room->person, sizeof room->person, "%s", room->maren);
    (void)room_act(room, "release", json_pack("{s:s}", "unit", room->flint));
    room_expect(room, "go", "idle", "Released: C");
    assert_string_equal(room_unit(room, room->flint).hold, "");
    room_refuses(room, "release", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, "is not on hold");
}

static void another_hold_does_not_open_a_way_round_an_incomplete_item(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-7");
    (void)room_press(room, "YES");
    char serial[SERIAL_SIZE];
    assert_true(serial_write('C', 7, serial) || serial_write('C', 8, serial)); /* the next after six in stock */
    assert_string_equal(room_unit(room, serial).hold, "provisional");
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", serial, "reason", "leaking"));
    room_refuses(room, "release", json_pack("{s:s}", "unit", serial), FAULT_REFUSED, "complete item NEW-1 instead");
}

static void malformed_holds_are_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    room_refuses(room, "hold", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "'reason' is missing");
    room_refuses(room, "hold", json_pack("{s:s}", "reason", "leaking"), FAULT_INPUT, "'unit' is missing");
    room_refuses(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "Jarl dropped it"), FAULT_INPUT,
                 "'reason' is a keyword and may hold only a-z, 0-9 and '-': see its character 1");
    room_refuses(room, "hold",
                 json_pack("{s:s,s:s}", "unit", room->flint, "reason", "a-reason-that-is-longer-than-it-may-be"),
                 FAULT_INPUT, "'reason' is longer than 32 bytes");
    room_refuses(room, "hold", json_pack("{s:s,s:s}", "unit", "C999999X", "reason", "leaking"), FAULT_MISSING,
                 "'C999999X' is not known here");
    room_refuses(room, "hold", json_pack("{s:s,s:s,s:i}", "unit", room->flint, "reason", "leaking", "until", 5),
                 FAULT_INPUT, "'until' is not known here");
    room_refuses(room, "release", json_object(), FAULT_INPUT, "'unit' is missing");
    room_refuses(room, "release", json_pack("{s:s,s:s}", "unit", room->flint, "why", "x"), FAULT_INPUT,
                 "'why' is not known here");
    assert_string_equal(room_unit(room, room->flint).hold, "");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(the_card_holds_all_that_was_scanned),
        IN_ROOM(only_a_storekeeper_releases),
        IN_ROOM(another_hold_does_not_open_a_way_round_an_incomplete_item),
        IN_ROOM(malformed_holds_are_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/hold", tests, room_group_setup, room_group_teardown);
}

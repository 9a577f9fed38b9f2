#include "kiosk/desk/turn.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What every act shares: who acts, and rows as the person saw them. Ours, no source. */

static json_t *hold(const char *serial, const char *seen, int64_t version)
{
    return json_pack("{s:s,s:s,s:{s:I}}", "unit", serial, "reason", "leaking", "seen", seen, (json_int_t)version);
}

static void an_act_on_rows_as_they_were_seen_is_done(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", hold(room->flint, room->flint, room_unit(room, room->flint).version));
    assert_string_equal(room_unit(room, room->flint).hold, "leaking");
}

static void an_act_on_rows_that_changed_since_is_a_conflict(void **state)
{
    struct room *room = *state;
    const int64_t seen = room_unit(room, room->flint).version;
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "A02"));
    room_refuses(room, "hold", hold(room->flint, room->flint, seen), FAULT_CONFLICT, "changed since you saw it");
    room_refuses(room, "hold", hold(room->flint, "C999999X", 1), FAULT_CONFLICT, "changed since you saw it");
    room_refuses(room, "hold", json_pack("{s:s,s:s,s:i}", "unit", room->flint, "reason", "leaking", "seen", 5),
                 FAULT_INPUT, "'seen' is not an object");
    room_refuses(room, "hold",
                 json_pack("{s:s,s:s,s:{s:s}}", "unit", room->flint, "reason", "leaking", "seen", room->flint, "5"),
                 FAULT_INPUT, "is not a version's number");
}

static void an_act_of_a_person_nobody_knows_is_refused(void **state)
{
    struct room *room = *state;
    assert_true(serial_write('H', 500, room->person) || serial_write('H', 501, room->person));
    room_refuses(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"), FAULT_MISSING,
                 "enter the person first");
}

static bool last_of_unit(const struct movement *movement, void *context)
{
    *(struct movement *)context = *movement;
    return true;
}

static void an_act_without_a_person_is_whose_badge_was_scanned(void **state)
{
    struct room *room = *state;
    struct movement last = {.seq = 0};
    room->person[0] = '\0';
    (void)room_scan(room, room->jarl);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    assert_true(ledger_each_of_unit(room->reader, room->flint, 0, last_of_unit, &last, NULL));
    assert_int_equal(last.kind, MOVEMENT_HOLD);
    assert_string_equal(last.person, room->jarl);
    assert_string_equal(last.kiosk, "TEST");
    assert_string_equal(last.act, room->act);
    assert_true(last.trusted);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_act_on_rows_as_they_were_seen_is_done),
        IN_ROOM(an_act_on_rows_that_changed_since_is_a_conflict),
        IN_ROOM(an_act_of_a_person_nobody_knows_is_refused),
        IN_ROOM(an_act_without_a_person_is_whose_badge_was_scanned),
    };
    return cmocka_run_group_tests_name("desk/turn", tests, room_group_setup, room_group_teardown);
}

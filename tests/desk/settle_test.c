#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What a storekeeper settles: common practice, no source. */

static int64_t ask(struct room *room)
{
    json_t *content = json_pack("{s:[s],s:s,s:b}", "units", room->flint_old, "printer", "CAPSTAN", "taken", 1);
    (void)room_act(room, "check-out", content);
    return room_question(room, "taken");
}

static json_t *settle(int64_t question, const char *how)
{
    return json_pack("{s:I,s:s}", "question", (json_int_t)question, "how", how);
}

static void a_storekeeper_settles_a_question_once(void **state)
{
    struct room *room = *state;
    const int64_t question = ask(room);
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_refuses(room, "settle", settle(question, "it was fine"), FAULT_REFUSED, "a storekeeper settles questions");
    (void)snprintf(room->person, sizeof room->person, "%s", room->maren);
    (void)room_act(room, "settle", settle(question, "spoke to Tobias"));
    room_expect(room, "go", "idle", "Settled");
    assert_int_equal(room_question(room, NULL), 0);
    room_refuses(room, "settle", settle(question, "again"), FAULT_MISSING, "is not open");
}

static void malformed_settlements_are_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    const int64_t question = ask(room);
    room_refuses(room, "settle", json_pack("{s:s}", "how", "x"), FAULT_INPUT, "'question' is missing");
    room_refuses(room, "settle", json_pack("{s:I}", "question", (json_int_t)question), FAULT_INPUT, "'how' is missing");
    room_refuses(room, "settle", json_pack("{s:s,s:s}", "question", "5", "how", "x"), FAULT_INPUT,
                 "'question' is not a whole number");
    room_refuses(room, "settle", settle(1, "x"), FAULT_MISSING, "question 1 is not open");
    room_refuses(room, "settle", json_pack("{s:I,s:s,s:i}", "question", (json_int_t)question, "how", "x", "who", 1),
                 FAULT_INPUT, "'who' is not known here");
    assert_int_equal(room_question(room, "taken"), question);
}

static void a_storekeeper_confirms_the_clock_and_dated_things_go_again(void **state)
{
    struct room *room = *state;
    room_distrust_clock(room);
    (void)room_scan(room, room->flint);
    room_expect_reason(room, "clock", "not confirmed");
    assert_true(json_is_false(json_object_get(room->view, "clock_trusted")));
    (void)room_press(room, "NO");
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_refuses(room, "clock-confirm", json_object(), FAULT_REFUSED, "a storekeeper confirms the date and time");
    assert_false(clock_now(room->clock).trusted);
    (void)snprintf(room->person, sizeof room->person, "%s", room->maren);
    room_refuses(room, "clock-confirm", json_pack("{s:s}", "time", "09:00"), FAULT_INPUT, "'time' is not known here");
    assert_false(clock_now(room->clock).trusted);
    (void)room_act(room, "clock-confirm", json_object());
    assert_true(json_is_true(json_object_get(room->view, "clock_trusted")));
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-out", "may go");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_storekeeper_settles_a_question_once),
        IN_ROOM(malformed_settlements_are_refused_with_a_sentence),
        IN_ROOM(a_storekeeper_confirms_the_clock_and_dated_things_go_again),
    };
    return cmocka_run_group_tests_name("desk/settle", tests, room_group_setup, room_group_teardown);
}

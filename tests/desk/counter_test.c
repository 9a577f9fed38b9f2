#include "kiosk/desk/counter.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* A counter's session is a row: it outlives a restart; who stands there does not. Ours, no source. */

static const char *person(const struct room *room)
{
    const char *serial = json_string_value(json_object_get(json_object_get(room->view, "person"), "serial"));
    return serial ? serial : "";
}

static json_t *look(struct room *room)
{
    struct fault fault = {0};
    const struct moment now = clock_now(room->clock);
    json_t *view = NULL;
    if (!desk_view(&room->desk, room->reader, room->counter, &now, &view, &fault))
        fail_msg("%s", fault.text);
    json_decref(room->view);
    room->view = view;
    return view;
}

static void a_fresh_counter_has_said_nothing(void **state)
{
    struct room *room = *state;
    (void)look(room);
    assert_true(json_is_null(json_object_get(room->view, "verdict")));
    assert_string_equal(json_string_value(json_object_get(room->view, "step")), "idle");
    assert_string_equal(json_string_value(json_object_get(room->view, "today")), "2026-03-02");
    assert_true(json_is_true(json_object_get(room->view, "clock_trusted")));
    assert_true(json_is_false(json_object_get(room->view, "demo")));
}

static void a_badge_counts_for_the_idle_seconds_and_no_longer(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    room_pass(room, 90);
    (void)look(room);
    assert_string_equal(person(room), room->tobias);
    room_pass(room, 1);
    (void)look(room);
    assert_string_equal(person(room), "");
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "Scan your badge");
    room_expect_booked(room, false);
}

static void every_scan_keeps_the_badge(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    for (int i = 0; i < 4; i++) {
        room_pass(room, 60);
        (void)room_scan(room, "A01");
        assert_string_equal(person(room), room->tobias);
    }
}

static void the_wall_clock_set_back_does_not_keep_a_badge(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    room_pass(room, 91);
    clock_set_wall(room->clock, (struct instant){clock_now(room->clock).wall.ms - 3600000}, true);
    (void)look(room);
    assert_string_equal(person(room), "");
}

static void the_next_badge_replaces_the_first_and_done_signs_out(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->jarl);
    assert_string_equal(person(room), room->jarl);
    room_expect_key(room, "DONE", true);
    (void)room_press(room, "DONE");
    assert_string_equal(person(room), "");
    assert_true(json_is_null(json_object_get(room->view, "verdict")));
}

static void another_run_forgets_the_badge_and_keeps_the_group(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    room_restart(room);
    (void)look(room);
    assert_string_equal(person(room), "");
    room_expect(room, "go", "check-out", "2 things may go");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 2);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "Scan your badge");
    (void)room_scan(room, room->jarl);
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->flint).holder, room->jarl);
}

static void what_was_said_of_things_coming_back_outlives_a_restart(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-FOGGED");
    (void)room_press(room, "250ML");
    room_restart(room);
    (void)room_scan(room, "B01");
    (void)room_scan(room, room->tobias);
    assert_string_equal(room_unit(room, room->vat_flint).film, "fogged");
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 250000);
}

static void a_proposal_and_its_delivery_outlive_a_restart(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)260430(10)FL-77(30)4");
    room_restart(room);
    (void)look(room);
    room_expect(room, "ask", "receipt", "Receive 4 ×");
    room_expect_reason(room, "short-dated", "are left until 2026-04-30");
    (void)room_scan(room, room->maren);
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 4 ×");
}

static void a_question_without_reasons_is_still_a_question_when_looked_at_again(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "Scan your badge");
    (void)look(room);
    room_expect(room, "ask", "check-out", "Scan your badge");
}

static void looking_is_no_scan(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    const int64_t seq = room_seq(room);
    for (int i = 0; i < 4; i++) {
        room_pass(room, 30);
        (void)look(room);
    }
    assert_string_equal(person(room), "");
    assert_int_equal(room_seq(room), seq);
}

static void counters_do_not_mix(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)look(room);
    assert_string_equal(person(room), "");
    room_expect_undo(room, NULL);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, false);
}

static bool store_nonsense(struct act_context *context, json_t **answer, struct fault *fault)
{
    *answer = json_object();
    return session_store(context->ledger, context->act->counter, "{\"person\":", fault);
}

static void a_session_that_cannot_be_read_starts_over_and_says_so(void **state)
{
    struct room *room = *state;
    struct fault fault = {0};
    static const struct act_kind kinds[] = {{"nonsense", store_nonsense}, {NULL, NULL}};
    writer_destroy(room->writer);
    const struct writer_options options = {
        .address = room->place.address, .kinds = kinds, .clock = room->clock, .feed = room->feed, .kiosk = "TEST"};
    assert_true(writer_create(&options, &room->writer, &fault));
    (void)room_act(room, "nonsense", json_object());
    room_restart(room);
    (void)look(room);
    room_expect(room, "stop", "idle", "can't be read any more");
    (void)room_scan(room, room->tobias);
    room_expect(room, NULL, "idle", "Tobias is here");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_fresh_counter_has_said_nothing),
        IN_ROOM(a_badge_counts_for_the_idle_seconds_and_no_longer),
        IN_ROOM(every_scan_keeps_the_badge),
        IN_ROOM(the_wall_clock_set_back_does_not_keep_a_badge),
        IN_ROOM(the_next_badge_replaces_the_first_and_done_signs_out),
        IN_ROOM(another_run_forgets_the_badge_and_keeps_the_group),
        IN_ROOM(what_was_said_of_things_coming_back_outlives_a_restart),
        IN_ROOM(a_proposal_and_its_delivery_outlive_a_restart),
        IN_ROOM(a_question_without_reasons_is_still_a_question_when_looked_at_again),
        IN_ROOM(looking_is_no_scan),
        IN_ROOM(counters_do_not_mix),
        IN_ROOM(a_session_that_cannot_be_read_starts_over_and_says_so),
    };
    return cmocka_run_group_tests_name("desk/counter", tests, room_group_setup, room_group_teardown);
}

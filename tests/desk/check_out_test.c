#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Check-out at the counter. The rules are common practice of the trade, no source. */

static void expect_out(struct room *room, const char *serial, const char *person, const char *machine)
{
    const struct unit unit = room_unit(room, serial);
    assert_int_equal(unit.status, UNIT_OUT);
    assert_string_equal(unit.holder, person);
    assert_string_equal(unit.printer, machine);
    assert_string_equal(unit.place, "");
    assert_true(unit.job[0] != '\0');
}

static void badge_vat_and_printer_book_in_any_order(void **state)
{
    struct room *room = *state;
    static const int orders[][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
    for (size_t i = 0; i < sizeof orders / sizeof *orders; i++) {
        const char *const scans[] = {room->tobias, room->vat_flint, "CAPSTAN"};
        for (int j = 0; j < 3; j++) {
            (void)room_scan(room, scans[orders[i][j]]);
            room_expect_booked(room, false);
        }
        room_expect(room, "ask", "check-out", "How much resin will the job on Capstan need?");
        (void)room_press(room, "UNKNOWN");
        room_expect_booked(room, true);
        room_expect(room, "go", "idle", "Booked: Small vat V");
        room_expect_undo(room, "Tobias: check-out of V");
        expect_out(room, room->vat_flint, room->tobias, "CAPSTAN");
        struct job job;
        assert_true(room_job(room, "CAPSTAN", &job));
        assert_string_equal(job.id, room->act);
        assert_string_equal(job.person, room->tobias);
        (void)room_press(room, "UNDO");
        assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_IN);
        assert_false(room_job(room, "CAPSTAN", &job));
    }
}

static void a_vat_and_a_cartridge_go_out_for_one_job(void **state)
{
    struct room *room = *state;
    struct job job;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-out", "2 things may go");
    (void)room_scan_printer(room, "CAPSTAN-1"); /* the slot's label stands for its printer */
    room_expect(room, "go", "idle", "Booked: 2 things to Capstan");
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(room_unit(room, room->vat_flint).job, job.id);
    assert_string_equal(room_unit(room, room->flint).job, job.id);
    assert_int_equal(room_movements(room, MOVEMENT_JOB_START), 1);
}

static void a_later_cartridge_joins_the_job_that_runs(void **state)
{
    struct room *room = *state;
    struct job job;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(room_unit(room, room->flint).job, job.id);
    assert_int_equal(room_movements(room, MOVEMENT_JOB_START), 1);
    expect_out(room, room->flint, room->jarl, "CAPSTAN");
}

static void the_closed_group_signs_out_so_that_nothing_is_booked_on_who_left(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan_printer(room, "CAPSTAN");
    assert_true(json_is_null(json_object_get(room->view, "person")));
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "Scan your badge to take this");
    room_expect_booked(room, false);
    (void)room_scan(room, room->jarl);
    room_expect_booked(room, true);
    expect_out(room, room->flint, room->jarl, "CAPSTAN");
}

static void the_same_thing_twice_is_one_thing(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->flint);
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 1);
}

/* Badge, the things, the printer; the reason and that nothing was booked. */
static void expect_stop(struct room *room, const char *const *serials, const char *machine, const char *code,
                        const char *says)
{
    const int64_t before = room_movements(room, MOVEMENT_CHECK_OUT);
    (void)room_scan(room, room->tobias);
    for (size_t i = 0; serials[i]; i++)
        (void)room_scan(room, serials[i]);
    (void)room_scan_printer(room, machine);
    room_expect(room, "stop", "check-out", "");
    room_expect_reason(room, code, says);
    room_expect_booked(room, false);
    room_expect_key(room, "YES", false);
    room_expect_key(room, "TAKEN", true);
    (void)room_press(room, "YES"); /* is no answer to a stop */
    room_expect(room, "stop", "check-out", "");
    room_expect_booked(room, false);
    (void)room_scan(room, room->tobias); /* nor is the badge once more */
    room_expect(room, "stop", "check-out", "");
    assert_int_equal(room_movements(room, MOVEMENT_CHECK_OUT), before);
    (void)room_press(room, "NO");
    room_expect(room, NULL, "idle", "nothing was booked");
}

static void stops_are_never_booked_whatever_is_answered(void **state)
{
    struct room *room = *state;
    char spare[SERIAL_SIZE];
    room_take_on(room, "FLINT", json_pack("{s:s,s:o}", "lot", "FL-1", "expires", room_day(room, 240)), spare);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint_more, "reason", "leaking"));
    const struct {
        const char *serials[3];
        const char *machine, *code, *says;
    } cases[] = {
        {{room->flint_more}, "CAPSTAN", "on-hold", "on hold: leaking"},
        {{room->flint_old}, "CAPSTAN", "expired", "last usable day was 2026-03-01"},
        {{room->vat_flint, room->oak}, "CAPSTAN", "other-resin", "holds Oak, but"},
        {{room->vat_flint, room->flint3}, "CAPSTAN", "other-revision", "revision 3"},
        {{room->flint, room->oak}, "SEXTANT", "cartridges-differ", "holds Oak, but"},
        {{room->flint, room->flint3}, "SEXTANT", "other-revision", "revision 3"},
        {{room->chalk}, "CAPSTAN", "does-not-fit", "does not fit Capstan"},
        {{room->vat_large}, "HALYARD", "does-not-fit", "does not fit Halyard"},
        {{room->vat_flint, room->vat_fogged}, "CAPSTAN", "printer-has-vat", "already has vat"},
        {{room->flint, spare}, "CAPSTAN", "no-free-slot", "takes 1 cartridge;"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        expect_stop(room, cases[i].serials, cases[i].machine, cases[i].code, cases[i].says);
}

static void the_printers_present_content_is_judged_too(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    expect_stop(room, (const char *const[]){room->oak, NULL}, "CAPSTAN", "other-resin", "holds Oak, but");
    expect_stop(room, (const char *const[]){room->flint_more, NULL}, "CAPSTAN", "no-free-slot", "one more");
    expect_stop(room, (const char *const[]){room->vat_oak, NULL}, "CAPSTAN", "printer-has-vat", room->vat_flint);
    expect_stop(room, (const char *const[]){room->flint_more, room->vat_flint, NULL}, "HALYARD", "already-out",
                "already out, with Tobias, in Capstan");
}

static void the_last_usable_day_is_go(void **state)
{
    struct room *room = *state;
    char last[SERIAL_SIZE];
    room_take_on(room, "FLINT", json_pack("{s:s,s:o}", "lot", "FL-0", "expires", room_day(room, 0)), last);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, last);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
    expect_out(room, last, room->tobias, "CAPSTAN");
}

static void an_unknown_serial_stops_and_leaves_the_group_alone(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    assert_true(serial_write('C', 4711, serial) || serial_write('C', 4712, serial));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, serial);
    room_expect(room, "stop", "check-out", "no such unit is in the ledger");
    room_expect_reason(room, "unknown", serial);
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 1);
}

static void a_label_of_the_demo_is_not_ours(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    assert_true(serial_write('C', DEMO_NUMBER_FIRST + 5, serial) || serial_write('C', DEMO_NUMBER_FIRST + 6, serial));
    (void)room_scan(room, serial);
    room_expect(room, "stop", "idle", "label of the demo");
    room_expect_reason(room, "not-ours", serial);
}

static void a_real_label_is_not_the_demos(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    assert_true(serial_write('C', 5, serial) || serial_write('C', 6, serial));
    (void)room_scan(room, serial);
    room_expect(room, "stop", "idle", "real label, and this is the demo");
    room_expect_reason(room, "not-ours", serial);
}

static void an_unconfirmed_clock_asks_about_dated_things_and_yes_books(void **state)
{
    struct room *room = *state;
    room_distrust_clock(room);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    room_expect(room, "ask", "check-out", "clock is not confirmed");
    room_expect_key(room, "YES", false); /* no printer yet */
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "must be used by 2026-10-28");
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
    room_expect_key(room, "TAKEN", false);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    expect_out(room, room->flint, room->tobias, "CAPSTAN");
}

static void an_unconfirmed_clock_calls_nothing_expired(void **state)
{
    struct room *room = *state;
    room_distrust_clock(room);
    (void)room_scan(room, room->flint_old);
    room_expect(room, "ask", "check-out", "must be used by 2026-03-01");
    room_expect_no_reason(room, "expired");
}

static void a_fogged_film_asks_and_no_clears_the_group(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_fogged);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "was fogged");
    (void)room_press(room, "NO");
    room_expect(room, NULL, "idle", "nothing was booked");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 0);
    (void)room_press(room, "YES"); /* to nothing */
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->vat_fogged).status, UNIT_IN);
}

static void yes_answers_only_what_was_asked(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_fogged);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "was fogged");
    room_distrust_clock(room); /* something new to ask about */
    (void)room_press(room, "YES");
    room_expect(room, "ask", "check-out", "");
    room_expect_reason(room, "clock", "not confirmed");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

static void what_became_a_stop_meanwhile_stays_here(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_fogged);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)snprintf(room->counter, sizeof room->counter, "back"); /* another counter */
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->vat_fogged, "reason", "torn"));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "YES");
    room_expect(room, "stop", "check-out", "on hold: torn");
    room_expect_booked(room, false);
}

static void a_stop_that_went_away_is_asked_before_it_is_booked(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "dirty"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "on hold: dirty");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "release", json_pack("{s:s}", "unit", room->flint));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "YES"); /* to the stop that is still on the screen */
    room_expect(room, "ask", "check-out", "How much resin will the job on Capstan need?");
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

static void the_makers_code_in_a_check_out_changes_nothing(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_fogged);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_scan(room, "(01)09506000135007(10)FL-1"); /* of a cartridge that stands here */
    room_expect(room, "ask", "check-out", "scan our label on the one in your hand");
    room_expect_key(room, "YES", false);
    (void)room_press(room, "YES"); /* was not asked about the film just now */
    room_expect(room, "ask", "check-out", "was fogged");
    room_expect_booked(room, false);
}

static void taken_books_reality_and_opens_a_question(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint_old);
    (void)room_press(room, "TAKEN");
    room_expect(room, "ask", "check-out", "Scan the printer it was taken to");
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "expired");
    assert_int_equal(room_question(room, NULL), 0);
    (void)room_press(room, "TAKEN");
    room_expect(room, "go", "idle", "Booked as taken");
    expect_out(room, room->flint_old, room->jarl, "CAPSTAN");
    assert_true(room_question(room, "taken") > 0);
}

static void taken_of_what_is_out_moves_it_and_ends_the_job_it_left(void **state)
{
    struct room *room = *state;
    struct job job;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_scan(room, room->jarl);
    (void)room_scan_printer(room, "HALYARD");
    (void)room_scan(room, room->flint);
    room_expect(room, "stop", "check-out", "already out, with Tobias, in Capstan");
    (void)room_press(room, "TAKEN");
    expect_out(room, room->flint, room->jarl, "HALYARD");
    assert_false(room_job(room, "CAPSTAN", &job));
    assert_true(room_job(room, "HALYARD", &job));
}

static void taken_needs_somebody_to_say_it(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint_old);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_press(room, "TAKEN");
    room_expect(room, "ask", "check-out", "Scan your badge to say who took it");
    room_expect_booked(room, false);
    room_pass(room, 1);
    (void)room_scan(room, room->jarl);
    room_expect(room, "stop", "check-out", "expired");
    (void)room_press(room, "TAKEN");
    room_expect_booked(room, true);
}

static void a_badge_after_the_thing_keeps_a_stop_in_sight(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint_old);
    room_expect(room, "stop", "check-out", "expired");
    (void)room_scan(room, room->tobias);
    room_expect(room, "stop", "check-out", "expired");
}

static void thirty_two_things_are_the_most_at_once(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    for (int i = 0; i < 33; i++) {
        room_take_on(room, "FLINT", NULL, serial);
        (void)room_scan(room, serial);
    }
    room_expect_reason(room, "unreadable", "32 things are the most");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 32);
    (void)room_scan(room, room->tobias);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "takes 1 cartridge;");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(badge_vat_and_printer_book_in_any_order),
        IN_ROOM(a_vat_and_a_cartridge_go_out_for_one_job),
        IN_ROOM(a_later_cartridge_joins_the_job_that_runs),
        IN_ROOM(the_closed_group_signs_out_so_that_nothing_is_booked_on_who_left),
        IN_ROOM(the_same_thing_twice_is_one_thing),
        IN_ROOM(stops_are_never_booked_whatever_is_answered),
        IN_ROOM(the_printers_present_content_is_judged_too),
        IN_ROOM(the_last_usable_day_is_go),
        IN_ROOM(an_unknown_serial_stops_and_leaves_the_group_alone),
        IN_ROOM(a_label_of_the_demo_is_not_ours),
        cmocka_unit_test_setup_teardown(a_real_label_is_not_the_demos, room_setup_demo, room_teardown),
        IN_ROOM(an_unconfirmed_clock_asks_about_dated_things_and_yes_books),
        IN_ROOM(an_unconfirmed_clock_calls_nothing_expired),
        IN_ROOM(a_fogged_film_asks_and_no_clears_the_group),
        IN_ROOM(yes_answers_only_what_was_asked),
        IN_ROOM(what_became_a_stop_meanwhile_stays_here),
        IN_ROOM(a_stop_that_went_away_is_asked_before_it_is_booked),
        IN_ROOM(the_makers_code_in_a_check_out_changes_nothing),
        IN_ROOM(taken_books_reality_and_opens_a_question),
        IN_ROOM(taken_of_what_is_out_moves_it_and_ends_the_job_it_left),
        IN_ROOM(taken_needs_somebody_to_say_it),
        IN_ROOM(a_badge_after_the_thing_keeps_a_stop_in_sight),
        IN_ROOM(thirty_two_things_are_the_most_at_once),
    };
    return cmocka_run_group_tests_name("desk/check_out", tests, room_group_setup, room_group_teardown);
}

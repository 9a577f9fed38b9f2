#include "kiosk/desk/job_need.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What a job needs is asked when resin goes to a printer where none runs. Our own contract, no source. */

static void scan_out(struct room *room, const char *one, const char *two)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, one);
    if (two)
        (void)room_scan(room, two);
    (void)room_scan(room, "CAPSTAN");
}

static void an_amounts_card_answers_and_is_the_jobs_need(void **state)
{
    struct room *room = *state;
    struct job job;
    scan_out(room, room->vat_flint, NULL);
    room_expect(room, "ask", "check-out", "How much resin will the job on Capstan need?");
    room_expect_reason(room, "need-unknown", "");
    room_expect_key(room, "250ML", true);
    room_expect_key(room, "UNKNOWN", true);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZ120ML\x1e\x04");
    room_expect(room, "go", "idle", "Booked: Small vat");
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 120000);
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "done"));
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 280000); /* the need, an estimate */
}

static void nobody_knows_and_yes_answer_as_ever(void **state)
{
    struct room *room = *state;
    static const char *const answers[] = {"UNKNOWN", "YES"};
    for (size_t i = 0; i < 2; i++) {
        struct job job;
        scan_out(room, room->vat_flint, NULL);
        (void)room_press(room, answers[i]);
        room_expect_booked(room, true);
        assert_true(room_job(room, "CAPSTAN", &job));
        assert_true(job.need_ul == MOVEMENT_NULL);
        (void)room_scan(room, room->tobias);
        (void)room_press(room, "UNDO");
    }
}

static void surely_too_little_stops_and_may_be_said_again(void **state)
{
    struct room *room = *state;
    struct job job;
    scan_out(room, room->vat_flint, NULL);
    (void)room_press(room, "500ML");
    room_expect(room, "stop", "check-out", "The job needs 500 ml; vat and cartridges of Capstan hold 400 ml");
    room_expect_reason(room, "too-little", "");
    room_expect_key(room, "TAKEN", true);
    (void)room_press(room, "YES"); /* never answers a stop */
    room_expect_booked(room, false);
    (void)room_press(room, "100ML");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 100000);
}

static void vat_and_cartridge_count_together(void **state)
{
    struct room *room = *state;
    scan_out(room, room->vat_flint, room->flint);
    (void)room_press(room, "1000ML"); /* of 1400 */
    room_expect_booked(room, true);
}

static void another_cartridge_makes_it_enough(void **state)
{
    struct room *room = *state;
    struct job job;
    scan_out(room, room->vat_flint, NULL);
    (void)room_press(room, "500ML");
    room_expect(room, "stop", "check-out", "The job needs 500 ml");
    (void)room_scan(room, room->flint);
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 500000);
}

static void what_is_not_known_to_be_enough_is_asked_about(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    room_take_on(
        room, "VAT-S",
        json_pack("{s:s,s:s,s:o,s:s}", "resin", "FLINT", "lot", "VT-9", "expires", room_day(room, 90), "film", "clear"),
        vat);
    scan_out(room, vat, NULL);
    (void)room_press(room, "250ML");
    room_expect(room, "ask", "check-out", "how much Capstan has, nobody knows");
    room_expect_reason(room, "perhaps-too-little", "");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

/* There is nothing yet that could be too little. */
static void an_empty_vat_is_asked_about_and_its_first_cartridge_compared(void **state)
{
    struct room *room = *state;
    scan_out(room, room->vat_empty, NULL);
    room_expect(room, "ask", "check-out", "How much resin will the job on Capstan need?");
    (void)room_press(room, "1500ML");
    room_expect_booked(room, true);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "The job needs 1500 ml");
    (void)room_press(room, "TAKEN"); /* a second one will follow */
    room_expect_booked(room, true);
}

static void nothing_is_asked_of_a_platform_or_while_a_job_runs(void **state)
{
    struct room *room = *state;
    struct job job;
    char plate[SERIAL_SIZE];
    (void)room_act(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "PLATE", "letter", "P", "name", "Platform"));
    room_take_on(room, "PLATE", NULL, plate);
    scan_out(room, plate, NULL);
    room_expect_booked(room, true);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN"); /* its job has begun */
    room_expect_booked(room, true);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_oak, "printer", "HALYARD"));
    room_expect_booked(room, true); /* a script has said what it knows */
    assert_true(room_job(room, "HALYARD", &job));
}

static void a_script_that_says_the_need_is_told_when_it_is_too_much(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:i}", "units", room->vat_flint, "printer", "CAPSTAN", "need_ml", 900));
    room_expect_reason(room, "too-little", "");
    room_expect_booked(room, false);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:i}", "units", room->vat_flint, "printer", "CAPSTAN", "need_ml", 90));
    room_expect_booked(room, true);
}

/* `ask-need = no`: three scans, as a shop may like it. */
static void a_shop_that_does_not_want_it_is_not_asked(void **state)
{
    struct room *room = *state;
    room->desk.ask_need = false;
    scan_out(room, room->vat_flint, NULL);
    room_expect(room, "go", "idle", "Booked: Small vat");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_amounts_card_answers_and_is_the_jobs_need),
        IN_ROOM(nobody_knows_and_yes_answer_as_ever),
        IN_ROOM(surely_too_little_stops_and_may_be_said_again),
        IN_ROOM(vat_and_cartridge_count_together),
        IN_ROOM(another_cartridge_makes_it_enough),
        IN_ROOM(what_is_not_known_to_be_enough_is_asked_about),
        IN_ROOM(an_empty_vat_is_asked_about_and_its_first_cartridge_compared),
        IN_ROOM(nothing_is_asked_of_a_platform_or_while_a_job_runs),
        IN_ROOM(a_script_that_says_the_need_is_told_when_it_is_too_much),
        IN_ROOM(a_shop_that_does_not_want_it_is_not_asked),
    };
    return cmocka_run_group_tests_name("desk/job_need", tests, room_group_setup, room_group_teardown);
}

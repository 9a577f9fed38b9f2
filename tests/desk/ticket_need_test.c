#include "kiosk/desk/job_need.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/job_plan.h"
#include "tests/desk/room.h"

/* What a job needs whose ticket was scanned: as it was planned, else as the counter is answered. Our own contract, no
 * source. */

/* `need_ml` 0: it is not said */
static void plan(struct room *room, int need_ml)
{
    json_t *content = json_pack("{s:s,s:s,s:s}", "job", "KQ-1042", "printer", "CAPSTAN", "resin", "Flint");
    if (need_ml > 0)
        json_object_set_new(content, "need_ml", json_integer(need_ml));
    (void)room_act(room, "job-plan", content);
}

static void scan_ticket_last(struct room *room)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint); /* 400 ml */
    (void)room_scan(room, "KQ-1042");
}

static json_t *by_script(struct room *room)
{
    return json_pack("{s:[s],s:s,s:s}", "units", room->vat_flint, "printer", "CAPSTAN", "job", "KQ-1042");
}

static struct job planned(struct room *room)
{
    struct job job;
    bool found = false;
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &found, NULL));
    assert_true(found);
    return job;
}

static void no_card_answers_for_the_ticket(void **state)
{
    struct room *room = *state;
    static const char *const cards[] = {"UNKNOWN", "100ML"};
    plan(room, 900);
    scan_ticket_last(room);
    room_expect(room, "stop", "check-out", "The job needs 900 ml");
    for (size_t i = 0; i < 2; i++) {
        (void)room_press(room, cards[i]);
        room_expect(room, "stop", "check-out", "The job needs 900 ml; vat and cartridges of Capstan hold 400 ml");
        room_expect_booked(room, false);
    }
    (void)room_scan(room, room->flint);
    room_expect_booked(room, true);
}

static void that_nobody_knows_does_not_answer_too_little(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "CAPSTAN");
    (void)room_press(room, "500ML");
    room_expect(room, "stop", "check-out", "The job needs 500 ml");
    (void)room_press(room, "UNKNOWN");
    room_expect(room, "stop", "check-out", "The job needs 500 ml");
    room_expect_booked(room, false);
    (void)room_press(room, "100ML"); /* somebody was wrong about it */
    room_expect_booked(room, true);
}

static void a_script_does_not_say_less_than_was_planned(void **state)
{
    struct room *room = *state;
    plan(room, 900);
    json_t *content = by_script(room);
    json_object_set_new(content, "need_ml", json_integer(1));
    room_refuses(room, "check-out", content, FAULT_REFUSED, "job 'KQ-1042' was planned to need 900 ml");
    plan(room, 121);
    content = by_script(room);
    json_object_set_new(content, "need_ml", json_integer(500)); /* more is asked for */
    (void)room_act(room, "check-out", content);
    room_expect_reason(room, "too-little", "needs 500 ml");
    room_expect_booked(room, false);
}

static void what_is_answered_is_kept_where_the_ticket_does_not_say_it(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, 0);
    scan_ticket_last(room);
    room_expect_reason(room, "need-unknown", "How much resin will the job on Capstan need?");
    (void)room_press(room, "500ML");
    room_expect_reason(room, "too-little", "needs 500 ml");
    (void)room_press(room, "100ML");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 100000);
    (void)room_press(room, "UNDO");
    assert_true(planned(room).need_ul == MOVEMENT_NULL);
}

static void so_it_is_when_an_unnamed_job_runs_there(void **state)
{
    struct room *room = *state;
    struct job job;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint_more, "printer", "CAPSTAN", "confirm", 1));
    plan(room, 0);
    scan_ticket_last(room);
    (void)room_press(room, "500ML");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 500000);
}

static void a_script_says_need_and_end_where_the_plan_does_not(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, 0);
    json_t *content = by_script(room);
    json_object_set_new(content, "need_ml", json_integer(121));
    json_object_set_new(content, "ends", room_day(room, 1));
    (void)room_act(room, "check-out", content);
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 121000);
    assert_int_equal(job.end_day, room_today(room) + 1);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(no_card_answers_for_the_ticket),
        TEST(that_nobody_knows_does_not_answer_too_little),
        TEST(a_script_does_not_say_less_than_was_planned),
        TEST(what_is_answered_is_kept_where_the_ticket_does_not_say_it),
        TEST(so_it_is_when_an_unnamed_job_runs_there),
        TEST(a_script_says_need_and_end_where_the_plan_does_not),
    };
    return cmocka_run_group_tests_name("desk/ticket_need", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/ticket.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/job_plan.h"
#include "tests/desk/room.h"

/* What has become of a job since its ticket was scanned, planned, or booked. Common practice, no source. */

static void plan(struct room *room, const char *code, int need_ml)
{
    (void)room_act(
        room, "job-plan",
        json_pack("{s:s,s:s,s:i,s:s}", "job", code, "printer", "CAPSTAN", "need_ml", need_ml, "resin", "Flint"));
}

/* The ticket in hand of whoever has signed in. */
static void take_ticket(struct room *room)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, "KQ-1042");
    room_expect(room, NULL, "check-out", "Job KQ-1042 on Capstan");
}

static bool count(const struct job *job, void *context)
{
    size_t *counted = context;
    (void)job;
    (*counted)++;
    return true;
}

static size_t count_open(struct room *room, const char *code, bool planned)
{
    size_t counted = 0;
    assert_true(planned ? job_each_planned_of_code(room->reader, code, count, &counted, NULL)
                        : job_each_running_of_code(room->reader, code, count, &counted, NULL));
    return counted;
}

static void a_job_that_was_withdrawn_meanwhile_does_not_begin(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "KQ-1042", 121);
    take_ticket(room);
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"));
    (void)room_scan(room, room->vat_flint);
    room_expect_reason(room, "job-over", "Job KQ-1042 was withdrawn before it began.");
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "Job KQ-1042 was withdrawn before it began.");
    room_expect_booked(room, false);
    assert_false(room_job(room, "CAPSTAN", &job));
}

static void a_job_that_is_over_meanwhile_does_not_begin_again(void **state)
{
    struct room *room = *state;
    plan(room, "KQ-1042", 121);
    take_ticket(room);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "failed"));
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "CAPSTAN");
    room_expect_reason(room, "job-over", "Job KQ-1042 is over on CAPSTAN: failed.");
    room_expect_booked(room, false);
}

static void a_job_that_has_begun_meanwhile_is_joined(void **state)
{
    struct room *room = *state;
    struct job begun, job;
    plan(room, "KQ-1042", 121);
    take_ticket(room);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    assert_true(room_job(room, "CAPSTAN", &begun));
    (void)room_scan(room, room->vat_flint);
    room_expect_no_reason(room, "job-runs");
    (void)room_scan(room, "CAPSTAN");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, begun.id);
    assert_string_equal(room_unit(room, room->vat_flint).job, begun.id);
    assert_int_equal(count_open(room, "KQ-1042", false), 1);
}

/* It cannot run twice: what goes to another printer is for what runs there. */
static void a_job_that_has_begun_elsewhere_is_not_begun_a_second_time(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "KQ-1042", 121);
    take_ticket(room);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "HALYARD");
    room_expect_reason(room, "other-printer", "for Capstan, not for Halyard");
    for (int i = 0; i < 2 && !json_is_true(json_object_get(room->view, "booked")); i++)
        (void)room_press(room, "YES");
    room_expect_booked(room, true);
    assert_int_equal(count_open(room, "KQ-1042", false), 1);
    assert_true(room_job(room, "HALYARD", &job));
    assert_string_equal(job.code, "");
    assert_string_equal(room_unit(room, room->vat_flint).job, job.id);
}

static void a_need_that_grew_meanwhile_is_the_need(void **state)
{
    struct room *room = *state;
    plan(room, "KQ-1042", 121);
    take_ticket(room);
    plan(room, "KQ-1042", 900);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "CAPSTAN");
    room_expect_reason(room, "too-little", "needs 900 ml");
    room_expect_booked(room, false);
}

static void a_check_out_whose_job_got_more_since_is_not_taken_back_beside_it(void **state)
{
    struct room *room = *state;
    struct job before, job;
    char taken[ACT_ID_SIZE];
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1"));
    assert_true(room_job(room, "CAPSTAN", &before));
    plan(room, "KQ-1042", 121);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "job", "KQ-1042",
                             "confirm", 1));
    room_expect_booked(room, true);
    (void)snprintf(taken, sizeof taken, "%s", room->act);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint, "printer", "CAPSTAN", "confirm", 1));
    char cartridge[ACT_ID_SIZE];
    (void)snprintf(cartridge, sizeof cartridge, "%s", room->act);
    char says[120];
    (void)snprintf(says, sizeof says, "%s went to CAPSTAN for the same job since: undo that first", room->flint);
    room_refuses(room, "undo", json_pack("{s:s}", "act", taken), FAULT_REFUSED, says);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    (void)room_act(room, "undo", json_pack("{s:s}", "act", cartridge));
    (void)room_act(room, "undo", json_pack("{s:s}", "act", taken));
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, before.id);
    assert_int_equal(count_open(room, "KQ-1042", true), 1);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_job_that_was_withdrawn_meanwhile_does_not_begin),
        TEST(a_job_that_is_over_meanwhile_does_not_begin_again),
        TEST(a_job_that_has_begun_meanwhile_is_joined),
        TEST(a_job_that_has_begun_elsewhere_is_not_begun_a_second_time),
        TEST(a_need_that_grew_meanwhile_is_the_need),
        TEST(a_check_out_whose_job_got_more_since_is_not_taken_back_beside_it),
    };
    return cmocka_run_group_tests_name("desk/ticket_since", tests, room_group_setup, room_group_teardown);
}

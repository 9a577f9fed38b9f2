#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* Jobs that are planned. The room has job-1, which runs on CAPSTAN. Our own contract, no source. */

#define PLAN "{\"code\":\"KQ-1042\",\"ends_ms\":1771064000000,\"resin\":\"Flint\"}"

static struct movement of_job(enum movement_kind kind, const char *id)
{
    struct movement m;
    movement_init(&m, kind);
    SET(m.job, id);
    SET(m.printer, "CAPSTAN");
    SET(m.person, APPLY_ROOM_PERSON);
    return m;
}

static const struct job *job(struct room *room, const char *id)
{
    struct job like = {.id = ""};
    SET(like.id, id);
    const struct job *found = memory_store_find(room->memory, MEMORY_JOBS, &like, NULL);
    assert_non_null(found);
    return found;
}

static int64_t plan(struct room *room, const char *id)
{
    struct movement m = of_job(MOVEMENT_JOB_PLAN, id);
    SET(m.detail, PLAN);
    m.amount_ul = 120500;
    apply_room_must(room, &m);
    return m.seq;
}

static void a_plan_is_a_job_without_a_start(void **state)
{
    struct room *room = *state;
    const int64_t seq = plan(room, "job-2");
    const struct job *row = job(room, "job-2");
    assert_true(row->started_ms == MOVEMENT_NULL && row->ended_ms == MOVEMENT_NULL);
    assert_string_equal(row->code, "KQ-1042");
    assert_string_equal(row->machine, "CAPSTAN");
    assert_int_equal(row->need_ul, 120500);
    assert_int_equal(row->end_ms, INT64_C(1771064000000));
    assert_int_equal(row->ticket, seq);
    struct movement m = of_job(MOVEMENT_JOB_PLAN, "job-2");
    SET(m.detail, PLAN);
    apply_room_must_refuse(room, &m, "is known already");
    m = of_job(MOVEMENT_JOB_PLAN, "job-3");
    apply_room_must_refuse(room, &m, "the job's code");
    m = of_job(MOVEMENT_JOB_END, "job-2");
    apply_room_must_refuse(room, &m, "does not run");
    m = of_job(MOVEMENT_JOB_TICKET, "job-2");
    apply_room_must_refuse(room, &m, "does not run");
}

static void a_start_keeps_what_was_planned_and_taken_back_it_waits_again(void **state)
{
    struct room *room = *state;
    const int64_t seq = plan(room, "job-2");
    struct movement start = of_job(MOVEMENT_JOB_START, "job-2");
    apply_room_must(room, &start);
    assert_int_equal(job(room, "job-2")->started_ms, start.at.ms);
    assert_int_equal(job(room, "job-2")->need_ul, 120500);
    assert_int_equal(job(room, "job-2")->ticket, seq);
    struct movement again = of_job(MOVEMENT_JOB_START, "job-2");
    apply_room_must_refuse(room, &again, "was started before");

    struct movement back = of_job(MOVEMENT_JOB_PLAN, "job-2");
    back.refers = start.seq;
    back.amount_ul = 120500;
    SET(back.detail, "{\"by\":\"H000123M\",\"code\":\"KQ-1042\",\"ends_ms\":1771064000000,\"ticket\":7}");
    apply_room_must(room, &back);
    const struct job *row = job(room, "job-2");
    assert_true(row->started_ms == MOVEMENT_NULL && row->ended_ms == MOVEMENT_NULL);
    assert_string_equal(row->person, "H000123M");
    assert_int_equal(row->ticket, 7);
    apply_room_must_refuse(room, &back, "is planned already");
}

static void what_is_withdrawn_is_over_until_that_is_taken_back(void **state)
{
    struct room *room = *state;
    (void)plan(room, "job-2");
    struct movement drop = of_job(MOVEMENT_JOB_DROP, "job-2");
    apply_room_must_refuse(room, &drop, "a job-drop cannot say ''");
    SET(drop.word, "dropped");
    apply_room_must(room, &drop);
    assert_string_equal(job(room, "job-2")->outcome, "dropped");
    assert_true(job(room, "job-2")->ended_ms != MOVEMENT_NULL && job(room, "job-2")->started_ms == MOVEMENT_NULL);
    apply_room_must_refuse(room, &drop, "is not planned");
    struct movement start = of_job(MOVEMENT_JOB_START, "job-2");
    apply_room_must_refuse(room, &start, "was started before");

    struct movement back = of_job(MOVEMENT_JOB_PLAN, "job-2");
    back.refers = drop.seq;
    SET(back.detail, PLAN);
    apply_room_must(room, &back);
    assert_string_equal(job(room, "job-2")->outcome, "");
    apply_room_must(room, &start);
    struct movement of_running = of_job(MOVEMENT_JOB_DROP, "job-1");
    SET(of_running.word, "dropped");
    apply_room_must_refuse(room, &of_running, "is not planned");
}

/* The printer's own ticket stands for the plan's only by naming it: two tickets told at once are no ticket twice. */
static void a_ticket_over_a_plan_names_what_it_stands_for(void **state)
{
    struct room *room = *state;
    const int64_t seq = plan(room, "job-2");
    struct movement m = of_job(MOVEMENT_JOB_START, "job-2");
    apply_room_must(room, &m);
    m = of_job(MOVEMENT_JOB_TICKET, "job-2");
    SET(m.detail, "{\"code\":\"KQ-1042\"}");
    apply_room_must_refuse(room, &m, "has its ticket");
    (void)snprintf(m.detail, sizeof m.detail, "{\"code\":\"KQ-1042\",\"over\":%lld}", (long long)seq);
    apply_room_must(room, &m);
    assert_int_equal(job(room, "job-2")->ticket, m.seq);
    struct movement back = of_job(MOVEMENT_JOB_TICKET, "job-2");
    back.refers = m.seq;
    (void)snprintf(back.detail, sizeof back.detail, "{\"code\":\"KQ-1042\",\"ticket\":%lld}", (long long)seq);
    apply_room_must(room, &back);
    assert_int_equal(job(room, "job-2")->ticket, seq);
    assert_string_equal(job(room, "job-2")->code, "KQ-1042");
}

static void a_ticket_of_a_job_is_printed_as_what_no_place_is_called(void **state)
{
    struct room *room = *state;
    char place[PLACE_SIZE];
    const int64_t seq = plan(room, "job-2");
    print_ticket_name(seq, place);
    assert_int_equal(print_ticket_plan(place), seq);
    assert_true(print_ticket_plan("A1") == MOVEMENT_NULL && print_ticket_plan("JOB/") == MOVEMENT_NULL &&
                print_ticket_plan("JOB/0") == MOVEMENT_NULL && print_ticket_plan("JOB/7A") == MOVEMENT_NULL);
    struct movement m;
    movement_init(&m, MOVEMENT_PRINT);
    SET(m.place, place);
    SET(m.word, "waiting");
    m.pieces = 1;
    apply_room_must_refuse(room, &m, "its job");
    SET(m.job, "job-9");
    apply_room_must_refuse(room, &m, "job 'job-9'");
    SET(m.job, "job-2");
    apply_room_must(room, &m);
    movement_init(&m, MOVEMENT_PRINT);
    SET(m.place, place);
    SET(m.word, "sent");
    m.pieces = 1;
    apply_room_must(room, &m); /* the printing thread names the label alone */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_plan_is_a_job_without_a_start, apply_room_setup, apply_room_teardown),
        cmocka_unit_test_setup_teardown(a_start_keeps_what_was_planned_and_taken_back_it_waits_again, apply_room_setup,
                                        apply_room_teardown),
        cmocka_unit_test_setup_teardown(what_is_withdrawn_is_over_until_that_is_taken_back, apply_room_setup,
                                        apply_room_teardown),
        cmocka_unit_test_setup_teardown(a_ticket_over_a_plan_names_what_it_stands_for, apply_room_setup,
                                        apply_room_teardown),
        cmocka_unit_test_setup_teardown(a_ticket_of_a_job_is_printed_as_what_no_place_is_called, apply_room_setup,
                                        apply_room_teardown),
    };
    return cmocka_run_group_tests_name("ledger/apply_job_plan", tests, NULL, NULL);
}

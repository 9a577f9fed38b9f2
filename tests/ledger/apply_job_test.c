#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* Jobs and inspections. The room has job-1, which runs on CAPSTAN and needs 250000 ul. Our own contract, no source. */

static struct movement of_job(enum movement_kind kind, const char *id)
{
    struct movement m;
    movement_init(&m, kind);
    SET(m.job, id);
    SET(m.printer, "CAPSTAN");
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

static void a_ticket_adds_to_what_is_known_of_a_job(void **state)
{
    struct room *room = *state;
    struct movement m = of_job(MOVEMENT_JOB_TICKET, "job-1");
    SET(m.detail, "{\"code\":\"KQ-1042\",\"ends_ms\":1771064000000,\"parts\":\"1:?:?:?:?\"}");
    apply_room_must(room, &m);
    assert_string_equal(job(room, "job-1")->code, "KQ-1042");
    assert_int_equal(job(room, "job-1")->end_ms, INT64_C(1771064000000));
    assert_int_equal(job(room, "job-1")->ticket, m.seq);
    assert_int_equal(job(room, "job-1")->need_ul, 250000); /* not said: as it was */
    assert_true(job(room, "job-1")->end_day == MOVEMENT_NULL);
}

static void a_ticket_taken_back_leaves_nothing_of_itself(void **state)
{
    struct room *room = *state;
    struct movement m = of_job(MOVEMENT_JOB_TICKET, "job-1");
    SET(m.detail, "{\"before_ul\":250000,\"code\":\"KQ-1042\"}");
    m.amount_ul = 90000;
    m.expires = 20500;
    apply_room_must(room, &m);
    assert_int_equal(job(room, "job-1")->need_ul, 90000);
    assert_int_equal(job(room, "job-1")->end_day, 20500);
    struct movement back = of_job(MOVEMENT_JOB_TICKET, "job-1");
    back.refers = m.seq;
    back.amount_ul = 250000;
    apply_room_must(room, &back);
    assert_string_equal(job(room, "job-1")->code, "");
    assert_int_equal(job(room, "job-1")->need_ul, 250000);
    assert_true(job(room, "job-1")->end_day == MOVEMENT_NULL && job(room, "job-1")->ticket == MOVEMENT_NULL);
}

static void a_job_has_one_ticket_and_only_while_it_runs(void **state)
{
    struct room *room = *state;
    struct movement m = of_job(MOVEMENT_JOB_TICKET, "job-9");
    apply_room_must_refuse(room, &m, "job 'job-9' does not run");
    m = of_job(MOVEMENT_JOB_TICKET, "job-1");
    apply_room_must(room, &m);
    m = of_job(MOVEMENT_JOB_TICKET, "job-1");
    apply_room_must_refuse(room, &m, "has its ticket");
    m = of_job(MOVEMENT_JOB_END, "job-1");
    apply_room_must(room, &m);
    m = of_job(MOVEMENT_JOB_TICKET, "job-1");
    apply_room_must_refuse(room, &m, "does not run");
}

static void an_end_says_how_and_how_much_and_is_taken_back_whole(void **state)
{
    struct room *room = *state;
    struct movement m = of_job(MOVEMENT_JOB_END, "job-1");
    SET(m.word, "melted");
    apply_room_must_refuse(room, &m, "melted");
    SET(m.word, "failed");
    m.amount_ul = 120000;
    m.minutes = 95;
    apply_room_must(room, &m);
    assert_string_equal(job(room, "job-1")->outcome, "failed");
    assert_int_equal(job(room, "job-1")->used_ul, 120000);
    struct movement back = of_job(MOVEMENT_JOB_START, "job-1");
    back.refers = m.seq;
    apply_room_must(room, &back);
    assert_string_equal(job(room, "job-1")->outcome, "");
    assert_true(job(room, "job-1")->used_ul == MOVEMENT_NULL && job(room, "job-1")->ended_ms == MOVEMENT_NULL);
}

static void an_end_that_nobody_told_is_told_late_and_stays_when_it_was(void **state)
{
    struct room *room = *state;
    struct movement late = of_job(MOVEMENT_JOB_END, "job-1");
    SET(late.detail, "{\"late\":1}");
    SET(late.word, "failed");
    late.amount_ul = 118000;
    struct movement m = late;
    apply_room_must_refuse(room, &m, "has not ended without a word"); /* it runs: that is no late word */
    struct movement emptied = of_job(MOVEMENT_JOB_END, "job-1");
    emptied.minutes = 95;
    apply_room_must(room, &emptied);
    const int64_t ended_ms = job(room, "job-1")->ended_ms;
    m = of_job(MOVEMENT_JOB_END, "job-1");
    SET(m.detail, "{\"late\":1}");
    apply_room_must_refuse(room, &m, "has not ended without a word"); /* late and nothing told */
    m = late;
    apply_room_must(room, &m);
    assert_string_equal(job(room, "job-1")->outcome, "failed");
    assert_int_equal(job(room, "job-1")->used_ul, 118000);
    assert_int_equal(job(room, "job-1")->ended_ms, ended_ms);
    assert_int_equal(job(room, "job-1")->minutes, 95);
    struct movement again = late;
    apply_room_must_refuse(room, &again, "has not ended without a word");
    struct movement back = of_job(MOVEMENT_JOB_END, "job-1");
    SET(back.detail, "{\"late\":1}");
    back.refers = m.seq;
    apply_room_must(room, &back);
    assert_string_equal(job(room, "job-1")->outcome, "");
    assert_true(job(room, "job-1")->used_ul == MOVEMENT_NULL);
    assert_int_equal(job(room, "job-1")->ended_ms, ended_ms);
}

static void an_inspection_says_how_the_film_is_and_releases_nothing_by_itself(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_HOLD, APPLY_ROOM_VAT);
    SET(m.word, "to-inspect");
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_INSPECTION, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "what was seen");
    SET(m.word, "scratched");
    apply_room_must_refuse(room, &m, "scratched");
    SET(m.word, "fogged");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->film, "fogged");
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->hold, "to-inspect");
    m = apply_room_movement(MOVEMENT_INSPECTION, APPLY_ROOM_CARTRIDGE);
    SET(m.word, "clear");
    apply_room_must_refuse(room, &m, "no film and no surface");
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_ticket_adds_to_what_is_known_of_a_job),
        TEST(a_ticket_taken_back_leaves_nothing_of_itself),
        TEST(a_job_has_one_ticket_and_only_while_it_runs),
        TEST(an_end_says_how_and_how_much_and_is_taken_back_whole),
        TEST(an_end_that_nobody_told_is_told_late_and_stays_when_it_was),
        TEST(an_inspection_says_how_the_film_is_and_releases_nothing_by_itself),
    };
    return cmocka_run_group_tests_name("ledger/apply_job", tests, NULL, NULL);
}

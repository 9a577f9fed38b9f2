#include "kiosk/desk/job_late.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* A printer tells how its job ended after somebody has emptied it. Common practice, no source. */

static struct job the_job(struct room *room, const char *id)
{
    struct job job;
    bool found = false;
    assert_true(job_load(room->reader, id, &job, &found, NULL));
    assert_true(found);
    return job;
}

static json_t *end(const char *how)
{
    return json_pack("{s:s,s:s,s:f}", "printer", "CAPSTAN", "how", how, "used_ml", 118.5);
}

/* The job KQ-1042 with vat and cartridge on CAPSTAN; its id. */
static struct job run_job(struct room *room)
{
    struct job job;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s,s],s:s}", "units", room->vat_flint, room->flint, "printer", "CAPSTAN"));
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    assert_true(room_job(room, "CAPSTAN", &job));
    return job;
}

/* Vat and cartridge come back, in two acts; ml 0: nobody says how much is in the cartridge. */
static void empty_printer(struct room *room, int vat_ml, int cartridge_ml)
{
    const char *const units[] = {room->vat_flint, room->flint};
    const int amounts[] = {vat_ml, cartridge_ml};
    for (size_t i = 0; i < 2; i++) {
        json_t *unit = json_pack("{s:s}", "unit", units[i]);
        if (amounts[i] > 0)
            json_object_set_new(unit, "amount_ml", json_integer(amounts[i]));
        if (units[i][0] == 'V')
            json_object_set_new(unit, "film", json_string("clear"));
        (void)room_act(room, "check-in", json_pack("{s:[o],s:s}", "units", unit, "place", "B01"));
    }
    assert_false(room_job(room, "CAPSTAN", &(struct job){.version = 0}));
}

static void an_end_told_after_the_check_in_is_the_word_about_that_job(void **state)
{
    struct room *room = *state;
    const struct job job = run_job(room);
    empty_printer(room, 400, 880);
    const struct job emptied = the_job(room, job.id);
    (void)room_act(room, "job-end", end("done"));
    room_expect(room, "go", "idle", "Booked afterwards: job KQ-1042 on CAPSTAN done, 118.5 ml used");
    room_expect_booked(room, true);
    const struct job told = the_job(room, job.id);
    assert_string_equal(told.outcome, "done");
    assert_int_equal(told.used_ul, 118500);
    assert_int_equal(told.ended_ms, emptied.ended_ms);
    assert_int_equal(told.minutes, emptied.minutes);
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 400000); /* as it was said */
    assert_int_equal(room_unit(room, room->flint).amount_ul, 880000);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
    assert_int_equal(room_question(room, NULL), 0);
}

static void what_nobody_said_the_amount_of_is_a_question(void **state)
{
    struct room *room = *state;
    (void)run_job(room);
    empty_printer(room, 400, 0);
    (void)room_act(room, "job-end", end("done"));
    assert_true(room_question(room, "job-told-late") > 0);
    struct question question;
    bool found;
    assert_true(question_load(room->reader, room_question(room, "job-told-late"), &question, &found, NULL));
    assert_string_equal(question.unit, room->flint);
    assert_non_null(strstr(question.note, "used 118.5 ml"));
    assert_null(strstr(question.note, room->vat_flint));
    assert_int_equal(room_unit(room, room->flint).amount_ul, 1000000);
}

/* It kept its level: what the job used came out of the cartridge. */
static void a_vat_beside_a_cartridge_is_no_question(void **state)
{
    struct room *room = *state;
    (void)run_job(room);
    empty_printer(room, 0, 880);
    (void)room_act(room, "job-end", end("done"));
    assert_int_equal(room_question(room, NULL), 0);
}

static void what_was_said_since_is_no_question(void **state)
{
    struct room *room = *state;
    (void)run_job(room);
    empty_printer(room, 400, 0);
    (void)room_act(room, "amount", json_pack("{s:s,s:i}", "unit", room->flint, "amount_ml", 880));
    (void)room_act(room, "job-end", end("done"));
    assert_int_equal(room_question(room, NULL), 0);
}

static void after_a_failed_one_vat_and_platform_are_held_where_they_are_now(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    (void)room_act(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "PLATE", "letter", "P", "name", "Platform"));
    room_take_on(room, "PLATE", NULL, plate);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", plate, "printer", "CAPSTAN"));
    (void)run_job(room);
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", plate, "place", "A02"));
    empty_printer(room, 400, 880);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "HALYARD")); /* used again already */
    (void)room_act(room, "job-end", end("failed"));
    room_expect(room, "go", "idle", "To be inspected: ");
    assert_string_equal(room_unit(room, plate).hold, "to-inspect");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
    assert_string_equal(room_unit(room, room->vat_flint).printer, "HALYARD");
    assert_string_equal(room_unit(room, room->flint).hold, "");
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", plate, "printer", "SEXTANT"));
    room_expect_reason(room, "not-inspected", "has not been inspected since job KQ-1042 failed");
}

static void what_was_inspected_since_is_not_held_again(void **state)
{
    struct room *room = *state;
    (void)run_job(room);
    empty_printer(room, 400, 880);
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", room->vat_flint, "film", "clear"));
    (void)room_act(room, "job-end", end("aborted"));
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
}

static void undo_takes_the_word_back_and_it_can_be_told_again(void **state)
{
    struct room *room = *state;
    const struct job job = run_job(room);
    empty_printer(room, 400, 0);
    char emptied[ACT_ID_SIZE];
    (void)snprintf(emptied, sizeof emptied, "%s", room->act);
    (void)room_act(room, "job-end", end("failed"));
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
    room_refuses(room, "undo", json_pack("{s:s}", "act", emptied), FAULT_REFUSED, "was told since: undo that first");
    (void)room_act(room, "undo", json_object());
    room_expect(room, "go", "idle", "Taken back: Maren: end of a job (CAPSTAN)");
    assert_string_equal(the_job(room, job.id).outcome, "");
    assert_true(the_job(room, job.id).ended_ms != MOVEMENT_NULL);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
    assert_int_equal(room_question(room, NULL), 0);
    (void)room_act(room, "job-end", end("done"));
    assert_string_equal(the_job(room, job.id).outcome, "done");
    (void)room_act(room, "undo", json_object());
    (void)room_act(room, "undo", json_pack("{s:s}", "act", emptied));
    assert_true(room_job(room, "CAPSTAN", &(struct job){.version = 0})); /* it runs again */
}

static void how_it_ended_is_told_once(void **state)
{
    struct room *room = *state;
    const struct job job = run_job(room);
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "printer", "SEXTANT", "how", "done"), FAULT_MISSING,
                 "no job runs on SEXTANT");
    empty_printer(room, 400, 880);
    (void)room_act(room, "job-end", end("done"));
    room_refuses(room, "job-end", end("done"), FAULT_MISSING, "no job runs on CAPSTAN");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "job", job.id, "how", "done"), FAULT_CONFLICT,
                 "has ended already");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "done"), FAULT_MISSING,
                 "no job KQ-1042 runs");
}

/* While the next job runs on the same printer: the printer's end is of that one, the name's of the one before. */
static void by_its_name_or_id_it_is_told_while_the_next_one_runs(void **state)
{
    struct room *room = *state;
    const struct job job = run_job(room);
    struct job next;
    empty_printer(room, 400, 880);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "done"));
    assert_string_equal(the_job(room, job.id).outcome, "done");
    assert_true(room_job(room, "CAPSTAN", &next));
    (void)room_act(room, "undo", json_object());
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", job.id, "how", "aborted"));
    assert_string_equal(the_job(room, job.id).outcome, "aborted");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
    assert_true(room_job(room, "CAPSTAN", &next));
}

/* A check-out that was taken back never was a job; the one before it may be told of still. */
static void a_check_out_that_was_taken_back_is_no_job_to_tell_of(void **state)
{
    struct room *room = *state;
    const struct job job = run_job(room);
    empty_printer(room, 400, 880);
    room_pass(room, 60);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    char never[ACT_ID_SIZE];
    (void)snprintf(never, sizeof never, "%s", room->act);
    (void)room_act(room, "undo", json_object());
    (void)room_act(room, "job-end", end("done"));
    assert_string_equal(the_job(room, job.id).outcome, "done");
    assert_string_equal(the_job(room, never).outcome, "");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "job", never, "how", "done"), FAULT_CONFLICT,
                 "has ended already");
}

/* It was planned while another one ran there: what came out of the printer before it began is none of its things. */
static void what_another_job_left_before_it_began_is_not_held(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-plan", json_pack("{s:s,s:s}", "job", "KQ-1042", "printer", "CAPSTAN"));
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_oak, "printer", "CAPSTAN"));
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", room->vat_oak, "film", "clear", "place", "B01"));
    (void)room_act(
        room, "check-out",
        json_pack("{s:[s,s],s:s,s:s}", "units", room->vat_flint, room->flint, "printer", "CAPSTAN", "job", "KQ-1042"));
    room_expect_booked(room, true);
    empty_printer(room, 400, 880);
    (void)room_act(room, "job-end", end("failed"));
    room_expect(room, "go", "idle", "Booked afterwards: job KQ-1042 on CAPSTAN failed");
    assert_string_equal(room_unit(room, room->vat_oak).hold, "");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
}

/* Its start was taken back, and it began anew, without what had been for it. */
static void what_was_for_a_start_that_was_taken_back_is_not_held(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-plan", json_pack("{s:s,s:s}", "job", "KQ-1042", "printer", "CAPSTAN"));
    json_t *first = json_pack("{s:[s],s:s,s:s}", "units", room->vat_oak, "printer", "CAPSTAN", "job", "KQ-1042");
    (void)room_act(room, "check-out", first);
    room_expect_booked(room, true);
    (void)room_act(room, "undo", json_object());
    (void)room_act(
        room, "check-out",
        json_pack("{s:[s,s],s:s,s:s}", "units", room->vat_flint, room->flint, "printer", "CAPSTAN", "job", "KQ-1042"));
    empty_printer(room, 400, 880);
    (void)room_act(room, "job-end", end("failed"));
    assert_string_equal(room_unit(room, room->vat_oak).hold, "");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_end_told_after_the_check_in_is_the_word_about_that_job),
        IN_ROOM(what_nobody_said_the_amount_of_is_a_question),
        IN_ROOM(a_vat_beside_a_cartridge_is_no_question),
        IN_ROOM(what_was_said_since_is_no_question),
        IN_ROOM(after_a_failed_one_vat_and_platform_are_held_where_they_are_now),
        IN_ROOM(what_was_inspected_since_is_not_held_again),
        IN_ROOM(undo_takes_the_word_back_and_it_can_be_told_again),
        IN_ROOM(how_it_ended_is_told_once),
        IN_ROOM(by_its_name_or_id_it_is_told_while_the_next_one_runs),
        IN_ROOM(a_check_out_that_was_taken_back_is_no_job_to_tell_of),
        IN_ROOM(what_another_job_left_before_it_began_is_not_held),
        IN_ROOM(what_was_for_a_start_that_was_taken_back_is_not_held),
    };
    return cmocka_run_group_tests_name("desk/job_late", tests, room_group_setup, room_group_teardown);
}

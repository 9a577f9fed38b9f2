#include "kiosk/desk/job_plan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Jobs that are planned at a desk or by a script. Common practice, no source. */

static json_t *plan(const char *printer, int need_ml)
{
    return json_pack("{s:s,s:s,s:i,s:s,s:s,s:s}", "job", "kq-1042", "printer", printer, "need_ml", need_ml, "resin",
                     "Flint", "revision", "2", "name", "Gear housing");
}

static struct job the_job(struct room *room, const char *id)
{
    struct job job;
    bool found = false;
    assert_true(job_load(room->reader, id, &job, &found, NULL));
    assert_true(found);
    return job;
}

static struct job planned(struct room *room)
{
    struct job job;
    bool found = false;
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &found, NULL));
    assert_true(found);
    return job;
}

static bool is_planned(struct room *room)
{
    struct job job;
    bool found = false;
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &found, NULL));
    return found;
}

static void a_plan_runs_nowhere_and_says_what_will_be_printed(void **state)
{
    struct room *room = *state;
    struct job job;
    struct job_ticket ticket;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    room_expect(room, "go", "idle", "Planned: job KQ-1042 on CAPSTAN, 121 ml of Flint rev 2.");
    assert_false(room_job(room, "CAPSTAN", &job));
    job = planned(room);
    assert_string_equal(job.id, json_string_value(json_object_get(room->view, "job")));
    assert_true(job_plan_ticket(room->reader, &job, &ticket, NULL));
    assert_int_equal(ticket.need_ul, 121000);
    assert_string_equal(ticket.names, "Gear housing");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "done"), FAULT_MISSING, "no job");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "job", job.id, "how", "done"), FAULT_CONFLICT,
                 "is planned and has not begun");
}

static void a_plan_names_a_printer_and_a_code_that_a_ticket_holds(void **state)
{
    struct room *room = *state;
    room_refuses(room, "job-plan", json_pack("{s:s}", "printer", "CAPSTAN"), FAULT_INPUT, "'job' is missing");
    room_refuses(room, "job-plan", json_pack("{s:s}", "job", "KQ-1"), FAULT_INPUT, "'printer' is missing");
    room_refuses(room, "job-plan", json_pack("{s:s,s:s}", "job", "KQ-1", "printer", "NOWHERE"), FAULT_MISSING,
                 "printer 'NOWHERE' is not known");
    room_refuses(room, "job-plan", json_pack("{s:s,s:s}", "job", "KQ-1234567890-LONG", "printer", "CAPSTAN"),
                 FAULT_INPUT, "more than 16 characters");
}

static void a_resin_may_be_said_by_its_items_code_or_in_small_letters(void **state)
{
    struct room *room = *state;
    struct job_ticket ticket;
    struct job job;
    (void)room_act(room, "job-plan",
                   json_pack("{s:s,s:s,s:s}", "job", "KQ-1042", "printer", "CAPSTAN", "resin", "FLINT3"));
    job = planned(room);
    assert_true(job_plan_ticket(room->reader, &job, &ticket, NULL));
    assert_string_equal(ticket.resin, "Flint");
    assert_string_equal(ticket.revision, "3");
    (void)room_act(room, "job-plan",
                   json_pack("{s:s,s:s,s:s}", "job", "KQ-1042", "printer", "CAPSTAN", "resin", "oak"));
    job = planned(room);
    assert_true(job_plan_ticket(room->reader, &job, &ticket, NULL));
    assert_string_equal(ticket.resin, "Oak");
}

static void a_second_plan_of_a_code_takes_the_place_of_the_first_and_undo_puts_it_back(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    const struct job first = planned(room);
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    room_expect(room, "go", "idle", "Planned before, and the same");
    room_expect_booked(room, false);
    (void)room_act(room, "job-plan", plan("SEXTANT", 150));
    const struct job second = planned(room);
    assert_string_not_equal(second.id, first.id);
    assert_string_equal(second.machine, "SEXTANT");
    assert_string_equal(the_job(room, first.id).outcome, "replaced");
    assert_int_equal(room_question(room, NULL), 0);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", second.id));
    assert_string_equal(planned(room).id, first.id);
    assert_int_equal(planned(room).ticket, first.ticket);
    assert_string_equal(the_job(room, second.id).outcome, "dropped");
}

static void a_plan_of_a_job_that_runs_is_kept_and_asked_about_unless_it_says_the_same(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-start", plan("CAPSTAN", 121));
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    room_expect(room, "go", "idle", "Runs already: job KQ-1042 on CAPSTAN");
    room_expect_booked(room, false);
    (void)room_act(room, "job-plan", plan("CAPSTAN", 300));
    assert_true(is_planned(room));
    assert_int_not_equal(room_question(room, "job-planned-late"), 0);
}

static void a_plan_is_withdrawn_and_that_is_taken_back(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    const struct job dropped = planned(room);
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "kq-1042"));
    room_expect(room, "go", "idle", "Withdrawn: job KQ-1042 on CAPSTAN. Throw its ticket away.");
    assert_false(is_planned(room));
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "job", dropped.id, "how", "done"), FAULT_CONFLICT,
                 "was withdrawn before it began");
    (void)room_act(room, "undo", json_object());
    assert_true(is_planned(room));
    room_refuses(room, "job-drop", json_pack("{s:s}", "job", "KQ-9"), FAULT_MISSING, "no job 'KQ-9' is planned");
    (void)room_act(room, "job-start", plan("CAPSTAN", 121));
    room_refuses(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"), FAULT_CONFLICT, "runs on CAPSTAN");
}

static void a_withdrawal_is_not_taken_back_beside_a_newer_plan_or_its_job(void **state)
{
    struct room *room = *state;
    char dropped[ACT_ID_SIZE], replaced[ACT_ID_SIZE];
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    const struct job first = planned(room);
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"));
    memcpy(dropped, room->act, sizeof dropped);
    (void)room_act(room, "job-plan", plan("SEXTANT", 150));
    room_refuses(room, "undo", json_pack("{s:s}", "act", dropped), FAULT_REFUSED,
                 "job KQ-1042 was planned anew since, on SEXTANT: withdraw that plan first");
    (void)room_act(room, "job-plan", plan("HALYARD", 150)); /* in the place of the second */
    memcpy(replaced, room->act, sizeof replaced);
    (void)room_act(room, "job-plan", plan("CAPSTAN", 90));
    room_refuses(room, "undo", json_pack("{s:s}", "act", replaced), FAULT_REFUSED, "planned anew since, on CAPSTAN");
    (void)room_act(room, "job-start", plan("CAPSTAN", 90));
    room_refuses(room, "undo", json_pack("{s:s}", "act", dropped), FAULT_REFUSED,
                 "job KQ-1042 runs on CAPSTAN since: undo that first");
    (void)room_act(room, "undo", json_object());
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"));
    (void)room_act(room, "undo", json_pack("{s:s}", "act", dropped));
    assert_string_equal(planned(room).id, first.id);
}

static void its_ticket_is_ordered_with_it_and_again(void **state)
{
    struct room *room = *state;
    char place[PLACE_SIZE];
    json_t *content = plan("CAPSTAN", 121);
    json_object_set_new(content, "print", json_true());
    (void)room_act(room, "job-plan", content);
    room_expect(room, "go", "idle", "Its ticket is ordered.");
    room_expect_undo(room, "plan of job KQ-1042 (CAPSTAN)");
    print_ticket_name(planned(room).ticket, place);
    struct print print = room_print(room, "", place, 1);
    assert_string_equal(print.label_template, "job-ticket");
    assert_int_equal(print.state, PRINT_WAITING);
    (void)room_act(room, "job-ticket", json_pack("{s:s}", "job", "KQ-1042"));
    room_expect_booked(room, false); /* it waits already */
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "place", place, "number", 1, "state", "sent"));
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "place", place, "number", 1, "state", "printed"));
    (void)room_act(room, "job-ticket", json_pack("{s:s}", "job", "KQ-1042"));
    print = room_print(room, "", place, 2);
    assert_int_equal(print.state, PRINT_WAITING);
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "place", place));
    (void)room_act(room, "reprint", json_pack("{s:s}", "place", place));
    print = room_print(room, "", place, 3);
    assert_string_equal(print.label_template, "job-ticket");
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"));
    room_refuses(room, "reprint", json_pack("{s:s}", "place", place), FAULT_REFUSED, "job KQ-1042 is over");
}

static void a_plan_taken_back_takes_its_ticket_along(void **state)
{
    struct room *room = *state;
    char place[PLACE_SIZE];
    json_t *content = plan("CAPSTAN", 121);
    json_object_set_new(content, "print", json_true());
    (void)room_act(room, "job-plan", content);
    print_ticket_name(planned(room).ticket, place);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", room->act));
    assert_false(is_planned(room));
    assert_int_equal(room_print(room, "", place, 1).state, PRINT_WITHDRAWN);
}

static struct print first_ticket(struct room *room, const struct job *job)
{
    char place[PLACE_SIZE];
    print_ticket_name(job->ticket, place);
    return room_print(room, "", place, 1);
}

static void order_ticket(struct room *room)
{
    (void)room_act(room, "job-ticket", json_pack("{s:s}", "job", "KQ-1042"));
    room_expect(room, "go", "idle", "The ticket of job KQ-1042 is ordered.");
}

static void a_ticket_that_waits_is_withdrawn_with_its_plan_and_undo_lets_it_wait_again(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    const struct job first = planned(room);
    order_ticket(room);
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"));
    assert_int_equal(first_ticket(room, &first).state, PRINT_WITHDRAWN);
    (void)room_act(room, "undo", json_object());
    assert_int_equal(first_ticket(room, &first).state, PRINT_WAITING);
    (void)room_act(room, "job-plan", plan("CAPSTAN", 150)); /* in its place */
    const struct job second = planned(room);
    assert_int_equal(first_ticket(room, &first).state, PRINT_WITHDRAWN);
    char replaced[ACT_ID_SIZE];
    memcpy(replaced, room->act, sizeof replaced);
    order_ticket(room); /* by an act of its own */
    (void)room_act(room, "undo", json_pack("{s:s}", "act", replaced));
    assert_int_equal(first_ticket(room, &first).state, PRINT_WAITING);
    assert_int_equal(first_ticket(room, &second).state, PRINT_WITHDRAWN);
}

static void a_job_whose_code_no_ticket_holds_has_none(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1234567890-LONG"));
    room_refuses(room, "job-ticket", json_pack("{s:s}", "job", "KQ-1234567890-LONG"), FAULT_REFUSED,
                 "has more than 16 characters, or others than a ticket's symbol holds");
}

static void the_printer_starts_what_was_planned_and_adds_what_it_knows(void **state)
{
    struct room *room = *state;
    struct job job;
    struct job_ticket ticket;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    const struct job before = planned(room);
    (void)room_act(room, "job-start",
                   json_pack("{s:s,s:s,s:f}", "printer", "CAPSTAN", "job", "KQ-1042", "need_ml", 118.4));
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, before.id);
    assert_int_equal(job.need_ul, 118400);
    assert_false(is_planned(room));
    assert_true(job_plan_ticket(room->reader, &job, &ticket, NULL));
    assert_string_equal(ticket.resin, "Flint"); /* as it was planned: the printer did not say */
    assert_string_equal(ticket.names, "Gear housing");
    char act[ACT_ID_SIZE];
    memcpy(act, room->act, sizeof act);
    room_refuses(room, "job-start", plan("CAPSTAN", 121), FAULT_CONFLICT, "CAPSTAN runs job KQ-1042");
    (void)room_act(room, "undo", json_pack("{s:s}", "act", act));
    assert_false(room_job(room, "CAPSTAN", &job));
    assert_string_equal(planned(room).id, before.id);
    assert_int_equal(planned(room).need_ul, 121000);
    assert_int_equal(planned(room).ticket, before.ticket);
}

static void a_plan_is_for_the_job_that_runs_unnamed_on_its_printer(void **state)
{
    struct room *room = *state;
    struct job job;
    struct job_ticket ticket;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    assert_true(room_job(room, "CAPSTAN", &job));
    const struct job unnamed = job;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    const struct job before = planned(room);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, unnamed.id);
    assert_int_equal(job.need_ul, 121000);
    assert_true(job_plan_ticket(room->reader, &job, &ticket, NULL));
    assert_string_equal(ticket.resin, "Flint");
    assert_false(is_planned(room));
    (void)room_act(room, "undo", json_pack("{s:s}", "act", room->act));
    assert_string_equal(planned(room).id, before.id);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_true(job.ticket == MOVEMENT_NULL && job.code[0] == '\0');
}

/* What prints, prints: it is booked, and somebody is asked. */
static void another_printer_that_starts_it_is_a_question(void **state)
{
    struct room *room = *state;
    struct job job;
    for (int unnamed = 0; unnamed < 2; unnamed++) {
        if (unnamed) /* a job runs there that becomes the planned one */
            (void)room_act(room, "check-out",
                           json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
        (void)room_act(room, "job-plan", plan("SEXTANT", 121));
        (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
        assert_true(room_job(room, "CAPSTAN", &job));
        assert_string_equal(job.code, "KQ-1042");
        assert_false(is_planned(room));
        const int64_t question = room_question(room, "job-other-printer");
        struct question asked;
        bool found = false;
        assert_true(question_load(room->reader, question, &asked, &found, NULL));
        assert_true(found);
        assert_non_null(strstr(asked.note, "Job KQ-1042 was planned for SEXTANT, and CAPSTAN has begun to print it"));
        (void)room_act(room, "undo", json_pack("{s:s}", "act", room->act));
        assert_int_equal(room_question(room, NULL), 0);
        assert_string_equal(planned(room).machine, "SEXTANT");
    }
}

static void a_printer_that_does_not_know_the_code_starts_what_the_check_out_began(void **state)
{
    struct room *room = *state;
    struct job began, job;
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:s}", "units", room->vat_flint, "printer", "CAPSTAN", "job", "KQ-1042"));
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &began));
    (void)room_act(room, "job-start", json_pack("{s:s,s:f}", "printer", "CAPSTAN", "need_ml", 118.4));
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, began.id);
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 118400);
    room_refuses(room, "job-start", json_pack("{s:s}", "printer", "CAPSTAN"), FAULT_CONFLICT,
                 "CAPSTAN runs job KQ-1042"); /* it has said so once */
}

static void a_script_takes_things_out_for_a_planned_job(void **state)
{
    struct room *room = *state;
    struct job job;
    room_refuses(room, "check-out",
                 json_pack("{s:[s],s:s,s:s}", "units", room->vat_flint, "printer", "CAPSTAN", "job", "KQ-1042"),
                 FAULT_MISSING, "no job 'KQ-1042' is planned");
    (void)room_act(room, "job-plan", plan("CAPSTAN", 900));
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:s}", "units", room->vat_flint, "printer", "CAPSTAN", "job", "KQ-1042"));
    room_expect_reason(room, "too-little", "needs 900 ml");
    room_expect_booked(room, false);
    (void)room_act(room, "job-plan", plan("CAPSTAN", 121));
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:s}", "units", room->vat_flint, "printer", "CAPSTAN", "job", "KQ-1042"));
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_plan_runs_nowhere_and_says_what_will_be_printed),
        TEST(a_plan_names_a_printer_and_a_code_that_a_ticket_holds),
        TEST(a_resin_may_be_said_by_its_items_code_or_in_small_letters),
        TEST(a_second_plan_of_a_code_takes_the_place_of_the_first_and_undo_puts_it_back),
        TEST(a_plan_of_a_job_that_runs_is_kept_and_asked_about_unless_it_says_the_same),
        TEST(a_plan_is_withdrawn_and_that_is_taken_back),
        TEST(a_withdrawal_is_not_taken_back_beside_a_newer_plan_or_its_job),
        TEST(its_ticket_is_ordered_with_it_and_again),
        TEST(a_plan_taken_back_takes_its_ticket_along),
        TEST(a_ticket_that_waits_is_withdrawn_with_its_plan_and_undo_lets_it_wait_again),
        TEST(a_job_whose_code_no_ticket_holds_has_none),
        TEST(the_printer_starts_what_was_planned_and_adds_what_it_knows),
        TEST(a_plan_is_for_the_job_that_runs_unnamed_on_its_printer),
        TEST(another_printer_that_starts_it_is_a_question),
        TEST(a_printer_that_does_not_know_the_code_starts_what_the_check_out_began),
        TEST(a_script_takes_things_out_for_a_planned_job),
    };
    return cmocka_run_group_tests_name("desk/job_plan", tests, room_group_setup, room_group_teardown);
}

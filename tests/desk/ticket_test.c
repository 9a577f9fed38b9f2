#include "kiosk/desk/ticket.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/job_plan.h"
#include "tests/desk/room.h"

/* A job's ticket at the counter. Common practice, no source. */

static void plan(struct room *room, const char *resin, int need_ml)
{
    (void)room_act(room, "job-plan",
                   json_pack("{s:s,s:s,s:i,s:s,s:s}", "job", "KQ-1042", "printer", "CAPSTAN", "need_ml", need_ml,
                             "resin", resin, "name", "Gear housing"));
}

static struct job_label paper(const char *code)
{
    struct job_label label = {.need_ml = 0};
    assert_true(span_copy(span_of(code), label.code, sizeof label.code));
    return label;
}

static struct job_label full_paper(const char *printer, const char *resin, long need_ml)
{
    struct job_label label = paper("KQ-1042");
    assert_true(span_copy(span_of(printer), label.printer, sizeof label.printer) || printer[0] == '\0');
    assert_true(span_copy(span_of(resin), label.resin, sizeof label.resin) || resin[0] == '\0');
    label.need_ml = need_ml;
    return label;
}

static void scan(struct room *room, const struct job_label *label)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    struct fault fault = {FAULT_NONE, ""};
    if (!job_label_write(label, text, &length, &fault))
        fail_msg("%s", fault.text);
    (void)room_scan_bytes(room, text, length, "]d1");
}

static void scan_code(struct room *room, const char *code)
{
    const struct job_label label = paper(code);
    scan(room, &label);
}

static bool is_planned(struct room *room)
{
    struct job job;
    bool found = false;
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &found, NULL));
    return found;
}

static const char *ticket_text(struct room *room, const char *key)
{
    const char *text = json_string_value(json_object_get(json_object_get(room->view, "ticket"), key));
    return text ? text : "";
}

/* badge, vat, ticket: three scans, no amount's card, though the counter asks for needs */
static void a_ticket_scanned_last_closes_the_group(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "Flint", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan_code(room, "KQ-1042");
    room_expect(room, "go", "idle", "to Capstan, job KQ-1042.");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 121000);
    assert_string_equal(room_unit(room, room->vat_flint).job, job.id);
    assert_false(is_planned(room));
}

static void a_ticket_scanned_first_is_shown_and_closed_by_itself_or_by_the_printer(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "Flint", 600);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint_more, "reason", "aside"));
    scan_code(room, "KQ-1042");
    room_expect(room, NULL, "check-out", "Job KQ-1042 on Capstan: 600 ml of Flint. Scan your badge and what goes out");
    assert_string_equal(ticket_text(room, "name"), "Gear housing");
    assert_string_equal(ticket_text(room, "printer_name"), "Capstan");
    (void)room_scan(room, room->tobias);
    room_expect(room, NULL, "check-out", "Job KQ-1042 on Capstan: 600 ml of Flint. Scan what goes out for it.");
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "go", "check-out", "400 of 600 ml so far: scan the next one.");
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-out", "Scan the ticket again, or the printer.");
    scan_code(room, "KQ-1042");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 600000);
    (void)room_press(room, "UNDO");
    assert_true(is_planned(room));
    scan_code(room, "KQ-1042");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN");
    room_expect_booked(room, true);
}

static void another_resin_than_the_ticket_says_is_stopped_before_anything_leaves(void **state)
{
    struct room *room = *state;
    plan(room, "Oak", 121);
    (void)room_scan(room, room->tobias);
    scan_code(room, "KQ-1042");
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "stop", "check-out", "Job KQ-1042 is for Oak; ");
    room_expect_reason(room, "other-resin", "holds Flint");
    scan_code(room, "KQ-1042");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    assert_true(is_planned(room));
}

static void another_revision_than_the_ticket_says_is_stopped(void **state)
{
    struct room *room = *state;
    plan(room, "FLINT3", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan_code(room, "KQ-1042");
    room_expect_reason(room, "other-revision", "is for Flint revision 3");
    room_expect_booked(room, false);
}

static void what_is_in_the_printer_is_judged_by_the_ticket_too(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    plan(room, "Oak", 121);
    (void)room_scan(room, room->tobias);
    scan_code(room, "KQ-1042");
    (void)room_scan(room, room->oak);
    room_expect_reason(room, "other-resin", "in Capstan holds Flint");
}

static void too_little_for_the_ticket_is_stopped_when_the_group_is_closed(void **state)
{
    struct room *room = *state;
    plan(room, "Flint", 900);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan_code(room, "KQ-1042");
    room_expect(room, "stop", "check-out", "The job needs 900 ml; vat and cartridges of Capstan hold 400 ml");
    (void)room_scan(room, room->flint); /* the same group: now it is enough */
    room_expect_booked(room, true);
}

static void a_ticket_of_a_job_that_ends_after_the_resins_last_day_is_stopped(void **state)
{
    struct room *room = *state;
    json_t *content = json_pack("{s:s,s:s,s:o}", "job", "KQ-1042", "printer", "CAPSTAN", "ends", room_day(room, 300));
    (void)room_act(room, "job-plan", content);
    (void)room_scan(room, room->tobias);
    scan_code(room, "KQ-1042");
    (void)room_scan(room, room->flint);
    room_expect(room, "stop", "check-out", "");
    room_expect_reason(room, "expires-in-job", "");
}

static void a_ticket_nobody_told_of_is_planned_and_begun_at_once(void **state)
{
    struct room *room = *state;
    struct job job;
    const struct job_label label = full_paper("CAPSTAN", "flint", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan(room, &label);
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 121000);
    (void)room_press(room, "UNDO");
    assert_false(room_job(room, "CAPSTAN", &job));
    assert_false(is_planned(room)); /* it never was, but for this act */
    assert_string_equal(room_unit(room, room->vat_flint).printer, "");
}

static void a_ticket_that_says_too_little_is_told_so(void **state)
{
    struct room *room = *state;
    struct job_label label = full_paper("CAPSTEN", "Flint", 121);
    scan_code(room, "KQ-7");
    room_expect(room, "stop", "idle", "No job KQ-7 is planned here, and its ticket says no more than that.");
    scan(room, &label);
    room_expect(room, "stop", "idle", "names the printer CAPSTEN, which is not known here");
    label = full_paper("", "Flint", 121); /* its printer is the one that is scanned */
    (void)room_scan(room, room->tobias);
    scan(room, &label);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "CAPSTAN");
    room_expect_booked(room, true);
}

static void a_ticket_of_a_job_that_runs_stands_for_its_printer(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "Flint", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan_code(room, "KQ-1042");
    assert_true(room_job(room, "CAPSTAN", &job));
    scan_code(room, "KQ-1042");
    room_expect(room, NULL, "check-out", "Job KQ-1042 runs on CAPSTAN already: scan what else goes there.");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "YES");
    assert_string_equal(room_unit(room, room->flint).job, job.id);
}

static void a_ticket_of_a_job_that_is_over_is_thrown_away(void **state)
{
    struct room *room = *state;
    plan(room, "Flint", 121);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "failed"));
    scan_code(room, "KQ-1042");
    room_expect(room, "stop", "idle", "Job KQ-1042 is over on CAPSTAN: failed.");
    room_expect_reason(room, "job-over", "");
    plan(room, "Flint", 121);
    (void)room_act(room, "job-drop", json_pack("{s:s}", "job", "KQ-1042"));
    scan_code(room, "KQ-1042");
    room_expect(room, "stop", "idle", "Job KQ-1042 was withdrawn before it began.");
}

static void another_printer_than_the_tickets_is_asked_about(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "Flint", 121);
    (void)room_scan(room, room->tobias);
    scan_code(room, "KQ-1042");
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "HALYARD");
    room_expect_reason(room, "other-printer", "was prepared for Capstan, not for Halyard");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    assert_true(room_job(room, "HALYARD", &job));
    assert_string_equal(job.code, "KQ-1042");
    (void)room_press(room, "UNDO");
    assert_true(is_planned(room));
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &(bool){false}, NULL));
    assert_string_equal(job.machine, "CAPSTAN"); /* as it was planned */
}

static void a_job_that_still_runs_there_by_the_books_is_asked_about_and_has_ended(void **state)
{
    struct room *room = *state;
    struct job job, before;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1"));
    assert_true(room_job(room, "CAPSTAN", &before));
    plan(room, "Flint", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    scan_code(room, "KQ-1042");
    room_expect_reason(room, "job-runs", "Capstan runs job KQ-1 by the books");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    (void)room_press(room, "UNDO");
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, before.id);
    assert_true(is_planned(room));
}

static void an_unnamed_job_that_runs_there_becomes_the_tickets(void **state)
{
    struct room *room = *state;
    struct job job, before;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    assert_true(room_job(room, "CAPSTAN", &before));
    plan(room, "Flint", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    scan_code(room, "KQ-1042");
    if (!json_is_true(json_object_get(room->view, "booked")))
        (void)room_press(room, "YES");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.id, before.id);
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 121000);
    assert_false(is_planned(room));
    (void)room_press(room, "UNDO");
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "");
    assert_true(is_planned(room));
}

static void a_paper_that_is_older_than_the_plan_is_asked_about_and_the_plan_counts(void **state)
{
    struct room *room = *state;
    struct job job;
    const struct job_label label = full_paper("CAPSTAN", "Oak", 200);
    plan(room, "Flint", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan(room, &label);
    room_expect_reason(room, "ticket-old", "the newer plan counts");
    room_expect_no_reason(room, "other-resin");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 121000);
}

static void what_was_taken_all_the_same_is_booked_for_the_tickets_job(void **state)
{
    struct room *room = *state;
    struct job job;
    plan(room, "Oak", 121);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan_code(room, "KQ-1042");
    room_expect_booked(room, false);
    (void)room_press(room, "TAKEN");
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_string_equal(job.code, "KQ-1042");
    assert_int_not_equal(room_question(room, "taken"), 0);
}

static void the_scan_of_a_ticket_proves_that_it_came_out(void **state)
{
    struct room *room = *state;
    char place[PLACE_SIZE];
    struct job job;
    bool found;
    plan(room, "Flint", 121);
    (void)room_act(room, "job-ticket", json_pack("{s:s}", "job", "KQ-1042"));
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &found, NULL));
    print_ticket_name(job.ticket, place);
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "place", place, "number", 1, "state", "sent"));
    scan_code(room, "KQ-1042");
    assert_int_equal(room_print(room, "", place, 1).state, PRINT_PROVED);
}

/* Printed before the job was planned anew: it says nothing of whether the new one came out. */
static void the_scan_of_an_older_ticket_proves_nothing(void **state)
{
    struct room *room = *state;
    char place[PLACE_SIZE];
    struct job job;
    bool found;
    const struct job_label label = full_paper("CAPSTAN", "Oak", 200);
    plan(room, "Flint", 121);
    (void)room_act(room, "job-ticket", json_pack("{s:s}", "job", "KQ-1042"));
    assert_true(job_plan_find(room->reader, "KQ-1042", "", &job, &found, NULL));
    print_ticket_name(job.ticket, place);
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "place", place, "number", 1, "state", "sent"));
    scan(room, &label);
    room_expect(room, NULL, "check-out", "it was planned anew after this ticket was printed");
    assert_int_equal(room_print(room, "", place, 1).state, PRINT_SENT);
}

static void a_ticket_is_kept_by_the_counter_through_a_restart_and_let_go_by_no(void **state)
{
    struct room *room = *state;
    struct job_label label = full_paper("CAPSTAN", "Flint", 121);
    label.has_ends = true;
    assert_true(ticket_time_read(span_of("2026-03-02T18:30Z"), &label.ends, NULL));
    scan(room, &label);
    assert_string_equal(ticket_text(room, "ends_at"), "2026-03-02T18:30:00.000Z");
    room_restart(room);
    (void)room_scan(room, room->vat_flint);
    assert_string_equal(ticket_text(room, "job"), "KQ-1042");
    assert_string_equal(ticket_text(room, "ends_at"), "2026-03-02T18:30:00.000Z");
    (void)room_press(room, "NO");
    assert_true(json_is_null(json_object_get(room->view, "ticket")));
}

static void a_ticket_that_cannot_be_read_is_typed(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, "kq-1042");
    room_expect(room, "stop", "idle", "'kq-1042' is not a label of this room.");
    plan(room, "Flint", 121);
    (void)room_scan(room, "kq-1042");
    room_expect(room, NULL, "check-out", "Job KQ-1042 on Capstan");
}

static void a_ticket_does_not_count_from_a_photograph_nor_in_the_middle_of_something_else(void **state)
{
    struct room *room = *state;
    plan(room, "Flint", 121);
    (void)room_scan_picture(room, "[)>\x1e"
                                  "06\x1d"
                                  "WKQ-1042\x1e\x04");
    room_expect(room, "stop", "idle", "A ticket in a photograph does not count");
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    (void)room_scan(room, room->vat_flint);
    scan_code(room, "KQ-1042");
    room_expect(room, "ask", "check-in", "finish what you are at first");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_ticket_scanned_last_closes_the_group),
        TEST(a_ticket_scanned_first_is_shown_and_closed_by_itself_or_by_the_printer),
        TEST(another_resin_than_the_ticket_says_is_stopped_before_anything_leaves),
        TEST(another_revision_than_the_ticket_says_is_stopped),
        TEST(what_is_in_the_printer_is_judged_by_the_ticket_too),
        TEST(too_little_for_the_ticket_is_stopped_when_the_group_is_closed),
        TEST(a_ticket_of_a_job_that_ends_after_the_resins_last_day_is_stopped),
        TEST(a_ticket_nobody_told_of_is_planned_and_begun_at_once),
        TEST(a_ticket_that_says_too_little_is_told_so),
        TEST(a_ticket_of_a_job_that_runs_stands_for_its_printer),
        TEST(a_ticket_of_a_job_that_is_over_is_thrown_away),
        TEST(another_printer_than_the_tickets_is_asked_about),
        TEST(a_job_that_still_runs_there_by_the_books_is_asked_about_and_has_ended),
        TEST(an_unnamed_job_that_runs_there_becomes_the_tickets),
        TEST(a_paper_that_is_older_than_the_plan_is_asked_about_and_the_plan_counts),
        TEST(what_was_taken_all_the_same_is_booked_for_the_tickets_job),
        TEST(the_scan_of_a_ticket_proves_that_it_came_out),
        TEST(the_scan_of_an_older_ticket_proves_nothing),
        TEST(a_ticket_is_kept_by_the_counter_through_a_restart_and_let_go_by_no),
        TEST(a_ticket_that_cannot_be_read_is_typed),
        TEST(a_ticket_does_not_count_from_a_photograph_nor_in_the_middle_of_something_else),
    };
    return cmocka_run_group_tests_name("desk/ticket", tests, room_group_setup, room_group_teardown);
}

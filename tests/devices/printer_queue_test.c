#include "kiosk/devices/printer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/basics/clock.h"
#include "tests/devices/test_cups.h"
#include "tests/devices/test_printer.h"

/* Printing through a queue: a cupsd of our own in front of the demo printer, in each of its troubles. How CUPS 2.4.2
 * behaves in them is measured; what is checked is that the caller is never left with a wrong certainty. */

enum { SKIPPED = 77 };

static struct test_printer demo;
static struct test_cups cups;

static int set_up(void **state)
{
    (void)state;
    if (!test_printer_start(&demo) || !test_cups_start(&cups, TEST_CUPS_OPEN, demo.uri))
        return -1;
    setenv("CUPS_SERVER", cups.server, 1); /* stands for this machine's server; libcups looks once */
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    test_cups_stop(&cups);
    return test_printer_stop(&demo) ? 0 : -1;
}

static struct printer *open_queue(void)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer *const printer = printer_open(cups.uri, &fault);
    assert_non_null(printer);
    return printer;
}

static int send_label(const struct printer *printer, const char *name, unsigned seed)
{
    struct fault fault = {.code = FAULT_NONE};
    int job_id = 0;
    if (test_label_send(printer, NULL, name, seed, &job_id, &fault) != PRINTER_SENT)
        fail_msg("%s", fault.text);
    return job_id;
}

/* Waits until the job's reasons hold a keyword. */
static bool await_reason(const struct printer *printer, int job_id, const char *keyword)
{
    struct fault fault;
    struct printer_standing standing;
    for (int tries = 0; tries < 200; tries++) {
        if (printer_follow(printer, job_id, NULL, &standing, &fault)) {
            for (size_t i = 0; i < standing.reasons.count; i++) {
                if (strcmp(standing.reasons.list[i].keyword, keyword) == 0)
                    return true;
            }
        }
        usleep(50 * 1000);
    }
    return false;
}

/* What the printer behind the queue says itself. */
static enum printer_certainty behind(const struct printer *printer, const char *name, int64_t sent_ms)
{
    enum printer_certainty certainty = PRINTER_UNDER_WAY;
    assert_true(printer_ask_behind(printer, name, sent_ms, &certainty));
    return certainty;
}

static void prints_through(const char *uri, const char *name, unsigned seed, int printer_job_id)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    size_t length = 0, got_length = 0;
    struct printer *const printer = printer_open(uri, &fault);
    assert_non_null(printer);
    const int job_id = send_label(printer, name, seed);
    assert_true(test_printer_settle(printer, job_id, name, &standing));
    assert_int_equal(standing.state, PRINTER_JOB_COMPLETED);
    assert_int_equal(standing.certainty, PRINTER_CAME_OUT);
    assert_int_equal(behind(printer, name, clock_mono_ms()), PRINTER_CAME_OUT);
    assert_true(standing.ours);
    uint8_t *const bytes = test_label_create(399, 199, TEST_LABEL_DPI, seed, &length);
    uint8_t *const got = test_printer_document(&demo, printer_job_id, &got_length);
    assert_int_equal(got_length, length);
    assert_memory_equal(got, bytes, length);
    free(got);
    free(bytes);
    printer_close(printer);
}

static void a_label_passes_a_queue_byte_for_byte(void **state)
{
    (void)state;
    prints_through(cups.uri, "V0001236-1", 1, 1);
}

static void a_queue_is_found_by_its_name_alone(void **state)
{
    (void)state;
    prints_through("cups:label", "V0001236-2", 2, 2);
}

static void a_queue_that_is_not_there_is_not_sent(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    (void)state;
    struct printer *const printer = printer_open("cups:nosuch", &fault);
    assert_non_null(printer);
    assert_false(printer_query(printer, &facts, &fault));
    assert_int_equal(fault.code, FAULT_DEVICE);
    printer_close(printer);
}

static void a_queue_says_that_it_is_one_and_what_it_can_do(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    struct printer_media media;
    (void)state;
    struct printer *const printer = open_queue();
    if (!printer_query(printer, &facts, &fault))
        fail_msg("%s", fault.text);
    assert_true(facts.is_queue);
    assert_true(facts.accepts_raster);
    assert_true(facts.can_cancel && facts.can_list && facts.can_go && facts.can_accept);
    assert_true(facts.unscaled);
    assert_true(facts.margin_top && facts.margin_left && facts.margin_right && facts.margin_bottom);
    assert_int_equal(facts.queued, 0);
    /* the printer offers these three; CUPS does not pass them on */
    assert_true(facts.darkness.most == 0 && facts.speed_count == 0 && !facts.trackings[PRINTER_TRACKING_GAP]);
    assert_int_equal(facts.resolutions_dpi[0], 203);
    /* it does not tell what lies in the printer, but which sizes it takes */
    if (!printer_facts_media(&facts, 5000, 2500, &media, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(media.x, 5000);
    assert_int_equal(media.y, 2500);
    assert_false(printer_facts_media(&facts, 15000, 2500, &media, &fault)); /* wider than 108 mm */
    printer_close(printer);
}

static void out_of_labels_is_told_through_the_queue(void **state)
{
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_queue();
    test_printer_say(&demo, "reason", "media-empty");
    const int job_id = send_label(printer, "K0000007-1", 3);
    assert_true(await_reason(printer, job_id, "media-empty"));
    assert_int_equal(behind(printer, "K0000007-1", clock_mono_ms()), PRINTER_UNDER_WAY);
    test_printer_unsay(&demo, "reason");
    assert_true(test_printer_settle(printer, job_id, "K0000007-1", &standing));
    assert_int_equal(standing.certainty, PRINTER_CAME_OUT);
    assert_int_equal(behind(printer, "K0000007-1", clock_mono_ms()), PRINTER_CAME_OUT);
    printer_close(printer);
}

/* Switches the printer off with that label in it and on again, and waits until the queue calls it completed, which is
 * what CUPS makes of it. Returns when it was sent. */
static int64_t lose_label(const struct printer *printer, const char *name, unsigned seed, int *job_id)
{
    struct printer_standing standing;
    test_printer_say(&demo, "reason", "cover-open"); /* it has the label and has not printed it */
    const int64_t sent_ms = clock_mono_ms();
    *job_id = send_label(printer, name, seed);
    assert_true(await_reason(printer, *job_id, "cover-open"));
    assert_true(test_printer_switch_off(&demo) && test_printer_switch_on(&demo));
    assert_true(test_printer_settle(printer, *job_id, name, &standing));
    assert_int_equal(standing.state, PRINTER_JOB_COMPLETED);
    test_printer_unsay(&demo, "reason");
    return sent_ms;
}

/* The queue notes a lost label, now or a moment later, when the printer answers that it has no such job. Where its
 * question was under way as the printer went off, it calls the label completed and notes nothing: then another is lost.
 * The printer behind it tells of each. */
static void lose_until_noted(const struct printer *printer)
{
    bool noted = false;
    for (unsigned i = 1; i <= 5 && !noted; i++) {
        char name[16];
        int job_id = 0;
        (void)snprintf(name, sizeof name, "K0000008-%u", i);
        const int64_t sent_ms = lose_label(printer, name, 3 + i, &job_id);
        assert_int_equal(behind(printer, name, sent_ms), PRINTER_MAY_HAVE);
        noted = await_reason(printer, job_id, "cups-ipp-missing-job-history");
    }
    assert_true(noted);
}

static void a_printer_switched_off_with_the_label_in_it_leaves_it_unknown_though_completed(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    struct printer_facts facts;
    int job_id = 0;
    (void)state;
    struct printer *const printer = open_queue();
    lose_until_noted(printer);
    /* and the queue says so of every label from now on */
    assert_true(printer_query(printer, &facts, &fault));
    const int next = send_label(printer, "K0000016-1", 12);
    assert_true(test_printer_settle(printer, next, "K0000016-1", &standing));
    assert_int_equal(standing.certainty, PRINTER_MAY_HAVE);
    assert_int_equal(printer_standing_since(&standing, &facts.reasons), PRINTER_CAME_OUT);
    assert_int_equal(behind(printer, "K0000016-1", clock_mono_ms()), PRINTER_CAME_OUT);

    /* so of a second one that is lost the queue does not tell; its printer does */
    const int64_t second_ms = lose_label(printer, "K0000017-1", 13, &job_id);
    assert_true(printer_follow(printer, job_id, "K0000017-1", &standing, &fault));
    assert_int_equal(printer_standing_since(&standing, &facts.reasons), PRINTER_CAME_OUT);
    assert_int_equal(behind(printer, "K0000017-1", second_ms), PRINTER_MAY_HAVE);
    printer_close(printer);
}

static void of_a_label_that_its_printer_never_had_the_printer_has_no_word(void **state)
{
    enum printer_certainty certainty = PRINTER_UNDER_WAY;
    struct fault fault;
    (void)state;
    struct printer *const queue = open_queue(), *const direct = printer_open(demo.uri, &fault);
    assert_non_null(direct);
    sleep(3); /* the printer is on for longer than the label is away, and that beyond the cutting of seconds */
    assert_false(printer_ask_behind(queue, "K9999999-1", clock_mono_ms(), &certainty));
    assert_false(
        printer_ask_behind(direct, "K9999999-1", PRINTER_SENT_EARLIER, &certainty)); /* nobody is behind a printer */
    assert_int_equal(certainty, PRINTER_UNDER_WAY);
    printer_close(direct);
    printer_close(queue);
}

/* Stops the queue while the printer has the label of that job. */
static int stop_in_the_middle(const struct printer *printer, const char *name, unsigned seed)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing = {.starts_over = false};
    test_printer_say(&demo, "reason", "media-empty");
    const int job_id = send_label(printer, name, seed);
    assert_true(await_reason(printer, job_id, "media-empty"));
    assert_true(test_cups_run(&cups, "cupsdisable"));
    for (int tries = 0; tries < 100 && !standing.starts_over; tries++) {
        assert_true(printer_follow(printer, job_id, name, &standing, &fault));
        usleep(20 * 1000);
    }
    assert_true(standing.starts_over);
    assert_int_equal(standing.certainty, PRINTER_UNDER_WAY);
    test_printer_unsay(&demo, "reason");
    usleep(500 * 1000); /* now the printer finishes the label that it has */
    return job_id;
}

static void a_queue_stopped_in_mid_label_asks_before_it_prints_it_again_and_can_cancel_it(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    struct printer_facts facts;
    (void)state;
    struct printer *const printer = open_queue();
    const int job_id = stop_in_the_middle(printer, "K0000009-1", 5);
    const int before = test_printer_count(&demo);

    assert_int_equal(printer_resume(printer, PRINTER_BEGUN_ASK, &fault), PRINTER_WOULD_REPEAT);
    assert_int_equal(fault.code, FAULT_CONFLICT);
    assert_non_null(strstr(fault.text, "'K0000009-1' was being printed"));
    assert_true(printer_query(printer, &facts, &fault));
    assert_int_equal(facts.state, PRINTER_STATE_STOPPED);

    if (printer_resume(printer, PRINTER_BEGUN_CANCEL, &fault) != PRINTER_RESUMED)
        fail_msg("%s", fault.text);
    assert_true(test_printer_settle(printer, job_id, "K0000009-1", &standing));
    assert_int_equal(standing.state, PRINTER_JOB_CANCELED);
    assert_int_equal(standing.certainty, PRINTER_MAY_HAVE); /* and it did */
    const int next = send_label(printer, "K0000010-1", 6);  /* the queue goes */
    assert_true(test_printer_settle(printer, next, "K0000010-1", &standing));
    assert_int_equal(test_printer_count(&demo), before + 1);
    printer_close(printer);
}

static void a_label_let_print_again_is_told_to_have_come_out_twice(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_queue();
    const int before = test_printer_count(&demo);
    const int job_id = stop_in_the_middle(printer, "K0000011-1", 7);
    assert_int_equal(printer_resume(printer, PRINTER_BEGUN_PRINT, &fault), PRINTER_RESUMED);
    assert_true(test_printer_settle(printer, job_id, "K0000011-1", &standing));
    assert_int_equal(test_printer_count(&demo), before + 2);
    assert_int_equal(standing.certainty, PRINTER_CAME_OUT_TWICE);
    /* which the printer does not say: for it the first one was canceled */
    assert_int_equal(behind(printer, "K0000011-1", clock_mono_ms()), PRINTER_CAME_OUT);
    printer_close(printer);
}

static void a_label_that_waits_in_a_stopped_queue_is_listed_and_taken_back_for_certain(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing, list[PRINTER_JOBS_MOST];
    size_t count = 0;
    bool found = false;
    (void)state;
    struct printer *const printer = open_queue();
    const int before = test_printer_count(&demo);
    assert_true(test_cups_run(&cups, "cupsdisable"));
    const int job_id = send_label(printer, "K0000012-1", 8);
    assert_true(printer_list(printer, PRINTER_JOBS_WAITING, list, PRINTER_JOBS_MOST, &count, &fault));
    assert_int_equal(count, 1);
    assert_string_equal(list[0].name, "K0000012-1");
    assert_int_equal(list[0].state, PRINTER_JOB_PENDING);
    assert_false(list[0].starts_over);
    assert_true(printer_find(printer, "K0000012-1", &standing, &found, &fault));
    assert_true(found);
    assert_int_equal(standing.job_id, job_id);

    assert_true(printer_cancel(printer, job_id, "K0000012-2", &standing, &fault)); /* not the label of that name */
    assert_int_equal(standing.state, PRINTER_JOB_GONE);
    assert_true(printer_cancel(printer, job_id, "K0000012-1", &standing, &fault));
    assert_int_equal(standing.state, PRINTER_JOB_CANCELED);
    assert_int_equal(standing.certainty, PRINTER_DID_NOT);
    assert_int_equal(printer_resume(printer, PRINTER_BEGUN_ASK, &fault), PRINTER_RESUMED);
    usleep(1500 * 1000);
    assert_int_equal(test_printer_count(&demo), before);
    assert_true(printer_find(printer, "K9999999-1", &standing, &found, &fault));
    assert_false(found);
    printer_close(printer);
}

static void a_queue_that_takes_no_jobs_is_not_sent_and_can_be_told_to_take_them(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    int job_id = -5;
    (void)state;
    struct printer *const printer = open_queue();
    assert_true(test_cups_run(&cups, "cupsreject"));
    assert_int_equal(test_label_send(printer, NULL, "K0000013-1", 9, &job_id, &fault), PRINTER_NOT_SENT);
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_int_equal(job_id, -5);
    assert_true(printer_query(printer, &facts, &fault));
    assert_false(facts.accepts_jobs);
    assert_int_equal(printer_resume(printer, PRINTER_BEGUN_ASK, &fault), PRINTER_RESUMED);
    assert_true(printer_query(printer, &facts, &fault));
    assert_true(facts.accepts_jobs);
    printer_close(printer);
}

static void a_label_given_up_by_the_printer_behind_the_queue_may_have_come_out(void **state)
{
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_queue();
    test_printer_say(&demo, "fail", "");
    const int job_id = send_label(printer, "K0000014-1", 10);
    assert_true(test_printer_settle(printer, job_id, "K0000014-1", &standing));
    test_printer_unsay(&demo, "fail");
    /* Canceled, for CUPS; and completed in one of some twenty-five: two of its threads ask the printer, and which of
     * them hears of the end first decides. */
    assert_true(standing.state == PRINTER_JOB_COMPLETED || standing.certainty == PRINTER_MAY_HAVE);
    assert_int_equal(behind(printer, "K0000014-1", clock_mono_ms()), PRINTER_MAY_HAVE);
    printer_close(printer);
}

static void a_queue_whose_printer_is_away_prints_once_when_it_is_back(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_queue();
    const int before = test_printer_count(&demo);
    assert_true(test_printer_switch_off(&demo));
    const int job_id = send_label(printer, "K0000015-1", 11);
    usleep(2500 * 1000);
    assert_true(printer_follow(printer, job_id, "K0000015-1", &standing, &fault));
    assert_int_equal(standing.certainty, PRINTER_UNDER_WAY);
    assert_true(test_printer_switch_on(&demo));
    bool settled = false;
    for (int tries = 0; tries < 4 && !settled; tries++) /* cupsd looks for a printer again every few seconds */
        settled = test_printer_settle(printer, job_id, "K0000015-1", &standing);
    assert_true(settled);
    assert_int_equal(standing.certainty, PRINTER_CAME_OUT);
    assert_int_equal(behind(printer, "K0000015-1", clock_mono_ms()), PRINTER_CAME_OUT);
    assert_int_equal(test_printer_count(&demo), before + 1);
    printer_close(printer);
}

int main(void)
{
    if (!test_cups_is_installed())
        return SKIPPED;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_label_passes_a_queue_byte_for_byte),
        cmocka_unit_test(a_queue_is_found_by_its_name_alone),
        cmocka_unit_test(a_queue_that_is_not_there_is_not_sent),
        cmocka_unit_test(a_queue_says_that_it_is_one_and_what_it_can_do),
        cmocka_unit_test(out_of_labels_is_told_through_the_queue),
        cmocka_unit_test(a_queue_stopped_in_mid_label_asks_before_it_prints_it_again_and_can_cancel_it),
        cmocka_unit_test(a_label_let_print_again_is_told_to_have_come_out_twice),
        cmocka_unit_test(a_label_that_waits_in_a_stopped_queue_is_listed_and_taken_back_for_certain),
        cmocka_unit_test(a_queue_that_takes_no_jobs_is_not_sent_and_can_be_told_to_take_them),
        cmocka_unit_test(of_a_label_that_its_printer_never_had_the_printer_has_no_word),
        cmocka_unit_test(a_label_given_up_by_the_printer_behind_the_queue_may_have_come_out),
        cmocka_unit_test(a_queue_whose_printer_is_away_prints_once_when_it_is_back),
        cmocka_unit_test(a_printer_switched_off_with_the_label_in_it_leaves_it_unknown_though_completed),
    };
    return cmocka_run_group_tests_name("devices/printer_queue", tests, set_up, tear_down);
}

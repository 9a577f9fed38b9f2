#include "kiosk/devices/printer.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/devices/test_printer.h"
#include "tests/devices/test_process.h"

/* 50 x 25 mm at 203 dpi is 399.6 x 199.8 dots */
enum { WIDTH = 399, HEIGHT = 199, SKIPPED = 77 };

static struct test_printer demo; /* one printer for all tests: starting it takes half a second */

static struct printer_facts demo_facts; /* what it said before all of them */

static struct printer *open_demo(void)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer *const printer = printer_open(demo.uri, &fault);
    assert_non_null(printer);
    return printer;
}

static struct printer_job label_job(const uint8_t *bytes, size_t length)
{
    const struct printer_job job = {.name = "label V0001236",
                                    .bytes = bytes,
                                    .length = length,
                                    .fd = -1,
                                    .media_x = TEST_LABEL_X,
                                    .media_y = TEST_LABEL_Y,
                                    .media_name = "oe_shelf-label_50x25mm",
                                    .resolution_dpi = TEST_LABEL_DPI,
                                    .facts = &demo_facts};
    return job;
}

static enum printer_sent send_label(const struct printer *printer, unsigned seed, int *job_id, struct fault *fault)
{
    return test_label_send(printer, &demo_facts, "label V0001236", seed, job_id, fault);
}

static void tells_what_the_printer_is(void **state)
{
    struct printer_facts facts;
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    struct printer *const printer = open_demo();
    if (!printer_query(printer, &facts, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(facts.state, PRINTER_STATE_IDLE);
    assert_int_equal(facts.reasons.count, 0);
    assert_true(facts.accepts_jobs);
    assert_true(facts.accepts_raster);
    assert_true(facts.accepts_bilevel);
    assert_int_equal(facts.resolution_count, 1);
    assert_int_equal(facts.resolutions_dpi[0], 203);
    assert_int_equal(facts.media_default.x, 5000);
    assert_int_equal(facts.media_default.y, 2500);
    assert_string_equal(facts.media_default.name, "oe_shelf-label_50x25mm");
    assert_int_equal(facts.media_ready_count, 1);
    assert_int_equal(facts.media_ready[0].x, 5000);
    assert_string_equal(facts.model, "Demo label printer");
    printer_close(printer);
}

static void a_label_arrives_byte_for_byte_and_completes(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    size_t sent_length = 0, got_length = 0;
    int job_id = 0;
    (void)state;
    struct printer *const printer = open_demo();
    uint8_t *const sent = test_label_create(WIDTH, HEIGHT, TEST_LABEL_DPI, 1, &sent_length);
    const struct printer_job job = label_job(sent, sent_length);
    if (printer_send(printer, &job, &job_id, &fault) != PRINTER_SENT)
        fail_msg("%s", fault.text);
    assert_true(job_id > 0);
    assert_true(test_printer_await(printer, job_id, PRINTER_JOB_COMPLETED));
    uint8_t *const got = test_printer_document(&demo, job_id, &got_length);
    assert_int_equal(got_length, sent_length);
    assert_memory_equal(got, sent, sent_length);
    free(got);
    free(sent);
    printer_close(printer);
}

static void a_label_in_a_file_arrives_whole_whatever_was_read_of_it(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    size_t length = 0, got_length = 0;
    int job_id = 0;
    char path[] = "/tmp/label-XXXXXX";
    (void)state;
    uint8_t *const bytes = test_label_create(WIDTH + 1, HEIGHT + 1, TEST_LABEL_DPI, 2, &length);
    const int fd = mkstemp(path);
    assert_int_equal(write(fd, bytes, length), length); /* the offset now stands at the end */
    struct printer *const printer = open_demo();
    struct printer_job job = label_job(NULL, 0);
    job.fd = fd;
    if (printer_send(printer, &job, &job_id, &fault) != PRINTER_SENT)
        fail_msg("%s", fault.text);
    assert_true(test_printer_await(printer, job_id, PRINTER_JOB_COMPLETED));
    uint8_t *const got = test_printer_document(&demo, job_id, &got_length);
    assert_int_equal(got_length, length);
    assert_memory_equal(got, bytes, length);
    free(got);
    free(bytes);
    close(fd);
    unlink(path);
    printer_close(printer);
}

/* Waits until the printer reports a reason, or none. */
static bool await_reason(const struct printer *printer, const char *keyword, struct printer_facts *facts)
{
    struct fault fault = {.code = FAULT_NONE};
    for (int tries = 0; tries < 100; tries++) {
        if (printer_query(printer, facts, &fault)) {
            if (!keyword && facts->reasons.count == 0)
                return true;
            if (keyword && facts->reasons.count > 0 && strcmp(facts->reasons.list[0].keyword, keyword) == 0)
                return true;
        }
        usleep(50 * 1000);
    }
    return false;
}

static void out_of_labels_is_told_while_it_waits_and_busy_to_the_next(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    struct printer_reasons reasons;
    enum printer_job_state job_state = PRINTER_JOB_GONE;
    char words[160];
    int job_id = 0, other_id = -5;
    (void)state;
    struct printer *const printer = open_demo();
    test_printer_say(&demo, "reason", "media-empty");
    assert_int_equal(send_label(printer, 3, &job_id, &fault), PRINTER_SENT);
    assert_true(await_reason(printer, "media-empty", &facts));
    assert_int_equal(facts.reasons.list[0].severity, PRINTER_WARNING); /* as ippeveprinter reports it */
    assert_string_equal(printer_reason_say(facts.reasons.list[0].keyword, words, sizeof words),
                        "the printer is out of labels: put in a roll, then it goes on by itself");
    assert_true(printer_poll(printer, job_id, &job_state, &reasons, &fault));
    assert_int_equal(job_state, PRINTER_JOB_PROCESSING);

    assert_int_equal(send_label(printer, 4, &other_id, &fault), PRINTER_BUSY);
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_int_equal(other_id, -5);

    test_printer_unsay(&demo, "reason");
    assert_true(test_printer_await(printer, job_id, PRINTER_JOB_COMPLETED));
    assert_true(await_reason(printer, NULL, &facts));
    printer_close(printer);
}

static void a_label_given_up_by_the_printer_is_aborted(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    int job_id = 0;
    (void)state;
    struct printer *const printer = open_demo();
    test_printer_say(&demo, "fail", "");
    assert_int_equal(send_label(printer, 5, &job_id, &fault), PRINTER_SENT);
    assert_true(test_printer_await(printer, job_id, PRINTER_JOB_ABORTED));
    test_printer_unsay(&demo, "fail");
    printer_close(printer);
}

static void a_job_number_the_printer_does_not_know_is_gone(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_reasons reasons;
    enum printer_job_state job_state = PRINTER_JOB_PENDING;
    (void)state;
    struct printer *const printer = open_demo();
    assert_true(printer_poll(printer, 999999, &job_state, &reasons, &fault));
    assert_int_equal(job_state, PRINTER_JOB_GONE);
    printer_close(printer);
}

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static void a_printer_that_hangs_leaves_it_unknown_and_may_print_later(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    struct printer_reasons reasons;
    enum printer_job_state job_state;
    int job_id = 0, unknown_id = -5;
    (void)state;
    struct printer *const printer = open_demo();
    assert_int_equal(send_label(printer, 6, &job_id, &fault), PRINTER_SENT);
    assert_true(test_printer_await(printer, job_id, PRINTER_JOB_COMPLETED));

    kill(demo.printer, SIGSTOP);
    const double begin = seconds_now();
    const enum printer_sent sent = send_label(printer, 7, &unknown_id, &fault);
    const double took = seconds_now() - begin;
    const bool queried = printer_query(printer, &facts, &fault);
    const bool polled = printer_poll(printer, job_id, &job_state, &reasons, &fault);
    kill(demo.printer, SIGCONT);

    assert_int_equal(sent, PRINTER_UNKNOWN);
    assert_int_equal(unknown_id, -5);
    assert_true(took < 5.0);
    assert_false(queried);
    assert_false(polled);
    assert_int_equal(fault.code, FAULT_DEVICE);
    assert_true(test_printer_await(printer, job_id + 1, PRINTER_JOB_COMPLETED)); /* it came out after all */

    struct printer_standing standing;
    bool found = false;
    assert_true(printer_find(printer, "label V0001236", &standing, &found, &fault)); /* which is how it is known */
    assert_true(found);
    assert_int_equal(standing.certainty, PRINTER_CAME_OUT);
    printer_close(printer);
}

static void nobody_there_is_not_sent(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts = {.message = "untouched"};
    char uri[64];
    int job_id = -5;
    (void)state;
    (void)snprintf(uri, sizeof uri, "ipp://localhost:%d/ipp/print", test_process_free_port());
    struct printer *const printer = printer_open(uri, &fault);
    assert_int_equal(send_label(printer, 8, &job_id, &fault), PRINTER_NOT_SENT);
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_non_null(strstr(fault.text, "is not there"));
    assert_int_equal(job_id, -5);
    assert_false(printer_query(printer, &facts, &fault));
    assert_string_equal(facts.message, "untouched");
    printer_close(printer);
}

static void refuses_what_is_no_label_of_that_size_before_connecting(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    size_t length = 0;
    int job_id = -5;
    (void)state;
    struct printer *const printer = open_demo();
    const struct printer_job pdf = label_job((const uint8_t *)"%PDF-1.7\n", 9);
    assert_int_equal(printer_send(printer, &pdf, &job_id, &fault), PRINTER_NOT_SENT);
    assert_non_null(strstr(fault.text, "not PWG raster"));

    uint8_t *const bytes = test_label_create(WIDTH, HEIGHT, TEST_LABEL_DPI, 1, &length);
    struct printer_job job = label_job(bytes, length);
    job.resolution_dpi = 300;
    assert_int_equal(printer_send(printer, &job, &job_id, &fault), PRINTER_NOT_SENT);
    assert_non_null(strstr(fault.text, "203x203 dpi and the printer prints 300"));
    job = label_job(bytes, length);
    job.media_x = 6000;
    assert_int_equal(printer_send(printer, &job, &job_id, &fault), PRINTER_NOT_SENT);
    assert_non_null(strstr(fault.text, "the roll is 60.00x25.00 mm"));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_int_equal(job_id, -5);
    free(bytes);
    printer_close(printer);
}

static void refuses_addresses_that_are_none(void **state)
{
    static const char *const wrong[] = {
        "",         "printer",  "http://host/ipp",          "ipp:///ipp/print",        "cups:",
        "cups:a/b", "cups:a b", "ipp://u:p@host/ipp/print", "ipp://host:99999999/ipp", "socket://host"};
    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct fault fault = {.code = FAULT_NONE};
        if (printer_open(wrong[i], &fault))
            fail_msg("'%s' was taken", wrong[i]);
        assert_int_equal(fault.code, FAULT_INPUT);
    }
}

static void stopped_in_mid_job_the_demo_printer_leaves_no_process(void **state)
{
    struct test_printer own = {.port = 0};
    struct fault fault = {.code = FAULT_NONE};
    int job_id = 0;
    (void)state;
    assert_true(test_printer_start(&own));
    struct printer *const printer = printer_open(own.uri, &fault);
    test_printer_say(&own, "reason", "cover-open");
    assert_int_equal(send_label(printer, 1, &job_id, &fault), PRINTER_SENT);
    kill(own.printer, SIGSTOP); /* and it hangs, too */
    printer_close(printer);
    assert_true(test_printer_stop(&own));
}

static int start_demo(void **state)
{
    struct fault fault;
    (void)state;
    if (!test_printer_start(&demo))
        return -1;
    struct printer *const printer = printer_open(demo.uri, &fault);
    const bool known = printer && printer_query(printer, &demo_facts, &fault);
    printer_close(printer);
    return known ? 0 : -1;
}

static int stop_demo(void **state)
{
    (void)state;
    return test_printer_stop(&demo) ? 0 : -1;
}

int main(void)
{
    if (!test_process_is_installed("ippeveprinter") || !test_process_is_installed("dbus-daemon")) {
        (void)fprintf(stderr, "skipped: no ippeveprinter or dbus-daemon (packages cups-ipp-utils, dbus-daemon)\n");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tells_what_the_printer_is),
        cmocka_unit_test(a_label_arrives_byte_for_byte_and_completes),
        cmocka_unit_test(a_label_in_a_file_arrives_whole_whatever_was_read_of_it),
        cmocka_unit_test(out_of_labels_is_told_while_it_waits_and_busy_to_the_next),
        cmocka_unit_test(a_label_given_up_by_the_printer_is_aborted),
        cmocka_unit_test(a_job_number_the_printer_does_not_know_is_gone),
        cmocka_unit_test(a_printer_that_hangs_leaves_it_unknown_and_may_print_later),
        cmocka_unit_test(nobody_there_is_not_sent),
        cmocka_unit_test(refuses_what_is_no_label_of_that_size_before_connecting),
        cmocka_unit_test(refuses_addresses_that_are_none),
        cmocka_unit_test(stopped_in_mid_job_the_demo_printer_leaves_no_process),
    };
    return cmocka_run_group_tests_name("devices/printer", tests, start_demo, stop_demo);
}

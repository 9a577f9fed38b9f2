#include "kiosk/devices/printer.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/devices/test_printer.h"
#include "tests/devices/test_process.h"

/* A printer asked directly, driven into each of its states (ippeveprinter 2.4.2 through kiosk/demo-printer). */

enum { SKIPPED = 77 };

static struct test_printer demo;

static int start_demo(void **state)
{
    (void)state;
    return test_printer_start(&demo) ? 0 : -1;
}

static int stop_demo(void **state)
{
    (void)state;
    return test_printer_stop(&demo) ? 0 : -1;
}

static struct printer *open_demo(void)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer *const printer = printer_open(demo.uri, &fault);
    assert_non_null(printer);
    return printer;
}

static int send_label(const struct printer *printer, const char *name)
{
    struct fault fault = {.code = FAULT_NONE};
    int job_id = 0;
    if (test_label_send(printer, NULL, name, 1, &job_id, &fault) != PRINTER_SENT)
        fail_msg("%s", fault.text);
    return job_id;
}

static bool await_reason(const struct printer *printer, const char *keyword)
{
    struct fault fault;
    struct printer_facts facts;
    for (int tries = 0; tries < 200; tries++) {
        if (printer_query(printer, &facts, &fault) && facts.reasons.count > 0 &&
            strcmp(facts.reasons.list[0].keyword, keyword) == 0)
            return true;
        usleep(20 * 1000);
    }
    return false;
}

static void each_state_is_told_and_the_label_comes_out_once_when_it_is_over(void **state)
{
    static const char *const keywords[] = {"media-empty",         "media-needed", "media-jam", "cover-open",
                                           "marker-supply-empty", "paused",       "other"};
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_demo();
    for (size_t i = 0; i < sizeof keywords / sizeof *keywords; i++) {
        char name[32];
        (void)snprintf(name, sizeof name, "V00000%02zu-1", i);
        const int before = test_printer_count(&demo);
        test_printer_say(&demo, "reason", keywords[i]);
        const int job_id = send_label(printer, name);
        if (!await_reason(printer, keywords[i]))
            fail_msg("%s is not told", keywords[i]);
        assert_true(printer_follow(printer, job_id, name, &standing, &fault));
        assert_int_equal(standing.certainty, PRINTER_UNDER_WAY);
        assert_false(standing.starts_over);
        test_printer_unsay(&demo, "reason");
        assert_true(test_printer_settle(printer, job_id, name, &standing));
        assert_int_equal(standing.certainty, PRINTER_CAME_OUT);
        assert_int_equal(test_printer_count(&demo), before + 1);
    }
    printer_close(printer);
}

static void a_label_canceled_in_mid_job_may_have_come_out(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_demo();
    test_printer_say(&demo, "reason", "media-jam");
    const int job_id = send_label(printer, "V0000020-1");
    assert_true(await_reason(printer, "media-jam"));
    assert_true(printer_cancel(printer, job_id, "V0000020-1", &standing, &fault));
    test_printer_unsay(&demo, "reason");
    assert_true(test_printer_settle(printer, job_id, "V0000020-1", &standing));
    assert_int_equal(standing.state, PRINTER_JOB_CANCELED);
    assert_int_equal(standing.certainty, PRINTER_MAY_HAVE);
    assert_true(printer_cancel(printer, job_id, "V0000020-1", &standing, &fault)); /* once more changes nothing */
    assert_int_equal(standing.state, PRINTER_JOB_CANCELED);
    printer_close(printer);
}

static void a_label_given_up_may_have_come_out(void **state)
{
    struct printer_standing standing;
    (void)state;
    struct printer *const printer = open_demo();
    test_printer_say(&demo, "fail", "");
    const int job_id = send_label(printer, "V0000021-1");
    assert_true(test_printer_settle(printer, job_id, "V0000021-1", &standing));
    assert_int_equal(standing.state, PRINTER_JOB_ABORTED);
    assert_int_equal(standing.certainty, PRINTER_MAY_HAVE);
    test_printer_unsay(&demo, "fail");
    printer_close(printer);
}

static void a_printer_is_not_a_queue_and_cannot_be_set_going_from_here(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    (void)state;
    struct printer *const printer = open_demo();
    assert_true(printer_query(printer, &facts, &fault));
    assert_false(facts.is_queue || facts.can_go);
    assert_true(facts.can_cancel && facts.can_list);
    assert_int_equal(printer_resume(printer, PRINTER_BEGUN_ASK, &fault), PRINTER_RESUMED); /* it is not stopped */
    printer_close(printer);
}

static void after_a_restart_the_same_number_is_another_label(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    bool found = true;
    (void)state;
    assert_true(test_printer_switch_off(&demo) && test_printer_switch_on(&demo));
    struct printer *const printer = open_demo();
    test_printer_say(&demo, "reason", "cover-open");
    const int lost = send_label(printer, "V0000030-1");
    assert_int_equal(lost, 1);
    assert_true(await_reason(printer, "cover-open"));
    assert_true(test_printer_switch_off(&demo));
    test_printer_unsay(&demo, "reason");
    assert_true(test_printer_switch_on(&demo));

    assert_true(printer_follow(printer, lost, "V0000030-1", &standing, &fault));
    assert_int_equal(standing.state, PRINTER_JOB_GONE);
    assert_int_equal(standing.certainty, PRINTER_MAY_HAVE);

    const int next = send_label(printer, "V0000031-1");
    assert_int_equal(next, lost);
    assert_true(test_printer_settle(printer, next, "V0000031-1", &standing));
    assert_int_equal(standing.certainty, PRINTER_CAME_OUT);
    assert_true(printer_follow(printer, lost, "V0000030-1", &standing, &fault)); /* asked by the old name */
    assert_int_equal(standing.state, PRINTER_JOB_GONE);
    assert_int_equal(standing.certainty, PRINTER_MAY_HAVE);
    assert_true(printer_find(printer, "V0000030-1", &standing, &found, &fault));
    assert_false(found);
    printer_close(printer);
}

static void a_hanging_printer_is_left_and_a_label_is_not_sent_to_it(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing = {.job_id = -5};
    bool found = true;
    int job_id = -5;
    (void)state;
    struct printer *const printer = open_demo();
    kill(demo.printer, SIGSTOP);
    /* it is asked for its facts first, and nothing of the label has left when it does not answer */
    const enum printer_sent sent = test_label_send(printer, NULL, "V0000032-1", 1, &job_id, &fault);
    const bool canceled = printer_cancel(printer, 1, "V0000032-1", &standing, &fault);
    const bool sought = printer_find(printer, "V0000032-1", &standing, &found, &fault);
    const enum printer_resumed resumed = printer_resume(printer, PRINTER_BEGUN_ASK, &fault);
    kill(demo.printer, SIGCONT);
    assert_int_equal(sent, PRINTER_NOT_SENT);
    assert_false(canceled);
    assert_false(sought);
    assert_int_equal(resumed, PRINTER_NOT_RESUMED);
    assert_int_equal(standing.job_id, -5);
    usleep(500 * 1000);
    assert_true(printer_find(printer, "V0000032-1", &standing, &found, &fault));
    assert_false(found);
    printer_close(printer);
}

int main(void)
{
    if (!test_process_is_installed("ippeveprinter") || !test_process_is_installed("dbus-daemon")) {
        (void)fprintf(stderr, "skipped: no ippeveprinter or dbus-daemon (packages cups-ipp-utils, dbus-daemon)\n");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_state_is_told_and_the_label_comes_out_once_when_it_is_over),
        cmocka_unit_test(a_label_canceled_in_mid_job_may_have_come_out),
        cmocka_unit_test(a_label_given_up_may_have_come_out),
        cmocka_unit_test(a_printer_is_not_a_queue_and_cannot_be_set_going_from_here),
        cmocka_unit_test(after_a_restart_the_same_number_is_another_label),
        cmocka_unit_test(a_hanging_printer_is_left_and_a_label_is_not_sent_to_it),
    };
    return cmocka_run_group_tests_name("devices/printer_trouble", tests, start_demo, stop_demo);
}

#include "kiosk/devices/printer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/devices/test_cups.h"
#include "tests/devices/test_printer.h"

/* A CUPS server that asks who we are: over the network it is told nothing, over its local socket the kernel vouches. */

enum { SKIPPED = 77 };

static struct test_printer demo;
static struct test_cups strict, closed;

static int set_up(void **state)
{
    (void)state;
    if (!test_printer_start(&demo) || !test_cups_start(&strict, TEST_CUPS_STRICT, demo.uri) ||
        !test_cups_start(&closed, TEST_CUPS_CLOSED, demo.uri))
        return -1;
    setenv("CUPS_SERVER", strict.socket, 1); /* what "cups:label" means; libcups looks once */
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    test_cups_stop(&strict);
    test_cups_stop(&closed);
    return test_printer_stop(&demo) ? 0 : -1;
}

static void a_queue_that_wants_an_administrator_says_what_to_do(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    struct printer *const printer = printer_open(strict.uri, &fault);
    assert_true(test_cups_run(&strict, "cupsdisable"));
    assert_int_equal(printer_resume(printer, PRINTER_BEGUN_ASK, &fault), PRINTER_NOT_RESUMED);
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_non_null(strstr(fault.text, "lpadmin"));
    assert_non_null(strstr(fault.text, "cupsenable"));
    printer_close(printer);
}

static void over_the_local_socket_an_administrator_may_set_it_going(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    (void)state;
    struct printer *const printer = printer_open("cups:label", &fault);
    assert_true(printer_query(printer, &facts, &fault));
    assert_int_equal(facts.state, PRINTER_STATE_STOPPED); /* by the test before */
    if (printer_resume(printer, PRINTER_BEGUN_ASK, &fault) != PRINTER_RESUMED)
        fail_msg("%s", fault.text);
    assert_true(printer_query(printer, &facts, &fault));
    assert_int_equal(facts.state, PRINTER_STATE_IDLE);
    printer_close(printer);
}

static void with_the_usual_rights_a_label_is_ours_to_follow_find_and_cancel(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    bool found = false;
    int job_id = 0;
    (void)state;
    struct printer *const printer = printer_open(strict.uri, &fault);
    assert_true(test_cups_run(&strict, "cupsdisable"));
    assert_int_equal(test_label_send(printer, NULL, "V0000001-1", 1, &job_id, &fault), PRINTER_SENT);
    assert_true(printer_find(printer, "V0000001-1", &standing, &found, &fault));
    assert_true(found && standing.ours);
    assert_true(printer_cancel(printer, job_id, "V0000001-1", &standing, &fault));
    assert_int_equal(standing.certainty, PRINTER_DID_NOT);
    printer_close(printer);
}

static void a_queue_closed_to_strangers_takes_no_label_and_says_why(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    int job_id = -5;
    (void)state;
    struct printer *const printer = printer_open(closed.uri, &fault);
    assert_int_equal(test_label_send(printer, NULL, "V0000002-1", 1, &job_id, &fault), PRINTER_NOT_SENT);
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_non_null(strstr(fault.text, "without a password"));
    assert_int_equal(job_id, -5);
    printer_close(printer);
}

int main(void)
{
    if (!test_cups_is_installed())
        return SKIPPED;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_queue_that_wants_an_administrator_says_what_to_do),
        cmocka_unit_test(over_the_local_socket_an_administrator_may_set_it_going),
        cmocka_unit_test(with_the_usual_rights_a_label_is_ours_to_follow_find_and_cancel),
        cmocka_unit_test(a_queue_closed_to_strangers_takes_no_label_and_says_why),
    };
    return cmocka_run_group_tests_name("devices/printer_rights", tests, set_up, tear_down);
}

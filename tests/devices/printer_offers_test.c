#include "kiosk/devices/printer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/devices/test_printer.h"
#include "tests/devices/test_process.h"

/* What the printer is asked with a label, as the printer itself got it. */

enum { SKIPPED = 77, VALUE_SIZE = 400 };

static struct test_printer demo;
static struct printer *printer;
static struct printer_facts facts;
static uint8_t *bytes;
static size_t length;

static int set_up(void **state)
{
    struct fault fault;
    (void)state;
    bytes = test_label_create(399, 199, TEST_LABEL_DPI, 1, &length);
    if (!bytes || !test_printer_start(&demo) || !(printer = printer_open(demo.uri, &fault)))
        return -1;
    return printer_query(printer, &facts, &fault) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    printer_close(printer);
    free(bytes);
    return test_printer_stop(&demo) ? 0 : -1;
}

static struct printer_job plain_job(void)
{
    return (struct printer_job){.name = "V0000001-1",
                                .bytes = bytes,
                                .length = length,
                                .fd = -1,
                                .media_x = TEST_LABEL_X,
                                .media_y = TEST_LABEL_Y,
                                .media_name = "oe_shelf-label_50x25mm",
                                .resolution_dpi = TEST_LABEL_DPI,
                                .facts = &facts};
}

static int print(const struct printer_job *job)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_standing standing;
    int job_id = 0;
    if (printer_send(printer, job, &job_id, &fault) != PRINTER_SENT)
        fail_msg("%s", fault.text);
    assert_true(test_printer_settle(printer, job_id, job->name, &standing));
    return job_id;
}

static void the_demo_printer_tells_what_it_offers(void **state)
{
    (void)state;
    assert_int_equal(facts.darkness.least, -100);
    assert_int_equal(facts.darkness.most, 100);
    assert_int_equal(facts.darkness_steps, 30);
    assert_int_equal(facts.darkness_set, 50);
    assert_int_equal(facts.speeds[0].least, 5000);
    assert_int_equal(facts.speeds[0].most, 15000);
    assert_true(facts.trackings[PRINTER_TRACKING_GAP] && facts.trackings[PRINTER_TRACKING_MARK] &&
                facts.trackings[PRINTER_TRACKING_CONTINUOUS]);
    assert_int_equal(facts.media_ready[0].tracking, PRINTER_TRACKING_GAP);
    assert_string_equal(facts.media_ready[0].type, "labels");
    assert_true(facts.unscaled && facts.margin_top && facts.margin_bottom && facts.margin_left && facts.margin_right);
}

static void the_exact_size_is_asked_without_margin_or_scaling_and_nothing_else(void **state)
{
    char value[VALUE_SIZE];
    (void)state;
    const struct printer_job job = plain_job();
    const int job_id = print(&job);
    test_printer_asked(&demo, job_id, "MEDIA_COL", value, sizeof value);
    assert_string_equal(value, "{media-size={x-dimension=5000 y-dimension=2500} "
                               "media-size-name=oe_shelf-label_50x25mm media-bottom-margin=0 media-left-margin=0 "
                               "media-right-margin=0 media-top-margin=0}");
    test_printer_asked(&demo, job_id, "PRINT_SCALING", value, sizeof value);
    assert_string_equal(value, "none");
    test_printer_asked(&demo, job_id, "PRINTER_RESOLUTION", value, sizeof value);
    assert_string_equal(value, "203dpi");
    test_printer_asked(&demo, job_id, "PRINT_DARKNESS", value, sizeof value);
    assert_string_equal(value, "");
    test_printer_asked(&demo, job_id, "PRINT_SPEED", value, sizeof value);
    assert_string_equal(value, "");
}

static void darkness_speed_tracking_and_type_are_asked_where_offered(void **state)
{
    char value[VALUE_SIZE];
    (void)state;
    struct printer_job job = plain_job();
    job.darkness = -20;
    job.speed = 7500;
    job.tracking = PRINTER_TRACKING_MARK;
    job.media_type = "labels";
    const int job_id = print(&job);
    test_printer_asked(&demo, job_id, "PRINT_DARKNESS", value, sizeof value);
    assert_string_equal(value, "-20");
    test_printer_asked(&demo, job_id, "PRINT_SPEED", value, sizeof value);
    assert_string_equal(value, "7500");
    test_printer_asked(&demo, job_id, "MEDIA_COL", value, sizeof value);
    assert_non_null(strstr(value, "media-tracking=mark"));
    assert_non_null(strstr(value, "media-type=labels"));
}

static void what_is_not_offered_is_not_asked(void **state)
{
    char value[VALUE_SIZE];
    (void)state;
    struct printer_facts poor = {.accepts_raster = true, .accepts_jobs = true};
    struct printer_job job = plain_job();
    job.facts = &poor;
    job.darkness = -20;
    job.speed = 7500;
    job.tracking = PRINTER_TRACKING_MARK;
    job.media_type = "labels";
    job.media_name = "oe_other_40x20mm"; /* a name of another size is no help */
    const int job_id = print(&job);
    test_printer_asked(&demo, job_id, "MEDIA_COL", value, sizeof value);
    assert_string_equal(value, "{media-size={x-dimension=5000 y-dimension=2500}}");
    static const char *const silent[] = {"PRINT_DARKNESS", "PRINT_SPEED", "PRINT_SCALING", "PRINTER_RESOLUTION"};
    for (size_t i = 0; i < sizeof silent / sizeof *silent; i++) {
        test_printer_asked(&demo, job_id, silent[i], value, sizeof value);
        assert_string_equal(value, "");
    }
}

static void a_wish_outside_of_what_is_offered_is_refused_before_it_is_sent(void **state)
{
    static const struct {
        int darkness, speed;
        bool raster;
        const char *words;
    } cases[] = {
        {140, 0, true, "prints darkness -100 to 100, and 140 is asked for"},
        {0, 20000, true, "does not print 200.00 mm a second; its lowest speed is 50.00"},
        {0, 0, false, "takes no label pictures"},
    };
    (void)state;
    const int before = test_printer_count(&demo);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {.code = FAULT_NONE};
        struct printer_facts changed = facts;
        struct printer_job job = plain_job();
        int job_id = -5;
        changed.accepts_raster = cases[i].raster;
        job.facts = &changed;
        job.darkness = cases[i].darkness;
        job.speed = cases[i].speed;
        assert_int_equal(printer_send(printer, &job, &job_id, &fault), PRINTER_NOT_SENT);
        if (!strstr(fault.text, cases[i].words))
            fail_msg("%zu: %s", i, fault.text);
        assert_int_equal(job_id, -5);
    }
    assert_int_equal(test_printer_count(&demo), before);
}

int main(void)
{
    if (!test_process_is_installed("ippeveprinter") || !test_process_is_installed("dbus-daemon")) {
        (void)fprintf(stderr, "skipped: no ippeveprinter or dbus-daemon (packages cups-ipp-utils, dbus-daemon)\n");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_demo_printer_tells_what_it_offers),
        cmocka_unit_test(the_exact_size_is_asked_without_margin_or_scaling_and_nothing_else),
        cmocka_unit_test(darkness_speed_tracking_and_type_are_asked_where_offered),
        cmocka_unit_test(what_is_not_offered_is_not_asked),
        cmocka_unit_test(a_wish_outside_of_what_is_offered_is_refused_before_it_is_sent),
    };
    return cmocka_run_group_tests_name("devices/printer_offers", tests, set_up, tear_down);
}

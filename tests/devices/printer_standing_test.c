#include "kiosk/devices/printer_standing.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/devices/printer_answer.h"

/* One job as a printer would tell of it. `begun`: 1 time-at-processing is a number, 0 no-value, -1 not said. */
struct told {
    int id, state, begun, impressions;
    const char *name, *user, *reason, *queue_reason;
};

static void add_job(ipp_t *answer, const struct told *told)
{
    ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_INTEGER, "job-id", told->id);
    ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_ENUM, "job-state", told->state);
    if (told->name)
        ippAddString(answer, IPP_TAG_JOB, IPP_TAG_NAME, "job-name", NULL, told->name);
    if (told->user)
        ippAddString(answer, IPP_TAG_JOB, IPP_TAG_NAME, "job-originating-user-name", NULL, told->user);
    ippAddString(answer, IPP_TAG_JOB, IPP_TAG_KEYWORD, "job-state-reasons", NULL, told->reason ? told->reason : "none");
    if (told->queue_reason)
        ippAddString(answer, IPP_TAG_JOB, IPP_TAG_KEYWORD, "job-printer-state-reasons", NULL, told->queue_reason);
    if (told->begun == 1)
        ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_INTEGER, "time-at-processing", 5);
    else if (told->begun == 0)
        ippAddOutOfBand(answer, IPP_TAG_JOB, IPP_TAG_NOVALUE, "time-at-processing");
    if (told->impressions)
        ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_INTEGER, "job-impressions-completed", told->impressions);
}

static bool read_one(const struct told *told, struct printer_standing *standing)
{
    size_t count = 0;
    ipp_t *const answer = ippNew();
    add_job(answer, told);
    printer_standing_read(answer, standing, 1, &count);
    ippDelete(answer);
    return count == 1;
}

static void every_job_state_has_its_word(void **state)
{
    static const struct {
        int value;
        enum printer_job_state job;
    } cases[] = {{3, PRINTER_JOB_PENDING},    {4, PRINTER_JOB_PENDING},  {5, PRINTER_JOB_PROCESSING},
                 {6, PRINTER_JOB_PROCESSING}, {7, PRINTER_JOB_CANCELED}, {8, PRINTER_JOB_ABORTED},
                 {9, PRINTER_JOB_COMPLETED}}; /* RFC 8011 5.3.7 */
    struct printer_standing standing;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct told told = {.id = 4, .state = cases[i].value, .begun = -1, .reason = "job-printing"};
        assert_true(read_one(&told, &standing));
        assert_int_equal(standing.job_id, 4);
        assert_int_equal(standing.state, cases[i].job);
        assert_string_equal(standing.reasons.list[0].keyword, "job-printing");
    }
    for (int value = -1; value <= 10; value += 11) {
        const struct told told = {.id = 4, .state = value};
        assert_false(read_one(&told, &standing));
    }
    const struct told nameless = {.id = 0, .state = 9};
    assert_false(read_one(&nameless, &standing));
}

/* States and reasons as cupsd and ippeveprinter 2.4.2 gave them (printer_queue_test provokes them); what can be
 * believed is our judgement: a label that may have come out is never called lost, nor the other way round. */
static void says_how_far_each_end_can_be_believed(void **state)
{
    static const struct {
        struct told told;
        enum printer_certainty certainty;
        bool starts_over;
    } cases[] = {
        {{1, 3, 0, 0, NULL, NULL, NULL, NULL}, PRINTER_UNDER_WAY, false},
        {{1, 5, 1, 0, NULL, NULL, "job-printing", NULL}, PRINTER_UNDER_WAY, false},
        {{1, 3, 1, 1, NULL, NULL, "job-printing", "paused"}, PRINTER_UNDER_WAY, true}, /* cupsdisable in mid-job */
        {{1, 6, 1, 1, NULL, NULL, NULL, "paused"}, PRINTER_UNDER_WAY, true},
        {{1, 6, 1, 0, NULL, NULL, "printer-stopped", NULL},
         PRINTER_UNDER_WAY,
         false}, /* a printer: goes on where it was */
        {{1, 9, 1, 1, NULL, NULL, "job-completed-successfully", NULL}, PRINTER_CAME_OUT, false},
        {{1, 9, 1, 1, NULL, NULL, "processing-to-stop-point", "none"}, PRINTER_CAME_OUT, false},
        {{1, 9, 1, 2, NULL, NULL, "processing-to-stop-point", "none"}, PRINTER_CAME_OUT_TWICE, false},
        {{1, 9, 1, 1, NULL, NULL, NULL, "cups-ipp-missing-job-history"}, PRINTER_MAY_HAVE, false},
        {{1, 9, 1, 1, NULL, NULL, "job-completed-with-errors", NULL}, PRINTER_MAY_HAVE, false},
        {{1, 7, 0, 0, NULL, NULL, "job-canceled-by-user", NULL}, PRINTER_DID_NOT, false},
        {{1, 7, 1, 0, NULL, NULL, "job-canceled-by-user", NULL}, PRINTER_MAY_HAVE, false},
        {{1, 7, -1, 0, NULL, NULL, "job-canceled-by-user", NULL}, PRINTER_MAY_HAVE, false},
        {{1, 8, 1, 0, NULL, NULL, "aborted-by-system", NULL}, PRINTER_MAY_HAVE, false},
        {{1, 8, 1, 0, NULL, NULL, "document-format-error", NULL}, PRINTER_DID_NOT, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct printer_standing standing;
        assert_true(read_one(&cases[i].told, &standing));
        if (standing.certainty != cases[i].certainty || standing.starts_over != cases[i].starts_over)
            fail_msg("case %zu: certainty %d, starts over %d", i, (int)standing.certainty, (int)standing.starts_over);
    }
}

/* cupsd 2.4.2 keeps the reason for ever, also for labels that came out (printer_queue_test measures it). */
static void what_a_queue_said_already_before_a_label_says_nothing_of_it(void **state)
{
    const struct printer_reasons before = {1, {{"cups-ipp-missing-job-history", PRINTER_REPORT}}};
    const struct printer_reasons other = {1, {{"media-low", PRINTER_REPORT}}};
    struct printer_standing standing;
    (void)state;
    struct told told = {1, 9, 1, 1, NULL, NULL, NULL, "cups-ipp-missing-job-history"};
    assert_true(read_one(&told, &standing));
    assert_int_equal(printer_standing_since(&standing, &before), PRINTER_CAME_OUT);
    assert_int_equal(printer_standing_since(&standing, &other), PRINTER_MAY_HAVE);
    assert_int_equal(printer_standing_since(&standing, NULL), PRINTER_MAY_HAVE);
    told.impressions = 2;
    assert_true(read_one(&told, &standing));
    assert_int_equal(printer_standing_since(&standing, &before), PRINTER_CAME_OUT_TWICE);
    told.reason = "job-completed-with-errors"; /* of this label alone */
    assert_true(read_one(&told, &standing));
    assert_int_equal(printer_standing_since(&standing, &before), PRINTER_MAY_HAVE);
    told = (struct told){1, 7, 0, 0, NULL, NULL, NULL, "cups-ipp-missing-job-history"};
    assert_true(read_one(&told, &standing));
    assert_int_equal(printer_standing_since(&standing, &before), PRINTER_DID_NOT);
}

static void a_list_is_taken_job_by_job_and_bounded(void **state)
{
    struct printer_standing list[3];
    size_t count = 0;
    (void)state;
    ipp_t *const answer = ippNew();
    for (int i = 1; i <= 5; i++) {
        char name[16];
        (void)snprintf(name, sizeof name, "V%07d-1", i);
        const struct told told = {
            .id = i == 2 ? -7 : i, .state = 3, .name = name, .user = i == 1 ? PRINTER_USER : "guest"};
        ippAddSeparator(answer);
        add_job(answer, &told);
    }
    printer_standing_read(answer, list, 3, &count);
    ippDelete(answer);
    assert_int_equal(count, 3);
    assert_string_equal(list[0].name, "V0000001-1");
    assert_true(list[0].ours);
    assert_int_equal(list[1].job_id, 3); /* the second has a number that no job has */
    assert_false(list[1].ours);
    assert_int_equal(list[2].job_id, 4);
}

static void a_recorded_queue_tells_which_label_it_would_send_again(void **state)
{
    /* recorded from cupsd 2.4.2, see fixtures/fuzz/ipp_answer/README */
    static uint8_t bytes[PRINTER_ANSWER_MOST];
    struct printer_standing list[8];
    struct fault fault = {.code = FAULT_NONE};
    size_t count = 0;
    (void)state;
    FILE *const file = fopen(FIXTURES "/fuzz/ipp_answer/queue_jobs_waiting", "re");
    assert_non_null(file);
    const size_t length = fread(bytes, 1, sizeof bytes, file);
    (void)fclose(file);
    ipp_t *const answer = printer_answer_read(bytes, length, &fault);
    assert_non_null(answer);
    printer_standing_read(answer, list, 8, &count);
    ippDelete(answer);
    assert_int_equal(count, 2);
    assert_int_equal(list[0].job_id, 2);
    assert_true(list[0].starts_over && list[0].ours);
    assert_int_equal(list[1].job_id, 3);
    assert_false(list[1].starts_over);
}

static void attributes_of_the_wrong_kind_say_nothing(void **state)
{
    struct printer_standing standing;
    size_t count = 0;
    (void)state;
    ipp_t *const answer = ippNew();
    ippAddString(answer, IPP_TAG_JOB, IPP_TAG_KEYWORD, "job-id", NULL, "7");
    ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_INTEGER, "job-state", 9);
    ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_INTEGER, "job-name", 9);
    ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_INTEGER, "job-originating-user-name", 9);
    printer_standing_read(answer, &standing, 1, &count);
    assert_int_equal(count, 0);
    ippDelete(answer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_job_state_has_its_word),
        cmocka_unit_test(says_how_far_each_end_can_be_believed),
        cmocka_unit_test(what_a_queue_said_already_before_a_label_says_nothing_of_it),
        cmocka_unit_test(a_list_is_taken_job_by_job_and_bounded),
        cmocka_unit_test(a_recorded_queue_tells_which_label_it_would_send_again),
        cmocka_unit_test(attributes_of_the_wrong_kind_say_nothing),
    };
    return cmocka_run_group_tests_name("devices/printer_standing", tests, NULL, NULL);
}

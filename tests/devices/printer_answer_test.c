#include "kiosk/devices/printer_answer.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* Answers built attribute by attribute, as libcups would read them from the wire. */
static ipp_t *answer_new(void)
{
    ipp_t *const answer = ippNew();
    ippSetStatusCode(answer, IPP_STATUS_OK);
    return answer;
}

static void add_integer(ipp_t *answer, ipp_tag_t type, const char *name, int value)
{
    ippAddInteger(answer, IPP_TAG_PRINTER, type, name, value);
}

static void add_keyword(ipp_t *answer, const char *name, const char *value)
{
    ippAddString(answer, IPP_TAG_PRINTER, IPP_TAG_KEYWORD, name, NULL, value);
}

static void add_media(ipp_t *answer, const char *name, int x, int y)
{
    ipp_t *const size = ippNew(), *const media = ippNew();
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "x-dimension", x);
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "y-dimension", y);
    ippAddCollection(media, IPP_TAG_ZERO, "media-size", size);
    ippAddCollection(answer, IPP_TAG_PRINTER, name, media);
    ippDelete(size);
    ippDelete(media);
}

static struct printer_facts facts_of(ipp_t *answer)
{
    struct printer_facts facts;
    struct fault fault = {.code = FAULT_NONE};
    if (!printer_answer_facts(answer, &facts, &fault))
        fail_msg("%s", fault.text);
    ippDelete(answer);
    return facts;
}

static void reads_the_answer_of_a_real_printer(void **state)
{
    /* recorded from ippeveprinter 2.4.2 with label media, see fixtures/fuzz/ipp_answer/README */
    static uint8_t bytes[PRINTER_ANSWER_MOST];
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    const int fd = open(FIXTURES "/fuzz/ipp_answer/demo_printer", O_RDONLY | O_CLOEXEC);
    const ssize_t length = read(fd, bytes, sizeof bytes);
    close(fd);
    assert_true(length > 1000);
    ipp_t *const answer = printer_answer_read(bytes, (size_t)length, &fault);
    assert_non_null(answer);
    const struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.state, PRINTER_STATE_IDLE);
    assert_true(facts.accepts_raster);
    assert_int_equal(facts.resolutions_dpi[0], 203);
    assert_int_equal(facts.media_ready[0].x, 5000);

    assert_null(printer_answer_read(bytes, (size_t)length - 1, &fault)); /* cut short */
    assert_int_equal(fault.code, FAULT_DEVICE);
    assert_null(printer_answer_read(bytes, 0, &fault));
}

static void an_answer_without_a_state_is_no_printer(void **state)
{
    struct printer_facts facts = {.model = "before"};
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    ipp_t *const answer = answer_new();
    add_keyword(answer, "printer-state", "idle"); /* a keyword where an enum belongs */
    assert_false(printer_answer_facts(answer, &facts, &fault));
    assert_int_equal(fault.code, FAULT_DEVICE);
    assert_string_equal(facts.model, "before");
    ippDelete(answer);
}

static void what_a_printer_leaves_out_is_unknown(void **state)
{
    (void)state;
    ipp_t *const answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", 77);
    const struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.state, PRINTER_STATE_UNKNOWN);
    assert_false(facts.accepts_raster);
    assert_true(facts.accepts_jobs);
    assert_int_equal(facts.resolution_count, 0);
    assert_int_equal(facts.media_default.x, 0);
    assert_int_equal(facts.media_ready_count, 0);
    assert_string_equal(facts.model, "");
}

static void hostile_text_is_cleaned(void **state)
{
    static const struct {
        const char *text, *clean;
    } cases[] = {
        {"Caf\xC3\xA9 \xE6\xB4\x9B", "Caf\xC3\xA9 \xE6\xB4\x9B"},
        {"a\x1b[2Jb\n\x7f", "a?[2Jb??"},
        {"\xFF\xC3", "??"},
        {"\xC2\x85", "?"},                                    /* U+0085, a C1 control */
        {"x\xE2\x80\xAEgnp", "x?gnp"},                        /* U+202E turns the direction */
        {"\xE2\x81\xA6y\xE2\x80\x8F", "?y?"},                 /* U+2066, U+200F */
        {"\xF0\x9F\x8F\xB7 \xC0\xAF", "\xF0\x9F\x8F\xB7 ??"}, /* an overlong slash */
    };
    char clean[64];
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        printer_answer_text(cases[i].text, clean, sizeof clean);
        assert_string_equal(clean, cases[i].clean);
    }
    printer_answer_text("ab\xC3\xA9", clean, 4); /* no half character at the cut */
    assert_string_equal(clean, "ab");
    printer_answer_text(NULL, clean, sizeof clean);
    assert_string_equal(clean, "");
}

static void lists_without_end_are_bounded(void **state)
{
    (void)state;
    ipp_t *const answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_STOPPED);
    const char *many[200];
    char names[200][24];
    for (int i = 0; i < 200; i++) {
        (void)snprintf(names[i], sizeof names[i], "trouble-%d", i);
        many[i] = names[i];
    }
    ippAddStrings(answer, IPP_TAG_PRINTER, IPP_TAG_KEYWORD, "printer-state-reasons", 200, NULL, many);
    ippAddStrings(answer, IPP_TAG_PRINTER, IPP_TAG_KEYWORD, "media-ready", 200, NULL, many);
    int dpi[100];
    for (int i = 0; i < 100; i++)
        dpi[i] = 100 + i;
    ippAddResolutions(answer, IPP_TAG_PRINTER, "printer-resolution-supported", 100, IPP_RES_PER_INCH, dpi, dpi);
    const struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.state, PRINTER_STATE_STOPPED);
    assert_int_equal(facts.reasons.count, PRINTER_REASONS_MOST);
    assert_string_equal(facts.reasons.list[15].keyword, "trouble-15");
    assert_int_equal(facts.media_ready_count, PRINTER_MEDIA_MOST);
    assert_int_equal(facts.resolution_count, PRINTER_RESOLUTIONS_MOST);
}

static void resolutions_are_square_and_the_printers_choice_comes_first(void **state)
{
    (void)state;
    ipp_t *const answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    const int x[] = {203, 300, 600, 118, -1, 2147483647}, y[] = {203, 300, 300, 118, -1, 2147483647};
    ippAddResolutions(answer, IPP_TAG_PRINTER, "printer-resolution-supported", 6, IPP_RES_PER_INCH, x, y);
    ippAddResolution(answer, IPP_TAG_PRINTER, "printer-resolution-default", IPP_RES_PER_CM, 118, 118);
    const struct printer_facts facts = facts_of(answer); /* 118 dots a cm are 300 an inch */
    assert_int_equal(facts.resolution_count, 3);
    assert_int_equal(facts.resolutions_dpi[0], 300);
    assert_int_equal(facts.resolutions_dpi[1], 203);
    assert_int_equal(facts.resolutions_dpi[2], 118);
}

static void sizes_come_from_the_collection_or_else_from_the_name(void **state)
{
    (void)state;
    ipp_t *answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    add_media(answer, "media-col-default", 5000, 2500);
    add_keyword(answer, "media-default", "oe_other_40x20mm");
    add_keyword(answer, "media-ready", "oe_shelf-label_40x20mm"); /* PWG 5101.1: class, name, size */
    struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.media_default.x, 5000);
    assert_int_equal(facts.media_default.y, 2500);
    assert_int_equal(facts.media_ready[0].x, 4000);
    assert_int_equal(facts.media_ready[0].y, 2000);

    answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    add_media(answer, "media-col-default", -5, 2147483647);
    add_keyword(answer, "media-default", "roll_huge_999999x999999mm");
    facts = facts_of(answer);
    assert_int_equal(facts.media_default.x, 0);
    assert_int_equal(facts.media_default.y, 0);
}

static void every_job_state_has_its_word(void **state)
{
    static const struct {
        int value;
        enum printer_job_state job;
    } cases[] = {{3, PRINTER_JOB_PENDING},    {4, PRINTER_JOB_PENDING},  {5, PRINTER_JOB_PROCESSING},
                 {6, PRINTER_JOB_PROCESSING}, {7, PRINTER_JOB_CANCELED}, {8, PRINTER_JOB_ABORTED},
                 {9, PRINTER_JOB_COMPLETED}}; /* RFC 8011 5.3.7 */
    struct printer_reasons reasons;
    enum printer_job_state job = PRINTER_JOB_GONE;
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ipp_t *const answer = answer_new();
        ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_ENUM, "job-state", cases[i].value);
        ippAddString(answer, IPP_TAG_JOB, IPP_TAG_KEYWORD, "job-state-reasons", NULL, "job-printing");
        assert_true(printer_answer_job(answer, &job, &reasons, &fault));
        assert_int_equal(job, cases[i].job);
        assert_int_equal(reasons.count, 1);
        assert_string_equal(reasons.list[0].keyword, "job-printing");
        ippDelete(answer);
    }
    for (int value = -1; value <= 10; value += 11) {
        ipp_t *const answer = answer_new();
        ippAddInteger(answer, IPP_TAG_JOB, IPP_TAG_ENUM, "job-state", value);
        assert_false(printer_answer_job(answer, &job, &reasons, &fault));
        ippDelete(answer);
    }
    assert_int_equal(job, PRINTER_JOB_COMPLETED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_the_answer_of_a_real_printer),
        cmocka_unit_test(an_answer_without_a_state_is_no_printer),
        cmocka_unit_test(what_a_printer_leaves_out_is_unknown),
        cmocka_unit_test(hostile_text_is_cleaned),
        cmocka_unit_test(lists_without_end_are_bounded),
        cmocka_unit_test(resolutions_are_square_and_the_printers_choice_comes_first),
        cmocka_unit_test(sizes_come_from_the_collection_or_else_from_the_name),
        cmocka_unit_test(every_job_state_has_its_word),
    };
    return cmocka_run_group_tests_name("devices/printer_answer", tests, NULL, NULL);
}

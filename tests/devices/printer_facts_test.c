#include "kiosk/devices/printer_facts.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

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
    if (!printer_facts_read(answer, &facts, &fault))
        fail_msg("%s", fault.text);
    ippDelete(answer);
    return facts;
}

static void an_answer_without_a_state_is_no_printer(void **state)
{
    struct printer_facts facts = {.model = "before"};
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    ipp_t *const answer = answer_new();
    add_keyword(answer, "printer-state", "idle"); /* a keyword where an enum belongs */
    assert_false(printer_facts_read(answer, &facts, &fault));
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
    assert_string_equal(facts.behind, "");
    assert_int_equal(facts.up_seconds, -1);
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

/* A label printer as the registered names describe one (PWG's IPP registrations, IPPLABEL of 2020-02-13: names, types,
 * ranges; "gap" is no registered word of tracking, and what the attributes mean is from memory). */
static void darkness_speed_and_tracking_are_told_where_offered(void **state)
{
    static const char *const trackings[] = {"gap", "continuous", "telepathy"}, *const types[] = {"labels",
                                                                                                 "continuous"};
    (void)state;
    ipp_t *answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.darkness.least, 0);
    assert_int_equal(facts.darkness.most, 0);
    assert_int_equal(facts.darkness_set, -1);
    assert_int_equal(facts.speed_count, 0);
    assert_int_equal(facts.queued, -1);
    assert_false(facts.trackings[PRINTER_TRACKING_GAP] || facts.unscaled || facts.margin_top || facts.is_queue);

    answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    add_integer(answer, IPP_TAG_INTEGER, "print-darkness-supported", 30);
    add_integer(answer, IPP_TAG_INTEGER, "printer-darkness-configured", 50);
    ippAddRange(answer, IPP_TAG_PRINTER, "print-speed-supported", 5000, 15000);
    add_integer(answer, IPP_TAG_INTEGER, "print-speed-default", 10000);
    add_integer(answer, IPP_TAG_INTEGER, "queued-job-count", 3);
    ippAddStrings(answer, IPP_TAG_PRINTER, IPP_TAG_KEYWORD, "media-tracking-supported", 3, NULL, trackings);
    ippAddStrings(answer, IPP_TAG_PRINTER, IPP_TAG_KEYWORD, "media-type-supported", 2, NULL, types);
    facts = facts_of(answer);
    assert_int_equal(facts.darkness.least, -100);
    assert_int_equal(facts.darkness.most, 100);
    assert_int_equal(facts.darkness_steps, 30);
    assert_int_equal(facts.darkness_set, 50);
    assert_int_equal(facts.speed_count, 1);
    assert_int_equal(facts.speeds[0].least, 5000);
    assert_int_equal(facts.speeds[0].most, 15000);
    assert_int_equal(facts.speed_usual, 10000);
    assert_int_equal(facts.queued, 3);
    assert_true(facts.trackings[PRINTER_TRACKING_GAP] && facts.trackings[PRINTER_TRACKING_CONTINUOUS]);
    assert_false(facts.trackings[PRINTER_TRACKING_MARK] || facts.trackings[PRINTER_TRACKING_UNSAID]);
    assert_int_equal(facts.type_count, 2);
    assert_string_equal(facts.types[0], "labels");
}

static void nonsense_is_not_offered(void **state)
{
    (void)state;
    ipp_t *const answer = answer_new();
    const int speeds[] = {0, -5, 2147483647, 8000};
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    add_integer(answer, IPP_TAG_INTEGER, "print-darkness-supported", 1000000000);
    add_integer(answer, IPP_TAG_INTEGER, "printer-darkness-configured", -7);
    add_integer(answer, IPP_TAG_INTEGER, "queued-job-count", -1000);
    ippAddIntegers(answer, IPP_TAG_PRINTER, IPP_TAG_INTEGER, "print-speed-supported", 4, speeds);
    const struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.darkness.most, 0);
    assert_int_equal(facts.darkness_set, -1);
    assert_int_equal(facts.queued, -1);
    assert_int_equal(facts.speed_count, 1);
    assert_int_equal(facts.speeds[0].least, 8000);
}

static struct printer_facts facts_with_media(const char *name, int x, int y)
{
    ipp_t *const answer = answer_new();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    add_media(answer, "media-col-ready", x, y);
    if (name)
        add_keyword(answer, "media-ready", name);
    return facts_of(answer);
}

static void a_printer_that_lies_about_its_labels_gets_a_sentence_and_no_label(void **state)
{
    static const struct {
        const char *name;
        int x, y;
        const char *words;
    } cases[] = {
        {"oe_shelf-label_40x20mm", 5000, 2500, "calls its labels 'oe_shelf-label_40x20mm' and says they are 50.00 x"},
        {NULL, 0, 0, "a size of its labels that no label has"},
        {NULL, -5000, 2500, "a size of its labels that no label has"},
        {"custom", 1000000000, 1000000000, "a size of its labels that no label has"},
        {"oe_shelf-label_40x20mm", -1, 2147483647, "the printer holds 40.00 x 20.00 mm: put in the right roll"},
        {NULL, 4000, 2000, "the printer holds 40.00 x 20.00 mm: put in the right roll"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct printer_media media = {.x = 7};
        struct fault fault = {.code = FAULT_NONE};
        const struct printer_facts facts = facts_with_media(cases[i].name, cases[i].x, cases[i].y);
        assert_false(printer_facts_media(&facts, 5000, 2500, &media, &fault));
        if (!strstr(fault.text, cases[i].words))
            fail_msg("%zu: %s", i, fault.text);
        assert_int_equal(fault.code, FAULT_DEVICE);
        assert_int_equal(media.x, 7);
    }
}

static void the_right_roll_is_found_to_a_quarter_of_a_millimetre(void **state)
{
    struct printer_media media;
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    /* 2 x 1 inch is 50.8 x 25.4 mm */
    const struct printer_facts inches = facts_with_media("oe_2x1-label_2x1in", 5080, 2540);
    assert_true(printer_facts_media(&inches, 5080, 2540, &media, &fault));
    assert_string_equal(media.name, "oe_2x1-label_2x1in");
    assert_true(printer_facts_media(&inches, 5055, 2565, &media, &fault));
    assert_int_equal(media.x, 5080); /* as the printer has it */
    assert_false(printer_facts_media(&inches, 5054, 2540, &media, &fault));
}

static void a_strip_without_end_takes_every_length(void **state)
{
    struct printer_media media;
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    ipp_t *const answer = answer_new(), *const size = ippNew(), *const strip = ippNew();
    add_integer(answer, IPP_TAG_ENUM, "printer-state", IPP_PSTATE_IDLE);
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "x-dimension", 5000);
    ippAddInteger(size, IPP_TAG_ZERO, IPP_TAG_INTEGER, "y-dimension", 0);
    ippAddCollection(strip, IPP_TAG_ZERO, "media-size", size);
    ippAddString(strip, IPP_TAG_ZERO, IPP_TAG_KEYWORD, "media-tracking", NULL, "continuous");
    ippAddCollection(answer, IPP_TAG_PRINTER, "media-col-ready", strip);
    ippDelete(size);
    ippDelete(strip);
    const struct printer_facts facts = facts_of(answer);
    assert_int_equal(facts.media_ready[0].tracking, PRINTER_TRACKING_CONTINUOUS);
    assert_true(printer_facts_media(&facts, 5000, 7300, &media, &fault));
    assert_int_equal(media.y, 7300);
    assert_false(printer_facts_media(&facts, 6000, 7300, &media, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_without_a_state_is_no_printer),
        cmocka_unit_test(what_a_printer_leaves_out_is_unknown),
        cmocka_unit_test(lists_without_end_are_bounded),
        cmocka_unit_test(resolutions_are_square_and_the_printers_choice_comes_first),
        cmocka_unit_test(sizes_come_from_the_collection_or_else_from_the_name),
        cmocka_unit_test(darkness_speed_and_tracking_are_told_where_offered),
        cmocka_unit_test(nonsense_is_not_offered),
        cmocka_unit_test(a_printer_that_lies_about_its_labels_gets_a_sentence_and_no_label),
        cmocka_unit_test(the_right_roll_is_found_to_a_quarter_of_a_millimetre),
        cmocka_unit_test(a_strip_without_end_takes_every_length),
    };
    return cmocka_run_group_tests_name("devices/printer_facts", tests, NULL, NULL);
}

#include "labels/content/job_label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/scan.h"

#define HEAD                                                                                                           \
    "[)>\x1e"                                                                                                          \
    "06\x1d"
#define TAIL "\x1e\x04"
#define GS   "\x1d"

enum { ROUNDS = 20000 };

static struct day today(void)
{
    return calendar_day(2026, 11, 26);
}

static struct scan read_well(const char *text)
{
    struct scan scan;
    struct fault fault = {FAULT_NONE, ""};
    if (!scan_read(span_of(text), "]d1", today(), &scan, &fault))
        fail_msg("%s", fault.text);
    return scan;
}

/* ANSI MH10.8.2-2021: W work order number, 10S machine, cell or tool, P, 2P, 7Q; 23D, whose example is 200505181247 for
 * 12:47 UTC on 18 May 2005 */
static void a_ticket_is_written_with_the_published_identifiers(void **state)
{
    struct job_label label = {
        .code = "KQ-1042", .printer = "CAPSTAN", .resin = "Flint", .revision = "2", .need_ml = 121, .has_ends = true};
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    (void)state;
    assert_true(ticket_time_read(span_of("2005-05-18T13:47+01:00"), &label.ends, NULL));
    assert_true(job_label_write(&label, text, &length, NULL));
    assert_string_equal(text,
                        HEAD "WKQ-1042" GS "10SCAPSTAN" GS "PFlint" GS "2P2" GS "7Q121ML" GS "23D200505181247" TAIL);
    assert_int_equal(length, strlen(text));
}

static void a_ticket_is_read_in_any_order_and_with_its_code_alone(void **state)
{
    const struct scan scan = read_well(HEAD "23D20261126" GS "7Q121ML" GS "PFLINT-1" GS "WKQ-1042/A" TAIL);
    (void)state;
    assert_int_equal(scan.kind, SCAN_JOB);
    assert_string_equal(scan.job.code, "KQ-1042/A");
    assert_string_equal(scan.job.resin, "FLINT-1");
    assert_string_equal(scan.job.printer, "");
    assert_int_equal(scan.job.need_ml, 121);
    assert_true(scan.job.has_ends && scan.job.ends.day_only);
    assert_int_equal(scan.job.ends.day.number, today().number);
    const struct scan alone = read_well(HEAD "WKQ-1042" TAIL);
    assert_int_equal(alone.kind, SCAN_JOB);
    assert_true(!alone.job.has_ends && alone.job.need_ml == 0 && !alone.job.resin[0]);
}

static void a_work_order_among_a_makers_fields_stays_the_makers(void **state)
{
    static const char *const texts[] = {
        HEAD "WKQ-1042" GS "1PFL-1000" GS "1TL24117" TAIL, /* with a maker's item and lot */
        HEAD "WKQ-1042" GS "PFLINT-1" GS "7Q10EA" TAIL,    /* pieces: a delivery's, not a print's */
        HEAD "WOrder 17" GS "PFLINT-1" TAIL,               /* no code of ours has small letters */
        HEAD "W12345678901234567" GS "PFLINT-1" TAIL,      /* nor 17 signs */
    };
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (read_well(texts[i]).kind == SCAN_JOB)
            fail_msg("case %zu was taken for a ticket", i);
}

static void what_no_ticket_has_is_refused_by_its_name(void **state)
{
    static const struct {
        const char *text, *says;
    } cases[] = {
        {HEAD "WKQ-1042" GS "10SCapstan" TAIL, "printer 'Capstan'"},
        {HEAD "WKQ-1042" GS "10SA-VERY-LONG-PRINTER" TAIL, "printer 'A-VERY-LONG-PRINTER'"},
        {HEAD "WKQ-1042" GS "PFlint " TAIL, "resin 'Flint '"},
        {HEAD "WKQ-1042" GS "PFlint]Q1" TAIL, "resin 'Flint]Q1' does not fit"},
        {HEAD "WKQ-1042" GS "2Palpha beta" TAIL, "revision"},
        {HEAD "WKQ-1042" GS "7Q1.5ML" TAIL, "whole number"},
        {HEAD "WKQ-1042" GS "7Q0ML" TAIL, "whole number"},
        {HEAD "WKQ-1042" GS "23D2026" TAIL, "23D"},
        {HEAD "WKQ-1042" GS "23D202611262560" TAIL, "23D"},
        {HEAD "WKQ-1042" GS "23D20260230" TAIL, "2026"},
        {HEAD "WKQ-1042" GS "23D202611261830.0100" TAIL, "23D"},
        {HEAD "WKQ-1042" GS "WKQ-1043" TAIL, "W comes twice"},
        {HEAD "WKQ-1042" GS "PFlint", "no end"},
        {HEAD "WKQ-1042" GS "PFlint"
              "\x1e",
         "no end"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct scan scan = {.kind = SCAN_KINDS};
        struct fault fault = {FAULT_NONE, ""};
        if (scan_read(span_of(cases[i].text), "]d1", today(), &scan, &fault))
            fail_msg("case %zu was read", i);
        if (!strstr(fault.text, cases[i].says))
            fail_msg("case %zu: %s", i, fault.text);
        assert_int_equal(scan.kind, SCAN_KINDS);
    }
}

static uint32_t draw(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525 + 1013904223; /* common practice: a linear congruential generator */
    return (*seed >> 8) % below;
}

static void draw_text(uint32_t *seed, const char *signs, size_t most, char *text)
{
    const size_t length = 1 + draw(seed, (uint32_t)most);
    for (size_t i = 0; i < length; i++)
        text[i] = signs[draw(seed, (uint32_t)strlen(signs))];
    text[length] = '\0';
}

static struct job_label draw_label(uint32_t *seed)
{
    static const char code[] = "ABCXYZ0189./-", plain[] = "ABCXYZ0189-", words[] = "Flint 2#@[]x";
    struct job_label label = {.has_ends = draw(seed, 2)};
    draw_text(seed, code, JOB_LABEL_CODE_SIZE - 1, label.code);
    if (draw(seed, 2))
        draw_text(seed, plain, JOB_LABEL_PRINTER_SIZE - 1, label.printer);
    if (draw(seed, 2))
        draw_text(seed, words, JOB_LABEL_RESIN_SIZE - 1, label.resin);
    if (draw(seed, 2))
        draw_text(seed, words, JOB_LABEL_REVISION_SIZE - 1, label.revision);
    if (draw(seed, 2))
        label.need_ml = (long)draw(seed, JOB_LABEL_NEED_MAX + 2U);
    if (label.has_ends)
        label.ends = (struct ticket_time){.day_only = draw(seed, 2),
                                          .day = {20000 + (int32_t)draw(seed, 9000)},
                                          .minute = (int)draw(seed, 1440),
                                          .offset_minutes = 15 * (int)draw(seed, 100) - 700};
    if (label.ends.day_only)
        label.ends.minute = label.ends.offset_minutes = 0;
    return label;
}

/* Property: what is written is read the same, or nothing is written and the field is named. */
static void whatever_ticket_is_written_is_read_the_same(void **state)
{
    uint32_t seed = 26112026;
    int written = 0;
    (void)state;
    for (int i = 0; i < ROUNDS; i++) {
        const struct job_label label = draw_label(&seed);
        char text[UNIT_LABEL_TEXT_SIZE] = "";
        size_t length = 0;
        struct fault fault = {FAULT_NONE, ""};
        struct instant said = {0}, got = {0};
        if (!job_label_write(&label, text, &length, &fault)) {
            assert_non_null(strstr(fault.text, "job's ticket"));
            assert_string_equal(text, "");
            continue;
        }
        const struct scan scan = read_well(text);
        written++;
        assert_int_equal(scan.kind, SCAN_JOB);
        assert_string_equal(scan.job.code, label.code);
        assert_string_equal(scan.job.printer, label.printer);
        assert_string_equal(scan.job.resin, label.resin);
        assert_string_equal(scan.job.revision, label.revision);
        assert_int_equal(scan.job.need_ml, label.need_ml);
        assert_int_equal(scan.job.has_ends, label.has_ends);
        if (!label.has_ends)
            continue;
        assert_int_equal(ticket_time_instant(&label.ends, &said), ticket_time_instant(&scan.job.ends, &got));
        assert_int_equal(said.ms, got.ms);
        assert_true(!label.ends.day_only || label.ends.day.number == scan.job.ends.day.number);
    }
    assert_true(written > ROUNDS / 4);
}

/* A ticket cut at any byte is refused, or was only short of nothing. */
static void a_cut_at_any_byte_never_gives_another_job(void **state)
{
    static const char text[] = HEAD "WKQ-1042" GS "10SCAPSTAN" GS "7Q121ML" GS "23D202611261830" TAIL;
    (void)state;
    for (size_t length = 1; length + 1 < sizeof text; length++) {
        struct scan scan;
        if (scan_read((struct span){text, length}, "]d1", today(), &scan, NULL) && scan.kind == SCAN_JOB)
            fail_msg("cut to %zu bytes it is job %s", length, scan.job.code);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_ticket_is_written_with_the_published_identifiers),
        cmocka_unit_test(a_ticket_is_read_in_any_order_and_with_its_code_alone),
        cmocka_unit_test(a_work_order_among_a_makers_fields_stays_the_makers),
        cmocka_unit_test(what_no_ticket_has_is_refused_by_its_name),
        cmocka_unit_test(whatever_ticket_is_written_is_read_the_same),
        cmocka_unit_test(a_cut_at_any_byte_never_gives_another_job),
    };
    return cmocka_run_group_tests_name("content/job_label", tests, NULL, NULL);
}

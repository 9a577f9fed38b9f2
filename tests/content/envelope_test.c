#include "labels/content/envelope.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define RS  "\x1e"
#define GS  "\x1d"
#define EOT "\x04"

static struct envelope read_well(const char *text)
{
    struct envelope envelope = {0};
    struct fault fault = {FAULT_NONE, ""};
    if (!envelope_read(span_of(text), &envelope, &fault))
        fail_msg("%s", fault.text);
    return envelope;
}

/* ISO/IEC 15434, message header, format 06, trailer; the payload is that of ANSI MH10.8.17-2017, figure 4. */
static void splits_a_format_06_message_into_its_fields(void **state)
{
    const struct envelope envelope = read_well("[)>" RS "06" GS "18VD89536" GS "1P8902A" GS "S3122A02965" RS EOT);
    (void)state;
    assert_false(envelope.trailer_missing);
    assert_int_equal(envelope.count, 1);
    assert_int_equal(envelope.formats[0].number, 6);
    assert_int_equal(envelope.formats[0].field_count, 3);
    assert_true(span_equals(envelope.formats[0].fields[0], "18VD89536"));
    assert_true(span_equals(envelope.formats[0].fields[1], "1P8902A"));
    assert_true(span_equals(envelope.formats[0].fields[2], "S3122A02965"));
}

/* ISO/IEC 15434: a message may hold several formats. */
static void reads_two_formats_of_one_message(void **state)
{
    const struct envelope envelope = read_well("[)>" RS "06" GS "S1" GS "1TA" RS "05" GS "80040614141MH80312" RS EOT);
    (void)state;
    assert_int_equal(envelope.count, 2);
    assert_int_equal(envelope.formats[0].field_count, 2);
    assert_int_equal(envelope.formats[1].number, 5);
    assert_true(span_equals(envelope.formats[1].data, "80040614141MH80312"));
}

static void keeps_the_data_of_other_formats_whole(void **state)
{
    const struct envelope envelope = read_well("[)>" RS "07"
                                               "free text" RS "12" GS "A1" GS "B2" RS EOT);
    (void)state;
    assert_int_equal(envelope.count, 2);
    assert_int_equal(envelope.formats[0].number, 7);
    assert_int_equal(envelope.formats[0].field_count, 0);
    assert_true(span_equals(envelope.formats[0].data, "free text"));
    assert_int_equal(envelope.formats[1].field_count, 2);
}

static void empty_fields_and_a_gs_before_the_trailer_are_ignored(void **state)
{
    const struct envelope envelope = read_well("[)>" RS "06" GS GS "S1" GS GS "1TA" GS RS EOT);
    (void)state;
    assert_int_equal(envelope.formats[0].field_count, 2);
    assert_true(span_equals(envelope.formats[0].fields[1], "1TA"));
}

/* Common practice of tolerant readers, no source. */
static void a_missing_trailer_is_noted_not_refused(void **state)
{
    static const char *const texts[] = {"[)>" RS "06" GS "S1", "[)>" RS "06" GS "S1" RS, "[)>" RS "06" GS "S1" EOT};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct envelope envelope = read_well(texts[i]);
        assert_true(envelope.trailer_missing);
        assert_int_equal(envelope.formats[0].field_count, 1);
        assert_true(span_equals(envelope.formats[0].fields[0], "S1"));
    }
}

static void refuses_with_the_reason_and_leaves_the_result_alone(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"[)>06SV0001236"
         "1TRS24117B",
         "dropped or changed the separators"},
        {"[)> 06 SV0001236 1TRS24117B ", "dropped or changed the separators"},
        {"[)>06" GS "SV0001236", "dropped or changed the separators"},
        {"[)>" RS "06SV0001236" RS EOT, "dropped or changed the separators"},
        {"[)>" RS "06 SV0001236" RS EOT, "dropped or changed the separators"},
        {"[)>{RS}06{GS}SV0001236{RS}{EOT}", "dropped or changed the separators"},
        {"[)>" RS "06" GS "S1" RS EOT "[)>" RS "06" GS "S2" RS EOT, "two codes ran together"},
        {"[)>" RS "06" GS "S1[)>" RS "06" GS "S2" RS EOT, "two codes ran together"},
        {"[)>" RS "06" GS "S1" RS EOT "X", "goes on after its end"},
        {"[)>" RS "06" GS "S1" RS "X" EOT, "no format number"},
        {"[)>" RS "6" GS "S1" RS EOT, "no format number"},
        {"[)>" RS, "no format number"},
        {"[)>", "is cut"},
        {"[)" RS "06", "does not begin"},
        {"[)>" RS "07a" RS "07b" RS "07c" RS "07d" RS "07e" RS EOT, "more than 4 formats"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct envelope envelope = {.count = 77};
        struct fault fault = {FAULT_NONE, ""};
        assert_false(envelope_read(span_of(cases[i].text), &envelope, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(envelope.count, 77);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("case %zu: %s", i, fault.text);
    }
}

static void more_fields_than_the_limit_are_refused(void **state)
{
    char text[200];
    struct builder out;
    struct envelope envelope;
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    builder_init(&out, text, sizeof text);
    builder_add(&out, "[)>" RS "06");
    for (int i = 0; i < ENVELOPE_FIELDS; i++)
        builder_add(&out, GS "Z1");
    assert_true(envelope_read(span_of(text), &envelope, &fault));
    assert_int_equal(envelope.formats[0].field_count, ENVELOPE_FIELDS);
    builder_add(&out, GS "Z1");
    assert_false(envelope_read(span_of(text), &envelope, &fault));
    assert_non_null(strstr(fault.text, "more than 40 fields"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(splits_a_format_06_message_into_its_fields),
        cmocka_unit_test(reads_two_formats_of_one_message),
        cmocka_unit_test(keeps_the_data_of_other_formats_whole),
        cmocka_unit_test(empty_fields_and_a_gs_before_the_trailer_are_ignored),
        cmocka_unit_test(a_missing_trailer_is_noted_not_refused),
        cmocka_unit_test(refuses_with_the_reason_and_leaves_the_result_alone),
        cmocka_unit_test(more_fields_than_the_limit_are_refused),
    };
    return cmocka_run_group_tests_name("content/envelope", tests, NULL, NULL);
}

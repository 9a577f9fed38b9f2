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

/* ISO/IEC 15434, format 12, text element identifiers; the elements MFR and SER are from memory of the rules for marking
 * equipment (IUID). */
static void splits_a_format_12_message_at_gs(void **state)
{
    const struct envelope envelope = read_well("[)>" RS "12" GS "MFR 0CVA5" GS "SER 786950" RS EOT);
    (void)state;
    assert_int_equal(envelope.formats[0].number, 12);
    assert_int_equal(envelope.formats[0].field_count, 2);
    assert_true(span_equals(envelope.formats[0].fields[0], "MFR 0CVA5"));
    assert_true(span_equals(envelope.formats[0].fields[1], "SER 786950"));
    assert_string_equal(envelope.note, "");
}

/* ISO/IEC 15434: fields stand in the order of the message; what a repetition means is for the identifiers to say. */
static void repeated_fields_and_formats_keep_their_order(void **state)
{
    static const char *const fields[] = {"S1", "1TB", "S1", "1TA", "S2"};
    const struct envelope envelope =
        read_well("[)>" RS "06" GS "S1" GS "1TB" GS "S1" GS "1TA" GS "S2" RS "05" GS "10X" RS "06" GS "S1" RS EOT);
    (void)state;
    assert_int_equal(envelope.count, 3);
    assert_int_equal(envelope.formats[0].field_count, 5);
    for (size_t i = 0; i < 5; i++)
        assert_true(span_equals(envelope.formats[0].fields[i], fields[i]));
    assert_int_equal(envelope.formats[1].number, 5);
    assert_int_equal(envelope.formats[2].number, 6);
    assert_true(span_equals(envelope.formats[2].fields[0], "S1"));
}

/* Common practice of tolerant readers, no source. */
static void a_missing_trailer_is_noted_not_refused(void **state)
{
    static const char *const texts[] = {"[)>" RS "06" GS "S1", "[)>" RS "06" GS "S1" RS, "[)>" RS "06" GS "S1" EOT};
    static const char *const notes[] = {"(no RS EOT): its last field is taken as it stands",
                                        "(no EOT): nothing is taken to follow", "its RS: EOT is taken for the end"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct envelope envelope = read_well(texts[i]);
        assert_true(envelope.trailer_missing);
        if (!strstr(envelope.note, notes[i]))
            fail_msg("case %zu: %s", i, envelope.note);
        assert_int_equal(envelope.formats[0].field_count, 1);
        assert_true(span_equals(envelope.formats[0].fields[0], "S1"));
    }
}

/* Common practice of tolerant readers, no source: the beginning says nothing that the rest does not say again. */
static void a_missing_beginning_is_noted_when_the_rest_is_whole(void **state)
{
    static const struct {
        const char *text;
        int number;
    } cases[] = {
        {")>" RS "06" GS "S1" RS EOT, 6},
        {">" RS "05" GS "10A" RS EOT, 5},
        {RS "12" GS "SER 1" RS EOT, 12},
        {"06" GS "S1" RS EOT, 6},
        {RS "06" GS "S1" RS "05" GS "10A" RS EOT, 6},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char expected[100];
        struct builder out;
        builder_init(&out, expected, sizeof expected);
        builder_addf(&out, "beginning is missing ('[)>'): it is taken to begin with format %02d", cases[i].number);
        assert_true(envelope_is(span_of(cases[i].text)));
        const struct envelope envelope = read_well(cases[i].text);
        assert_int_equal(envelope.formats[0].number, cases[i].number);
        assert_int_equal(envelope.formats[0].field_count, 1);
        assert_false(envelope.trailer_missing);
        assert_non_null(strstr(envelope.note, expected));
    }
}

static void other_texts_are_no_messages(void **state)
{
    static const char *const texts[] = {
        "", "06", "07" GS "S1", "LOT 24117", "hello" RS "06", RS EOT "X", "10LOT" GS "17270131", RS "07" GS "text"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (envelope_is(span_of(texts[i])))
            fail_msg("case %zu", i);
}

static void refuses_with_the_reason_and_leaves_the_result_alone(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"[)>06SV0001236"
         "1TRS24117B",
         "'06SV' stands at place 4 where RS belongs: the scanner dropped or changed the separators"},
        {"[)> 06 SV0001236 1TRS24117B ", "' 06 ' stands at place 4 where RS belongs"},
        {"[)>06" GS "SV0001236", "'06<GS>S' stands at place 4 where RS belongs"},
        {"[)>" RS "06SV0001236" RS EOT, "'SV00' stands at place 7 where GS belongs"},
        {"[)>" RS "06 SV0001236" RS EOT, "' SV0' stands at place 7 where GS belongs"},
        {"[)>" RS "12\tSER 1" RS EOT, "stands at place 7 where GS belongs"},
        {"[)>" RS "06" GS "S1" RS "05|10A" RS EOT, "'|10A' stands at place 13 where GS belongs"},
        {"[)>{RS}06{GS}SV0001236{RS}{EOT}", "'{RS}' stands at place 4 where RS belongs"},
        {")>" RS "06" GS "S1" RS, "lost its beginning ('[)>') and its end"},
        {"06" GS "S1", "lost its beginning ('[)>') and its end"},
        {RS "06" GS "S1" EOT, "lost its beginning ('[)>') and its end"},
        {"S1" GS "1TA" RS EOT, "its beginning ('[)>' RS and the format) is missing"},
        {"[)" RS "06" GS "S1" RS EOT, "'[)' stands where '[)>' belongs"},
        {"\xC3\x9C=:" RS "06" GS "S1" RS EOT, "stands where '[)>' belongs: the scanner types for another keyboard"},
        {RS "06" GS "S1" RS EOT "[)>" RS "06" GS "S1" RS EOT, "two codes ran together"},
        {RS "06" GS "S1" RS EOT RS "06" GS "S1" RS EOT, "goes on after its end"},
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
        cmocka_unit_test(splits_a_format_12_message_at_gs),
        cmocka_unit_test(repeated_fields_and_formats_keep_their_order),
        cmocka_unit_test(a_missing_trailer_is_noted_not_refused),
        cmocka_unit_test(a_missing_beginning_is_noted_when_the_rest_is_whole),
        cmocka_unit_test(other_texts_are_no_messages),
        cmocka_unit_test(refuses_with_the_reason_and_leaves_the_result_alone),
        cmocka_unit_test(more_fields_than_the_limit_are_refused),
    };
    return cmocka_run_group_tests_name("content/envelope", tests, NULL, NULL);
}

#include "labels/content/unit_label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define RS  "\x1e"
#define GS  "\x1d"
#define EOT "\x04"

/* ISO/IEC 7064, MOD 37,36; the check characters were computed with an independent Python program. */
static void writes_serials_with_their_check_character(void **state)
{
    static const struct {
        char letter;
        long number;
        const char *serial;
    } cases[] = {
        {'V', 123, "V0001236"},  {'C', 4217, "C004217T"},   {'R', 42, "R0000422"},  {'V', 1, "V000001Q"},
        {'V', 12, "V000012K"},   {'V', 999999, "V9999991"}, {'V', 132, "V0001324"}, {'V', 1234, "V001234D"},
        {'C', 4271, "C004271F"}, {'V', 4217, "V0042174"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char serial[SERIAL_SIZE], letter = 0;
        long number = 0;
        assert_true(serial_write(cases[i].letter, cases[i].number, serial));
        assert_string_equal(serial, cases[i].serial);
        assert_true(serial_read(span_of(serial), &letter, &number, NULL));
        assert_int_equal(letter, cases[i].letter);
        assert_int_equal(number, cases[i].number);
    }
}

/* ISO/IEC 7064, MOD 37,36. A swap of neighbours goes unseen only in those few pairs that the modulus lets through, so
 * what is promised here are single wrong characters: none passes. */
static void one_wrong_character_never_gives_another_serial(void **state)
{
    static const char *const serials[] = {"V0001236", "C004217T", "R0000422", "V000001Q"};
    static const char characters[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    (void)state;
    for (size_t s = 0; s < sizeof serials / sizeof *serials; s++)
        for (size_t place = 0; place < strlen(serials[s]); place++)
            for (const char *c = characters; *c; c++) {
                char serial[SERIAL_SIZE], letter;
                long number;
                (void)span_copy(span_of(serials[s]), serial, sizeof serial);
                serial[place] = *c;
                if (*c != serials[s][place] && serial_read(span_of(serial), &letter, &number, NULL))
                    fail_msg("%s was taken for %s", serial, serials[s]);
            }
}

/* I and O look like 1 and 0; the five numbers were computed with an independent Python program. */
static void skips_numbers_whose_check_character_is_i_or_o(void **state)
{
    static const long skipped[] = {2, 5, 10, 13, 21};
    char serial[SERIAL_SIZE] = "old";
    size_t next = 0, count = 0;
    (void)state;
    for (long number = 1; number <= 21; number++)
        if (!serial_write('V', number, serial)) {
            assert_true(next < sizeof skipped / sizeof *skipped);
            assert_int_equal(number, skipped[next++]);
        }
    assert_int_equal(next, 5);
    for (long number = 1; number <= 20000; number++)
        count += !serial_write('C', number, serial);
    assert_in_range(count, 20000 / 18 - 100, 20000 / 18 + 100);
}

static void writes_no_serial_beyond_the_limits(void **state)
{
    char serial[SERIAL_SIZE] = "old";
    (void)state;
    assert_false(serial_write('I', 1, serial));
    assert_false(serial_write('v', 1, serial));
    assert_false(serial_write('\0', 1, serial));
    assert_false(serial_write('V', 0, serial));
    assert_false(serial_write('V', -1, serial));
    assert_false(serial_write('V', SERIAL_NUMBER_MAX + 1L, serial));
    assert_string_equal(serial, "old");
    long number = SERIAL_NUMBER_MAX;
    while (!serial_write('W', number, serial))
        number--;
    assert_int_equal(strlen(serial), SERIAL_SIZE - 1);
}

static void refuses_serials_that_are_not_ours(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"V0001237", "was misread"},    {"V0001326", "was misread"},   {"V000002I", "was misread"},
        {"V00012", "is not one of"},    {"X0001236", "is not one of"}, {"v0001236", "is not one of"},
        {"V000123 6", "is not one of"}, {"", "is not one of"},         {"V00012345678", "is not one of"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char letter = '?';
        long number = 7;
        struct fault fault = {FAULT_NONE, ""};
        assert_false(serial_read(span_of(cases[i].text), &letter, &number, &fault));
        assert_int_equal(letter, '?');
        assert_int_equal(number, 7);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("'%s': %s", cases[i].text, fault.text);
    }
}

static void knows_the_demo_range(void **state)
{
    char serial[SERIAL_SIZE];
    (void)state;
    assert_true(serial_is_demo("V9999991"));
    assert_false(serial_is_demo("V0001236"));
    assert_false(serial_is_demo("V9999992"));
    assert_false(serial_is_demo(""));
    for (long number = DEMO_NUMBER_FIRST; number < DEMO_NUMBER_FIRST + 3; number++)
        if (serial_write('C', number, serial))
            assert_true(serial_is_demo(serial));
    for (long number = DEMO_NUMBER_LAST + 1; number < DEMO_NUMBER_LAST + 4; number++)
        if (serial_write('C', number, serial))
            assert_false(serial_is_demo(serial));
}

/* ISO/IEC 15434 format 06, ANSI MH10.8.2. The same bytes came out of zint 2.11.1's, bwip-js 4.11.4's and ZXing's
 * readings of the three symbols. */
static void writes_the_bytes_that_other_encoders_were_given(void **state)
{
    static const struct {
        struct unit_label label;
        const char *text;
        size_t length;
    } cases[] = {
        {{.serial = "V0001236",
          .lot = "RS24117B",
          .has_filled = true,
          .filled = {20498},
          .has_expires = true,
          .expires = {20498 + 181}},
         "[)>" RS "06" GS "SV0001236" GS "1TRS24117B" GS "16D20260214" GS "14D20260814" RS EOT,
         53},
        {{.serial = "C004217T",
          .lot = "L24117",
          .has_filled = true,
          .filled = {20484},
          .has_expires = true,
          .expires = {20849},
          .content = 1000,
          .content_unit = "ML"},
         "[)>" RS "06" GS "SC004217T" GS "1TL24117" GS "16D20260131" GS "14D20270131" GS "7Q1000ML" RS EOT,
         60},
        {{.serial = "V0001236", .has_expires = true, .expires = {20498 + 181}},
         "[)>" RS "06" GS "SV0001236" GS "14D20260814" RS EOT,
         30},
        {{.serial = "R0000422",
          .item = "OAK-2",
          .lot = "D-0214/1",
          .own_batch = true,
          .content = 250,
          .content_unit = "ML"},
         "[)>" RS "06" GS "SR0000422" GS "POAK-2" GS "TD-0214/1" GS "7Q250ML" RS EOT,
         43},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[UNIT_LABEL_TEXT_SIZE];
        size_t length = 0;
        struct fault fault = {FAULT_NONE, ""};
        if (!unit_label_write(&cases[i].label, text, &length, &fault))
            fail_msg("case %zu: %s", i, fault.text);
        assert_string_equal(text, cases[i].text);
        assert_int_equal(length, cases[i].length);
    }
}

static void the_longest_label_fits_its_buffer(void **state)
{
    struct unit_label label = {.item = "12345678",
                               .lot = "12345678901234567890",
                               .has_filled = true,
                               .has_expires = true,
                               .filled = {20498},
                               .expires = {376199},
                               .content = 99999999,
                               .content_unit = "ML"};
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    long number = SERIAL_NUMBER_MAX;
    (void)state;
    while (!serial_write('C', number, label.serial))
        number--;
    assert_true(unit_label_write(&label, text, &length, NULL));
    assert_int_equal(strlen(text), length);
    assert_int_equal(text[length - 1], 0x04);
    assert_true(length < UNIT_LABEL_TEXT_SIZE - 1);
}

static void names_the_field_that_does_not_fit_and_writes_nothing(void **state)
{
    static const struct {
        struct unit_label label;
        const char *reason;
    } cases[] = {
        {{.serial = "V0001237"}, "'V0001237'"},
        {{.serial = ""}, "is not one of our serials"},
        {{.serial = "V0001236", .item = "oak"}, "item 'oak'"},
        {{.serial = "V0001236", .item = "A B"}, "item 'A B'"},
        {{.serial = "V0001236", .lot = "A B"}, "lot 'A B'"},
        {{.serial = "V0001236",
          .lot = "A\x1d"
                 "B"},
         "lot 'A<GS>B'"},
        {{.serial = "V0001236", .lot = "A_B", .own_batch = true}, "lot 'A_B'"},
        {{.serial = "V0001236", .lot = "L\xC3\x84"}, "lot 'L"},
        {{.serial = "V0001236", .has_filled = true, .filled = {INT32_MIN}}, "fill date"},
        {{.serial = "V0001236", .has_expires = true, .expires = {INT32_MAX}}, "expiry date"},
        {{.serial = "V0001236", .content = -1, .content_unit = "ML"}, "content -1"},
        {{.serial = "V0001236", .content = 100000000, .content_unit = "ML"}, "content 100000000"},
        {{.serial = "V0001236", .content = 5, .content_unit = "OZ"}, "unit 'OZ'"},
        {{.serial = "V0001236", .content = 5}, "unit ''"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[UNIT_LABEL_TEXT_SIZE] = "old";
        size_t length = 7;
        struct fault fault = {FAULT_NONE, ""};
        assert_false(unit_label_write(&cases[i].label, text, &length, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_string_equal(text, "old");
        assert_int_equal(length, 7);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("case %zu: %s", i, fault.text);
    }
}

/* GS1 General Specifications, AI 10: any of the set of 82; a maker's lot is carried as the maker wrote it. */
static void a_makers_lot_keeps_its_own_characters(void **state)
{
    const struct unit_label label = {.serial = "V0001236", .lot = "ab_(1)+%"};
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    (void)state;
    assert_true(unit_label_write(&label, text, &length, NULL));
    assert_non_null(strstr(text, GS "1Tab_(1)+%" RS));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_serials_with_their_check_character),
        cmocka_unit_test(one_wrong_character_never_gives_another_serial),
        cmocka_unit_test(skips_numbers_whose_check_character_is_i_or_o),
        cmocka_unit_test(writes_no_serial_beyond_the_limits),
        cmocka_unit_test(refuses_serials_that_are_not_ours),
        cmocka_unit_test(knows_the_demo_range),
        cmocka_unit_test(writes_the_bytes_that_other_encoders_were_given),
        cmocka_unit_test(the_longest_label_fits_its_buffer),
        cmocka_unit_test(names_the_field_that_does_not_fit_and_writes_nothing),
        cmocka_unit_test(a_makers_lot_keeps_its_own_characters),
    };
    return cmocka_run_group_tests_name("content/unit_label", tests, NULL, NULL);
}

#include "labels/content/sticker_teach.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/sticker_match.h"

/* Stickers of plain text follow no standard: the examples are our own invention, as the pattern's text is. Dates are
 * checked by the calendar (ISO 8601-1, Gregorian). */

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

/* Where `part` stands in the example; what it is. */
static struct sticker_mark mark(const char *example, enum sticker_part kind, const char *part, enum sticker_order order)
{
    const char *const at = strstr(example, part);
    assert_non_null(at);
    return (struct sticker_mark){.part = kind, .start = (size_t)(at - example), .length = strlen(part), .order = order};
}

static struct sticker_pattern teach_well(const char *example, const struct sticker_mark *marks, size_t count)
{
    struct sticker_pattern pattern;
    struct fault fault = {FAULT_NONE, ""};
    if (!sticker_teach(span_of(example), marks, count, today(), &pattern, &fault))
        fail_msg("%s: %s", example, fault.text);
    return pattern;
}

static struct supplier_label match_well(const struct sticker_pattern *pattern, const char *text)
{
    struct supplier_label label;
    struct fault fault = {FAULT_NONE, ""};
    if (!sticker_match(pattern, span_of(text), today(), &label, &fault))
        fail_msg("%s: %s", text, fault.text);
    return label;
}

static void assert_day(struct day day, const char *expected)
{
    char text[CALENDAR_DATE_SIZE];
    assert_string_equal(calendar_write_date(day, text), expected);
}

static const char flint[] = "FLINT-1L LOT RS24117B MADE 14.02.2026 EXP 31.01.2027 QTY 12";

static struct sticker_pattern flint_pattern(void)
{
    const struct sticker_mark marks[] = {
        mark(flint, STICKER_QUANTITY, "12", STICKER_ORDER_UNSAID),
        mark(flint, STICKER_LOT, "RS24117B", STICKER_ORDER_UNSAID),
        mark(flint, STICKER_ITEM, "FLINT-1L", STICKER_ORDER_UNSAID),
        mark(flint, STICKER_EXPIRES, "31.01.2027", STICKER_DMY),
        mark(flint, STICKER_MADE, "14.02.2026", STICKER_DMY),
    };
    struct sticker_mark ordered[5];
    memcpy(ordered, marks, sizeof marks);
    ordered[0].start = strlen(flint) - 2; /* the first "12" is not the quantity */
    return teach_well(flint, ordered, 5);
}

static void one_example_teaches_the_pattern(void **state)
{
    const struct sticker_pattern pattern = flint_pattern();
    char text[STICKER_PATTERN_SIZE];
    (void)state;
    sticker_pattern_write(&pattern, text);
    assert_string_equal(text, "item 1 to 30 of 9 A \"-\"\n"
                              "text \" LOT \"\n"
                              "lot 1 to 20 of 9 A\n"
                              "text \" MADE \"\n"
                              "made \"dd.mm.yyyy\"\n"
                              "text \" EXP \"\n"
                              "expires \"dd.mm.yyyy\"\n"
                              "text \" QTY \"\n"
                              "quantity 1 to 8 of 9\n");
    const struct supplier_label label = match_well(&pattern, flint);
    assert_string_equal(label.item, "FLINT-1L");
    assert_false(label.item_is_gtin);
    assert_string_equal(label.lot, "RS24117B");
    assert_day(label.made, "2026-02-14");
    assert_day(label.expires, "2027-01-31");
    assert_int_equal(label.count, 12);
}

static void other_stickers_may_have_parts_of_other_lengths(void **state)
{
    const struct sticker_pattern pattern = flint_pattern();
    (void)state;
    const struct supplier_label label =
        match_well(&pattern, "KELP-2-GREY LOT 7 MADE 29.02.2024 EXP 28.02.2027 QTY 1000");
    assert_string_equal(label.item, "KELP-2-GREY");
    assert_string_equal(label.lot, "7");
    assert_day(label.made, "2024-02-29");
    assert_day(label.expires, "2027-02-28");
    assert_int_equal(label.count, 1000);
}

/* The same digits are three different days; the century of two digits is that of GS1 General Specifications. */
static void the_order_of_a_date_is_the_one_stated(void **state)
{
    static const struct {
        const char *example, *date, *day;
        enum sticker_order order;
        const char *layout;
    } cases[] = {
        {"L1 05/06/07", "05/06/07", "2005-06-07", STICKER_YMD, "expires \"yy/mm/dd\""},
        {"L1 05/06/07", "05/06/07", "2007-06-05", STICKER_DMY, "expires \"dd/mm/yy\""},
        {"L1 05/06/07", "05/06/07", "2007-05-06", STICKER_MDY, "expires \"mm/dd/yy\""},
        {"L1 270131", "270131", "2027-01-31", STICKER_YMD, "expires \"yymmdd\""},
        {"L1 20270131", "20270131", "2027-01-31", STICKER_YMD, "expires \"yyyymmdd\""},
        {"L1 31012027", "31012027", "2027-01-31", STICKER_DMY, "expires \"ddmmyyyy\""},
        {"L1 1. 2. 2027", "1. 2. 2027", "2027-02-01", STICKER_DMY, "expires \"d. m. yyyy\""},
        {"L1 2027-1-31", "2027-1-31", "2027-01-31", STICKER_YMD, "expires \"yyyy-m-dd\""},
        {"L1 13/1/77", "13/1/77", "1977-01-13", STICKER_DMY, "expires \"dd/m/yy\""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[STICKER_PATTERN_SIZE];
        const struct sticker_mark date = mark(cases[i].example, STICKER_EXPIRES, cases[i].date, cases[i].order);
        const struct sticker_pattern pattern = teach_well(cases[i].example, &date, 1);
        assert_day(match_well(&pattern, cases[i].example).expires, cases[i].day);
        sticker_pattern_write(&pattern, text);
        if (!strstr(text, cases[i].layout))
            fail_msg("case %zu: %s", i, text);
    }
}

static void a_day_of_one_digit_may_have_two_elsewhere(void **state)
{
    const struct sticker_mark date = mark("EXP 1.2.2027;", STICKER_EXPIRES, "1.2.2027", STICKER_DMY);
    const struct sticker_pattern pattern = teach_well("EXP 1.2.2027;", &date, 1);
    (void)state;
    assert_day(match_well(&pattern, "EXP 28.12.2027;").expires, "2027-12-28");
    const struct sticker_mark last = mark("EXP 2027/1/1", STICKER_EXPIRES, "2027/1/1", STICKER_YMD);
    const struct sticker_pattern ends = teach_well("EXP 2027/1/1", &last, 1);
    assert_day(match_well(&ends, "EXP 2027/10/31").expires, "2027-10-31");
    assert_day(match_well(&ends, "EXP 2027/10/3").expires, "2027-10-03");
}

static void a_part_of_the_same_length_may_touch_another(void **state)
{
    static const char example[] = "KQ#L24117FLINT270131";
    const struct sticker_mark marks[] = {
        {.part = STICKER_LOT, .start = 3, .length = 6, .same_length = true},
        {.part = STICKER_ITEM, .start = 9, .length = 5},
        {.part = STICKER_EXPIRES, .start = 14, .length = 6, .order = STICKER_YMD},
    };
    const struct sticker_pattern pattern = teach_well(example, marks, 3);
    (void)state;
    const struct supplier_label label = match_well(&pattern, "KQ#M00001CHALK280229");
    assert_string_equal(label.lot, "M00001");
    assert_string_equal(label.item, "CHALK");
    assert_day(label.expires, "2028-02-29");
}

static void what_is_not_kept_may_change_and_fixed_text_may_hold_anything(void **state)
{
    static const char example[] = "\xC3\x9C\x1d"
                                  "\"A\\B\" no 00412 by jk lot 7x";
    const struct sticker_mark marks[] = {
        mark(example, STICKER_OTHER, "00412", STICKER_ORDER_UNSAID),
        mark(example, STICKER_OTHER, "jk", STICKER_ORDER_UNSAID),
        mark(example, STICKER_LOT, "7x", STICKER_ORDER_UNSAID),
    };
    struct sticker_pattern pattern = teach_well(example, marks, 3), again;
    char text[STICKER_PATTERN_SIZE];
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    sticker_pattern_write(&pattern, text);
    assert_non_null(strstr(text, "text \"\xC3\x9C\\x1D\\\"A\\\\B\\\" no \"\n"));
    if (!sticker_pattern_read(span_of(text), &again, &fault))
        fail_msg("%s", fault.text);
    assert_string_equal(match_well(&again, "\xC3\x9C\x1d"
                                           "\"A\\B\" no 7 by abc lot 8y9")
                            .lot,
                        "8y9");
}

static void examples_that_leave_something_open_are_refused(void **state)
{
    static const struct {
        const char *example;
        struct sticker_mark marks[3];
        size_t count;
        const char *reason;
    } cases[] = {
        {"LOT 24117FLINT",
         {{.part = STICKER_LOT, .start = 4, .length = 5}, {.part = STICKER_ITEM, .start = 9, .length = 5}},
         2,
         "nothing stands between the lot and the item"},
        {"L 24117 1.2.2027",
         {{.part = STICKER_LOT, .start = 2, .length = 5},
          {.part = STICKER_QUANTITY, .start = 8, .length = 1},
          {.part = STICKER_EXPIRES, .start = 8, .length = 8, .order = STICKER_DMY}},
         3,
         "overlap"},
        {"L 241171.2.2027",
         {{.part = STICKER_LOT, .start = 2, .length = 5},
          {.part = STICKER_EXPIRES, .start = 7, .length = 8, .order = STICKER_DMY}},
         2,
         "nothing stands between the lot and the expiry date"},
        {"KQ A-1-B-2",
         {{.part = STICKER_LOT, .start = 3, .length = 3}, {.part = STICKER_ITEM, .start = 7, .length = 3}},
         2,
         "two ways: nothing tells where the lot ends"},
        {"LOT 1",
         {{.part = STICKER_LOT, .start = 4, .length = 1}, {.part = STICKER_LOT, .start = 0, .length = 3}},
         2,
         "the lot is there twice"},
        {"24117", {{.part = STICKER_LOT, .start = 0, .length = 5}}, 1, "no fixed text"},
        {"LOT 24117", {{.part = STICKER_OTHER, .start = 4, .length = 5}}, 1, "keeps nothing"},
        {"LOT 24117", {{.part = STICKER_TEXT, .start = 0, .length = 4}}, 1, "point at item"},
        {"LOT 24117", {{.part = STICKER_LOT}}, 0, "keeps nothing"},
        {"LOT 24117", {{.part = STICKER_LOT, .start = 4, .length = 6}}, 1, "not inside the example"},
        {"LOT 24117", {{.part = STICKER_LOT, .start = 10, .length = 1}}, 1, "not inside the example"},
        {"LOT 24117", {{.part = STICKER_LOT, .start = 4, .length = SIZE_MAX}}, 1, "not inside the example"},
        {"LOT 24117", {{.part = STICKER_LOT, .start = 4, .length = 0}}, 1, "not inside the example"},
        {"LOT 24117", {{.part = STICKER_LOT, .start = 3, .length = 6}}, 1, "begins or ends with a blank"},
        {"LOT \xC3\x9C"
         "1",
         {{.part = STICKER_LOT, .start = 4, .length = 3}},
         1,
         "place 5"},
        {"L\xC3\x9C"
         "1",
         {{.part = STICKER_LOT, .start = 2, .length = 2}},
         1,
         "place 3"},
        {"LOT 123456789012345678901", {{.part = STICKER_LOT, .start = 4, .length = 21}}, 1, "at most 20"},
        {"QTY 12.5", {{.part = STICKER_QUANTITY, .start = 4, .length = 4}}, 1, "digits only"},
        {"QTY 0", {{.part = STICKER_QUANTITY, .start = 4, .length = 1}}, 1, "quantity is 0"},
        {"EXP 310127", {{.part = STICKER_EXPIRES, .start = 4, .length = 6}}, 1, "in which order"},
        {"EXP 310127",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 6, .order = STICKER_MDY}},
         1,
         "'310127', read as mmddyy, is no day that exists"},
        {"EXP 30.02.2027",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 10, .order = STICKER_DMY}},
         1,
         "no day that exists"},
        {"EXP 31.01.2027",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 10, .order = STICKER_YMD}},
         1,
         "no date of the order ymd"},
        {"EXP 31 JAN 2027",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 11, .order = STICKER_DMY}},
         1,
         "no date of the order dmy in digits"},
        {"EXP 01/2027",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 7, .order = STICKER_DMY}},
         1,
         "no date of the order dmy in digits"},
        {"EXP 1.2.3.2027",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 10, .order = STICKER_DMY}},
         1,
         "no date of the order dmy in digits"},
        {"EXP x1.2.2027",
         {{.part = STICKER_EXPIRES, .start = 4, .length = 9, .order = STICKER_DMY}},
         1,
         "no layout of a date"},
        {"", {{.part = STICKER_LOT}}, 1, "not 1 to 256 bytes of text"},
        {"\xFF LOT 1", {{.part = STICKER_LOT, .start = 6, .length = 1}}, 1, "not 1 to 256 bytes of text"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sticker_pattern pattern = {.count = 77};
        struct fault fault = {FAULT_NONE, ""};
        if (sticker_teach(span_of(cases[i].example), cases[i].marks, cases[i].count, today(), &pattern, &fault))
            fail_msg("case %zu was taught", i);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(pattern.count, 77);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("case %zu: %s", i, fault.text);
    }
}

static void a_sticker_that_does_not_match_is_told_where(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"FLINT-1L LAT RS24117B MADE 14.02.2026 EXP 31.01.2027 QTY 12",
         "place 11: 'AT RS24117B ' stands where this belongs: 'OT ' of the text ' LOT '"},
        {"FLINT-1L LOT RS24117/B MADE 14.02.2026 EXP 31.01.2027 QTY 12",
         "place 21: '/B MADE 14.0' stands where this belongs: ' MADE ', or more of the lot (digits, capital letters; 1 "
         "to 20 of them)"},
        {"FLINT-1L LOT RS24117B MADE 14.02.26 EXP 31.01.2027 QTY 12", "the date of making as dd.mm.yyyy"},
        {"FLINT-1L LOT RS24117B MADE 14.02.2026 EXP 31.01.2027 QTY 12 OF 24",
         "place 60: ' OF 24' stands where this belongs: the end, or more of the quantity (digits; 1 to 8 of them)"},
        {"FLINT-1L LOT RS24117B MADE 14.02.2026", "ends before place 38, where this belongs: ' EXP '"},
        {"FLINT-1L LOT 123456789012345678901 MADE 14.02.2026 EXP 31.01.2027 QTY 12", "place 34: '1 MADE 14.02'"},
        {"flint",
         "place 1: 'flint' stands where this belongs: the item (digits, capital letters, '-'; 1 to 30 of them)"},
        {"", "ends before place 1"},
        {"FLINT-1L LOT RS24117B MADE 14.02.2026 EXP 31.02.2027 QTY 12",
         "the expiry date '31.02.2027', read as dd.mm.yyyy, is no day that exists"},
        {"FLINT-1L LOT RS24117B MADE 00.02.2026 EXP 28.02.2027 QTY 12", "the date of making '00.02.2026'"},
        {"FLINT-1L LOT RS24117B MADE 14.02.2026 EXP 28.13.2027 QTY 12", "no day that exists"},
        {"FLINT-1L LOT RS24117B MADE 14.02.1026 EXP 28.12.2027 QTY 12", "no day that exists"},
        {"FLINT-1L LOT RS24117B MADE 14.02.2026 EXP 31.01.2027 QTY 00", "quantity is 0"},
    };
    const struct sticker_pattern pattern = flint_pattern();
    char longest[STICKER_BYTES + 2];
    struct fault fault = {FAULT_NONE, ""};
    struct supplier_label label = {.lot = "old"};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        if (sticker_match(&pattern, span_of(cases[i].text), today(), &label, &fault))
            fail_msg("case %zu matched", i);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_string_equal(label.lot, "old");
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("case %zu: %s", i, fault.text);
    }
    memset(longest, 'A', sizeof longest);
    assert_false(sticker_match(&pattern, (struct span){longest, STICKER_BYTES + 1}, today(), &label, &fault));
    assert_non_null(strstr(fault.text, "at most 256"));
}

static void a_sticker_of_two_readings_is_refused(void **state)
{
    static const char example[] = "KQ A-1;B";
    const struct sticker_mark marks[] = {
        mark(example, STICKER_ITEM, "A-1", STICKER_ORDER_UNSAID),
        mark(example, STICKER_LOT, "B", STICKER_ORDER_UNSAID),
    };
    struct sticker_pattern pattern = teach_well(example, marks, 2);
    struct supplier_label label;
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    assert_false(sticker_match(&pattern, span_of("KQ A;1;B"), today(), &label, &fault)); /* ';' is in no part */
    assert_true(sticker_pattern_read(
        span_of("text \"KQ \"\nitem 1 to 30 of 9 A \";\"\ntext \";\"\nlot 1 to 20 of 9 A \";\""), &pattern, &fault));
    assert_string_equal(match_well(&pattern, "KQ A;1").item, "A");
    assert_false(sticker_match(&pattern, span_of("KQ A;1;B"), today(), &label, &fault));
    assert_non_null(strstr(fault.text, "two ways: nothing tells where the item ends"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_example_teaches_the_pattern),
        cmocka_unit_test(other_stickers_may_have_parts_of_other_lengths),
        cmocka_unit_test(the_order_of_a_date_is_the_one_stated),
        cmocka_unit_test(a_day_of_one_digit_may_have_two_elsewhere),
        cmocka_unit_test(a_part_of_the_same_length_may_touch_another),
        cmocka_unit_test(what_is_not_kept_may_change_and_fixed_text_may_hold_anything),
        cmocka_unit_test(examples_that_leave_something_open_are_refused),
        cmocka_unit_test(a_sticker_that_does_not_match_is_told_where),
        cmocka_unit_test(a_sticker_of_two_readings_is_refused),
    };
    return cmocka_run_group_tests_name("content/sticker_teach", tests, NULL, NULL);
}

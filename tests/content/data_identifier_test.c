#include "labels/content/data_identifier.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/data_identifier_table.h"

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

/* ANSI MH10.8.2: none to three digits and one capital letter. */
static void splits_identifier_and_value(void **state)
{
    static const struct {
        const char *field, *name, *value;
        bool known;
    } cases[] = {
        {"SV0001236", "S", "V0001236", true},
        {"1TRS24117B", "1T", "RS24117B", true},
        {"30S1", "30S", "1", true},
        {"999Zx", "999Z", "x", false},
        {"J1", "J", "1", false},
        {"1Plower case", "1P", "lower case", true},
        {"18VD89536", "18V", "D89536", true},
        {"25S0614141MH80312", "25S", "0614141MH80312", true},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct data_field field;
        struct fault fault = {FAULT_NONE, ""};
        if (!data_identifier_read(span_of(cases[i].field), today(), &field, &fault))
            fail_msg("%s: %s", cases[i].field, fault.text);
        assert_string_equal(field.name, cases[i].name);
        assert_true(span_equals(field.value, cases[i].value));
        assert_int_equal(field.kind != NULL, cases[i].known);
        assert_false(field.has_day);
    }
}

/* ANSI MH10.8.2, category 4 (date); ordinal dates ISO 8601-1: 2026-02-14 is day 045, computed with Python. Date D with
 * day 00: securPharm coding rules. */
static void reads_dates_in_every_order(void **state)
{
    static const struct {
        const char *field, *date;
        bool was_00;
    } cases[] = {
        {"14D20260814", "2026-08-14", false}, {"15D14082026", "2026-08-14", false},
        {"16D20260214", "2026-02-14", false}, {"17D14022026", "2026-02-14", false},
        {"25D20270228", "2027-02-28", false}, {"20D28022027", "2027-02-28", false},
        {"D270200", "2027-02-28", true},      {"D270131", "2027-01-31", false},
        {"1D310127", "2027-01-31", false},    {"2D013127", "2027-01-31", false},
        {"5D270131036", "2027-01-31", false}, {"6D20270131094", "2027-01-31", false},
        {"12D20270131", "2027-01-31", false}, {"4D26045", "2026-02-14", false},
        {"4D24060", "2024-02-29", false},     {"4D24366", "2024-12-31", false},
        {"4D26365", "2026-12-31", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct data_field field;
        struct fault fault = {FAULT_NONE, ""};
        char text[CALENDAR_DATE_SIZE];
        if (!data_identifier_read(span_of(cases[i].field), today(), &field, &fault))
            fail_msg("%s: %s", cases[i].field, fault.text);
        assert_true(field.has_day);
        assert_string_equal(calendar_write_date(field.day, text), cases[i].date);
        assert_int_equal(field.day_was_00, cases[i].was_00);
    }
}

/* A decade or a week alone is no day; 18D, 19D and 22D are times of a radio tag, not label dates (ANSI MH10.8.2). */
static void dates_that_leave_something_open_give_no_day(void **state)
{
    static const char *const fields[] = {"3D6045",          "10D2653",         "11D202653", "18D202601010930",
                                         "19D202402292359", "22D202601010000", "9Dany"};
    (void)state;
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        struct data_field field;
        struct fault fault = {FAULT_NONE, ""};
        if (!data_identifier_read(span_of(fields[i]), today(), &field, &fault))
            fail_msg("%s: %s", fields[i], fault.text);
        assert_false(field.has_day);
    }
}

/* ISO 8601-1, week 1 holds the first Thursday; computed with Python's date.isocalendar: 2005-01-01 = 2004-W53-6,
 * 2010-01-03 = 2009-W53-7, 2021-01-03 = 2020-W53-7, 2026-12-31 = 2026-W53-4; 2008-12-29 = 2009-W01-1, 2024-12-30 =
 * 2025-W01-1, 2025-12-29 = 2026-W01-1, 2028-12-31 = 2028-W52-7. */
static void a_week_53_is_taken_in_years_that_have_one(void **state)
{
    static const char *const taken[] = {"11D200453", "11D200953", "11D202053", "11D202653", "10D2653", "10D0453"};
    static const char *const refused[] = {"11D200853", "11D202453", "11D202553", "11D202853", "10D2553", "10D2853"};
    (void)state;
    for (size_t i = 0; i < sizeof taken / sizeof *taken; i++) {
        struct data_field field;
        struct fault fault = {FAULT_NONE, ""};
        if (!data_identifier_read(span_of(taken[i]), today(), &field, &fault))
            fail_msg("%s: %s", taken[i], fault.text);
        if (data_identifier_read(span_of(refused[i]), today(), &field, &fault))
            fail_msg("%s was taken", refused[i]);
        assert_non_null(strstr(fault.text, "has weeks 01 to 52"));
    }
}

static void refuses_with_the_reason_and_leaves_the_result_alone(void **state)
{
    static const struct {
        const char *field, *reason;
    } cases[] = {
        {"sv0001236", "does not begin with a data identifier"},
        {"1tLOT", "does not begin with a data identifier"},
        {"1234S1", "does not begin with a data identifier"},
        {"123", "does not begin with a data identifier"},
        {"-", "does not begin with a data identifier"},
        {"", "does not begin with a data identifier"},
        {"S", "has no value"},
        {"14D", "has no value"},
        {"14D20260230", "2026-02 has days 01 to 28"},
        {"14D20261301", "month 13"},
        {"14D2026081", "8 digits belong"},
        {"14D202608144", "8 digits belong"},
        {"14D2026O814", "not a date of 8 digits"},
        {"15D20260814", "is not"},
        {"16D20260200", "day 00"},
        {"D271300", "month 13"},
        {"D2701", "6 digits belong"},
        {"1D310227", "day 31"},
        {"4D26366", "001 to 365"},
        {"4D26000", "001 to 365"},
        {"3D6367", "001 to 366"},
        {"3D604", "4 digits belong"},
        {"10D2654", "2026 has weeks 01 to 53"},
        {"10D2600", "week 00"},
        {"10D265", "4 digits belong"},
        {"11D2026W5", "6 digits belong"},
        {"6D20270131", "8 digits belong"},
        {"5D27", "6 digits belong"},
        {"18D20260101093", "12 digits belong"},
        {"19D202602300930", "2026-02 has days 01 to 28"},
        {"22D202601012400", "not 0000 to 2359"},
        {"22D202601010060", "not 0000 to 2359"},
        {"Q12x", "no number"},
        {"Q123456789", "no number"},
        {"7Q1000", "no number"},
        {"7QML", "no number"},
        {"7Q10ml", "no number"},
        {"7Q1.2.3ML", "no number"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct data_field field = {.name = "old"};
        struct fault fault = {FAULT_NONE, ""};
        if (data_identifier_read(span_of(cases[i].field), today(), &field, &fault))
            fail_msg("%s was taken", cases[i].field);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_string_equal(field.name, "old");
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("%s: %s", cases[i].field, fault.text);
    }
}

/* ANSI MH10.8.2, 7Q: up to eight characters and two of X12 data element 355. */
static void measures_are_a_quantity_and_two_letters(void **state)
{
    static const struct {
        const char *value, *unit;
        int64_t millionths;
    } cases[] = {
        {"1000ML", "ML", INT64_C(1000000000)},
        {"0.5LT", "LT", 500000},
        {"12EA", "EA", 12000000},
        {"1.000001KG", "KG", 1000001},
        {"99999999GR", "GR", INT64_C(99999999000000)},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int64_t millionths = 0;
        char unit[3];
        assert_true(data_identifier_measure(span_of(cases[i].value), &millionths, unit));
        assert_true(millionths == cases[i].millionths);
        assert_string_equal(unit, cases[i].unit);
    }
    int64_t millionths = 7;
    assert_false(data_identifier_quantity(span_of("1."), &millionths));
    assert_false(data_identifier_quantity(span_of(".5"), &millionths));
    assert_false(data_identifier_quantity(span_of("1.0000001"), &millionths));
    assert_int_equal(millionths, 7);
}

/* ANSI MH10.8.2-2021: what the identifiers of our own labels and of makers' dates stand for. The test
 * content/data_identifiers proves that the table is what data_identifiers.txt makes. */
static void the_table_says_what_the_standard_says(void **state)
{
    static const struct {
        const char *name;
        enum data_form form;
        const char *title;
    } cases[] = {
        {"S", DATA_TEXT, "serial"},
        {"P", DATA_TEXT, "item code by the customer"},
        {"1P", DATA_TEXT, "item code by the supplier"},
        {"T", DATA_TEXT, "lot by the customer"},
        {"1T", DATA_TEXT, "lot by the supplier"},
        {"7Q", DATA_MEASURE, "quantity and unit"},
        {"14D", DATA_YYYYMMDD, "expiration date"},
        {"15D", DATA_DDMMYYYY, "expiration date"},
        {"16D", DATA_YYYYMMDD, "production date"},
        {"17D", DATA_DDMMYYYY, "production date"},
        {"L", DATA_TEXT, "storage place"},
    };
    size_t found = 0;
    (void)state;
    for (size_t i = 0; i < data_identifier_table_size; i++)
        for (size_t c = 0; c < sizeof cases / sizeof *cases; c++)
            if (strcmp(data_identifier_table[i].name, cases[c].name) == 0) {
                assert_int_equal(data_identifier_table[i].form, cases[c].form);
                assert_string_equal(data_identifier_table[i].title, cases[c].title);
                found++;
            }
    assert_int_equal(found, sizeof cases / sizeof *cases);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(splits_identifier_and_value),
        cmocka_unit_test(the_table_says_what_the_standard_says),
        cmocka_unit_test(reads_dates_in_every_order),
        cmocka_unit_test(dates_that_leave_something_open_give_no_day),
        cmocka_unit_test(a_week_53_is_taken_in_years_that_have_one),
        cmocka_unit_test(refuses_with_the_reason_and_leaves_the_result_alone),
        cmocka_unit_test(measures_are_a_quantity_and_two_letters),
    };
    return cmocka_run_group_tests_name("content/data_identifier", tests, NULL, NULL);
}

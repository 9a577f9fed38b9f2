#include "labels/content/application_identifier.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const struct application_identifier *find(const char *text)
{
    size_t length;
    return application_identifier_find(span_of(text), &length);
}

static void finds_the_row_and_the_length_of_an_identifier(void **state)
{
    size_t length = 0;
    (void)state;
    const struct application_identifier *const gtin = application_identifier_find(span_of("0109506000134352"), &length);
    assert_non_null(gtin);
    assert_int_equal(length, 2);
    assert_string_equal(gtin->title, "GTIN");
    assert_non_null(application_identifier_find(span_of("3153000500"), &length));
    assert_int_equal(length, 4);
    assert_non_null(application_identifier_find(span_of("240X"), &length));
    assert_int_equal(length, 3);
}

/* GS1 General Specifications section 3: numbers that are not assigned. */
static void unassigned_identifiers_are_unknown(void **state)
{
    static const char *const unknown[] = {"04",  "05",  "09",   "14", "18", "19",  "23",   "239", "3106", "3170", "38",
                                          "404", "418", "4399", "5",  "60", "718", "7300", "83",  "0",    "",     "A1"};
    (void)state;
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        if (find(unknown[i]))
            fail_msg("(%s) is in the table", unknown[i]);
}

static void no_identifier_begins_another(void **state)
{
    const struct application_identifier *row;
    (void)state;
    for (size_t i = 0; (row = application_identifier_row(i)); i++) {
        size_t length;
        const struct application_identifier *other;
        for (size_t shorter = 1; shorter < strlen(row->first); shorter++)
            assert_null(application_identifier_find((struct span){row->first, shorter}, &length));
        assert_ptr_equal(application_identifier_find(span_of(row->first), &length), row);
        assert_ptr_equal(application_identifier_find(span_of(row->last), &length), row);
        for (size_t j = i + 1; (other = application_identifier_row(j)); j++)
            if (strcmp(row->last, other->first) >= 0)
                fail_msg("(%s) does not come before (%s)", row->first, other->first);
    }
}

/* GS1 General Specifications, figure "element strings with predefined length": total length by the first two digits
 * (from memory; 03 from the GS1 Barcode Syntax Dictionary). */
static void predefined_lengths_are_those_of_the_figure(void **state)
{
    static const struct {
        const char *first, *last;
        size_t total;
    } figure[] = {{"00", "00", 20}, {"01", "03", 16}, {"11", "19", 8},
                  {"20", "20", 4},  {"31", "36", 10}, {"41", "41", 16}};
    const struct application_identifier *row;
    (void)state;
    for (size_t i = 0; (row = application_identifier_row(i)); i++) {
        size_t total = 0;
        for (size_t f = 0; f < sizeof figure / sizeof *figure; f++)
            if (strncmp(row->first, figure[f].first, 2) >= 0 && strncmp(row->first, figure[f].last, 2) <= 0)
                total = figure[f].total;
        if (row->predefined != (total > 0))
            fail_msg("(%s): predefined is %d", row->first, row->predefined);
        if (row->predefined)
            assert_int_equal(strlen(row->first) + application_identifier_longest(row), total);
    }
}

/* GS1 Barcode Syntax Dictionary: lengths and titles of some rows, other than by the table's own macros. */
static void rows_have_the_lengths_of_the_syntax_dictionary(void **state)
{
    static const struct {
        const char *ai;
        size_t longest;
    } cases[] = {{"10", 20},   {"21", 20},   {"235", 28},  {"240", 30},  {"253", 30},  {"255", 25},  {"30", 8},
                 {"37", 8},    {"3923", 15}, {"3911", 18}, {"400", 30},  {"402", 17},  {"421", 12},  {"423", 15},
                 {"4309", 20}, {"4331", 7},  {"7003", 10}, {"7007", 12}, {"7040", 4},  {"7230", 30}, {"8001", 14},
                 {"8003", 30}, {"8004", 30}, {"8006", 18}, {"8008", 12}, {"8010", 30}, {"8013", 25}, {"8026", 18},
                 {"8030", 90}, {"8042", 32}, {"8200", 70}, {"90", 30},   {"91", 90},   {"99", 90}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct application_identifier *const row = find(cases[i].ai);
        if (!row || application_identifier_longest(row) != cases[i].longest)
            fail_msg("(%s): %zu", cases[i].ai, row ? application_identifier_longest(row) : 0);
    }
}

/* A misspelt pattern in `needs` or `excludes` would never match and so never warn. */
static void pairs_name_identifiers_of_the_table(void **state)
{
    const struct application_identifier *row;
    (void)state;
    for (size_t i = 0; (row = application_identifier_row(i)); i++) {
        const char *const lists[] = {row->needs, row->excludes};
        for (size_t l = 0; l < 2; l++)
            for (const char *at = lists[l]; *at;) {
                const size_t length = strcspn(at, "+,");
                bool matched = false;
                const struct application_identifier *other;
                for (size_t j = 0; (other = application_identifier_row(j)) && !matched; j++)
                    matched = application_identifier_fits(other->first, at, length) ||
                              application_identifier_fits(other->last, at, length);
                if (!matched)
                    fail_msg("(%s) names '%.*s'", row->first, (int)length, at);
                at += length + (at[length] ? 1 : 0);
            }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_the_row_and_the_length_of_an_identifier),
        cmocka_unit_test(unassigned_identifiers_are_unknown),
        cmocka_unit_test(no_identifier_begins_another),
        cmocka_unit_test(predefined_lengths_are_those_of_the_figure),
        cmocka_unit_test(rows_have_the_lengths_of_the_syntax_dictionary),
        cmocka_unit_test(pairs_name_identifiers_of_the_table),
    };
    return cmocka_run_group_tests_name("content/application_identifier", tests, NULL, NULL);
}

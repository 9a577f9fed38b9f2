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

/* GS1 General Specifications, section 3: the first two digits say how many an identifier has (from memory). */
static void the_first_two_digits_say_how_long_an_identifier_is(void **state)
{
    static const struct {
        const char *first, *last;
        size_t digits;
    } lengths[] = {{"00", "22", 2}, {"23", "25", 3}, {"30", "30", 2}, {"31", "36", 4}, {"37", "37", 2},
                   {"39", "39", 4}, {"40", "42", 3}, {"43", "43", 4}, {"70", "70", 4}, {"71", "71", 3},
                   {"72", "72", 4}, {"80", "82", 4}, {"90", "99", 2}};
    const struct application_identifier *row;
    (void)state;
    for (size_t i = 0; (row = application_identifier_row(i)); i++) {
        size_t digits = 0;
        for (size_t l = 0; l < sizeof lengths / sizeof *lengths; l++)
            if (strncmp(row->first, lengths[l].first, 2) >= 0 && strncmp(row->last, lengths[l].last, 2) <= 0)
                digits = lengths[l].digits;
        if (strlen(row->first) != digits || strlen(row->last) != digits)
            fail_msg("(%s) to (%s): %zu digits", row->first, row->last, digits);
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

/* GS1 General Specifications section 3, by way of the GS1 Barcode Syntax Dictionary: the rows that a storeroom meets.
 * `predefined`: no separator follows. */
static void rows_say_what_the_syntax_dictionary_says(void **state)
{
    static const struct {
        const char *ai, *title, *needs, *excludes;
        bool predefined;
    } cases[] = {
        {"00", "SSCC", "", "", true},
        {"01", "GTIN", "", "255,37", true},
        {"02", "CONTENT", "37", "01,03", true},
        {"03", "MTO GTIN", "", "01,02,37,235", true},
        {"10", "BATCH/LOT", "01,02,03,8006,8026", "", false},
        {"11", "PROD DATE", "01,02,03,8006,8026", "", true},
        {"12", "DUE DATE", "8020", "", true},
        {"13", "PACK DATE", "01,02,03,8006,8026", "", true},
        {"15", "BEST BEFORE", "01,02,03,8006,8026", "", true},
        {"16", "SELL BY", "01,02,03,8006,8026", "", true},
        {"17", "EXPIRY", "01,02,03,255,8006,8026", "", true},
        {"20", "VARIANT", "01,02,03,8006,8026", "", true},
        {"21", "SERIAL", "01,03,8006", "235", false},
        {"22", "CPV", "01", "", false},
        {"30", "VAR. COUNT", "01,02", "", false},
        {"37", "COUNT", "00+02,00+8026", "", false},
        {"240", "ADDITIONAL ID", "01,02,03,8006,8026", "", false},
        {"241", "CUST. PART No.", "01,02,03,8006,8026", "", false},
        {"250", "SECONDARY SERIAL", "01+21,03+21,8006+21", "", false},
        {"251", "REF. TO SOURCE", "01,03,8006", "", false},
        {"253", "GDTI", "", "", false},
        {"254", "GLN EXTENSION", "414", "", false},
        {"255", "GCN", "", "01,02,415,8006,8020,8026", false},
        {"3103", "NET WEIGHT (kg)", "01,02", "310n", true},
        {"3153", "NET VOLUME (l)", "01,02", "315n", true},
        {"3160", "NET VOLUME (m3)", "01,02", "316n", true},
        {"3302", "GROSS WEIGHT (kg)", "00,01", "330n", true},
        {"3350", "VOLUME (l), log", "00,01", "335n", true},
        {"400", "ORDER NUMBER", "", "", false},
        {"403", "ROUTE", "00", "", false},
        {"410", "SHIP TO LOC", "", "", true},
        {"414", "LOC No.", "", "", true},
        {"415", "PAY TO", "8020", "", true},
        {"417", "PARTY", "", "", true},
        {"422", "ORIGIN", "01,02,03,8006,8026", "426", false},
        {"4331", "MAX TEMP C", "00", "4330", false},
        {"7003", "EXPIRY TIME", "01,02,03", "", false},
        {"7007", "HARVEST DATE", "01,02", "", false},
        {"7011", "TEST BY DATE", "01,02,03", "", false},
        {"8003", "GRAI", "", "", false},
        {"8004", "GIAI", "", "", false},
        {"8008", "PROD TIME", "01,02,03", "", false},
        {"8010", "CPID", "", "", false},
        {"8011", "CPID SERIAL", "8010", "", false},
        {"8012", "VERSION", "01,03,8006", "", false},
        {"8013", "GMN", "", "", false},
        {"8017", "GSRN - PROVIDER", "", "8018", false},
        {"8019", "SRIN", "8017,8018", "", false},
        {"8020", "REF No.", "415", "", false},
        {"8200", "PRODUCT URL", "01", "", false},
        {"90", "INTERNAL", "", "", false},
        {"99", "INTERNAL", "", "", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct application_identifier *const row = find(cases[i].ai);
        if (!row || strcmp(row->title, cases[i].title) != 0 || strcmp(row->needs, cases[i].needs) != 0 ||
            strcmp(row->excludes, cases[i].excludes) != 0 || row->predefined != cases[i].predefined)
            fail_msg("(%s) %s: needs '%s', excludes '%s'", cases[i].ai, row ? row->title : "is not there",
                     row ? row->needs : "", row ? row->excludes : "");
    }
}

/* GS1 Barcode Syntax Dictionary, "dlpkey": which identifiers begin a Digital Link, and what may follow in its path. */
static void keys_of_links_are_those_of_the_syntax_dictionary(void **state)
{
    static const struct {
        const char *ai, *link;
    } cases[] = {{"00", ""},       {"01", "22,10,21|235"}, {"253", ""},         {"255", ""},          {"401", ""},
                 {"402", ""},      {"415", "8020"},        {"414", "254|7040"}, {"417", "7040"},      {"8003", ""},
                 {"8004", "7040"}, {"8013", ""},           {"8010", "8011"},    {"8006", "22,10,21"}, {"8017", "8019"},
                 {"8018", "8019"}};
    size_t keys = 0;
    const struct application_identifier *row;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        row = find(cases[i].ai);
        assert_non_null(row);
        assert_non_null(row->link);
        assert_string_equal(row->link, cases[i].link);
    }
    for (size_t i = 0; (row = application_identifier_row(i)); i++)
        keys += row->link != NULL;
    assert_int_equal(keys, sizeof cases / sizeof *cases);
}

/* A misspelt pattern in `needs`, `excludes` or `link` would never match and so never warn. */
static void pairs_name_identifiers_of_the_table(void **state)
{
    const struct application_identifier *row;
    (void)state;
    for (size_t i = 0; (row = application_identifier_row(i)); i++) {
        const char *const lists[] = {row->needs, row->excludes, row->link ? row->link : ""};
        for (size_t l = 0; l < 3; l++)
            for (const char *at = lists[l]; *at;) {
                const size_t length = strcspn(at, "+,|");
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
        cmocka_unit_test(the_first_two_digits_say_how_long_an_identifier_is),
        cmocka_unit_test(rows_have_the_lengths_of_the_syntax_dictionary),
        cmocka_unit_test(rows_say_what_the_syntax_dictionary_says),
        cmocka_unit_test(keys_of_links_are_those_of_the_syntax_dictionary),
        cmocka_unit_test(pairs_name_identifiers_of_the_table),
    };
    return cmocka_run_group_tests_name("content/application_identifier", tests, NULL, NULL);
}

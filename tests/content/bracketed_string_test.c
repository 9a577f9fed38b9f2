#include "labels/content/bracketed_string.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

static bool value_is(const struct element_string *elements, const char *ai, const char *value)
{
    const struct element *const found = element_string_find(elements, ai);
    return found && span_equals(found->value, value);
}

/* GS1 General Specifications, section 4.14; the numbers are GS1's examples. */
static void reads_what_a_label_shows_to_people(void **state)
{
    static const char *const texts[] = {
        "(01)09506000134352(10)LOT2407(17)270200",
        " (01) 09506000134352 (10) LOT2407 (17) 270200 ",
        "(01)09506000134352   (10)LOT2407(17)270200",
    };
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct element_string elements;
        struct fault fault = {FAULT_NONE, ""};
        assert_true(bracketed_string_starts(span_of(texts[i])));
        if (!bracketed_string_read(span_of(texts[i]), today(), &elements, &fault))
            fail_msg("%s: %s", texts[i], fault.text);
        assert_int_equal(elements.count, 3);
        assert_true(value_is(&elements, "01", "09506000134352"));
        assert_true(value_is(&elements, "10", "LOT2407"));
        assert_true(value_is(&elements, "17", "270200"));
    }
}

/* GS1 General Specifications: a bracket is a character of the set of 82, so only the table tells where a field
 * begins. */
static void brackets_belong_to_a_value_unless_they_hold_an_identifier(void **state)
{
    static const struct {
        const char *text, *lot;
        size_t count;
    } cases[] = {
        {"(01)09506000134352(10)LOT(A)(17)270131", "LOT(A)", 3},
        {"(01)09506000134352(10)g(h", "g(h", 2},
        {"(01)09506000134352(10)A(05)B", "A(05)B", 2},
        {"(01)09506000134352(10)(10", "(10", 2},
        {"(01)09506000134352(10)A(1)(21)B", "A(1)", 3},
        {"(01)09506000134352(10)A(31011)B", "A(31011)B", 2},
        {"(10)(A)(01)09506000134352", "(A)", 2},
        {"(01)09506000134352(10)((17)270131", "(", 3},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct element_string elements;
        struct fault fault = {FAULT_NONE, ""};
        if (!bracketed_string_read(span_of(cases[i].text), today(), &elements, &fault))
            fail_msg("%s: %s", cases[i].text, fault.text);
        assert_int_equal(elements.count, cases[i].count);
        assert_true(value_is(&elements, "10", cases[i].lot));
    }
}

/* The sentence is ours; what is wrong is wrong by the table of the GS1 General Specifications. */
static void says_where_the_trouble_is(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"", "nothing was typed"},
        {"   ", "nothing was typed"},
        {"(05)123", "at place 1 of what was typed stands '(05)12', no GS1 identifier"},
        {"LOT(10)A", "at place 1 of what was typed stands 'LOT(10'"},
        {"(1)A", "at place 1 of"},
        {"(01", "at place 1 of"},
        {"(310)A", "at place 1 of"},
        {"(01)09506000134352(05)1", "at place 19 of what was typed stands '(05)1'"},
        {"(01)09506000134352 (5)1", "at place 20 of what was typed stands '(5)1'"},
        {"(17)270131(1O)LOT", "at place 11 of what was typed stands '(1O)LO'"},
        {"(01)09506000134353(10)A", "at place 1 of what was typed: (01) GTIN 09506000134353 has check digit 3, not 2"},
        {"(01)0950600013435(10)A", "at place 1 of what was typed: (01) GTIN is too short"},
        {"(01)09506000134352x(10)A", "at place 1 of what was typed: (01) GTIN is too long: 15 characters, at most 14"},
        {"(01)09506000134352(17)270229(10)A", "at place 19 of what was typed: (17) EXPIRY: date '270229' has day 29"},
        {"(01)09506000134352(10)A B", "at place 19 of what was typed: (10) BATCH/LOT has ' ' at place 2"},
        {"(01)09506000134352(10)", "at place 19 of what was typed: (10) BATCH/LOT has no value"},
        {"(01)09506000134352(10)  (17)270131", "at place 19 of what was typed: (10) BATCH/LOT has no value"},
        {"(01)09506000134352(10)123456789012345678901",
         "(10) BATCH/LOT is too long: 21 characters, at most 20; scan again"},
        {"(01)09506000134352(30)123456789", "(30) VAR. COUNT is too long"},
        {"(10)A(01)09506000134352(10)B", "at place 24 of what was typed: (10) BATCH/LOT comes twice"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct element_string elements = {.count = 77};
        struct fault fault = {FAULT_NONE, ""};
        if (bracketed_string_read(span_of(cases[i].text), today(), &elements, &fault))
            fail_msg("'%s' was taken", cases[i].text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(elements.count, 77);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("'%s': %s", cases[i].text, fault.text);
    }
}

static void only_digits_in_brackets_begin_it(void **state)
{
    static const char *const others[] = {"",   "(",       "(0",    "(01",        "(0)1", "(A1)",
                                         "()", "(12345)", "01095", "hello (01)", "[01]"};
    (void)state;
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (bracketed_string_starts(span_of(others[i])))
            fail_msg("'%s'", others[i]);
    assert_true(bracketed_string_starts(span_of("(99)"))); /* to be refused with a sentence, not passed over as text */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_what_a_label_shows_to_people),
        cmocka_unit_test(brackets_belong_to_a_value_unless_they_hold_an_identifier),
        cmocka_unit_test(says_where_the_trouble_is),
        cmocka_unit_test(only_digits_in_brackets_begin_it),
    };
    return cmocka_run_group_tests_name("content/bracketed_string", tests, NULL, NULL);
}

#include "labels/content/element_string.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/bracketed_string.h"

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

enum outcome { FINE, MISSING, INVALID, REFUSED };

/* Brackets are easier to read in a table of cases; what is tested is what they hold. */
static enum outcome typed(const char *text, struct fault *fault)
{
    struct element_string elements;
    *fault = (struct fault){FAULT_NONE, ""};
    if (!bracketed_string_read(span_of(text), today(), &elements, fault))
        return REFUSED;
    switch (element_string_pairs(&elements, fault)) {
    case ELEMENT_PAIRS_FINE:
        return FINE;
    case ELEMENT_PAIRS_MISSING:
        return MISSING;
    default:
        return INVALID;
    }
}

/* GS1 Barcode Syntax Dictionary rows: check parts that the vectors of gs1_forms_test.c do not reach. */
static void every_kind_of_part_is_checked(void **state)
{
    static const struct {
        const char *text;
        enum outcome outcome;
        const char *reason;
    } cases[] = {
        {"(7011)2702282360", REFUSED, "0000 to 2359"},
        {"(7011)2702282400", REFUSED, "0000 to 2359"},
        {"(7007)270131270229", REFUSED, "day 29"},
        {"(8008)2701312460", REFUSED, "hour"},
        {"(8008)2701312360", REFUSED, "minutes"},
        {"(8008)270131235961", REFUSED, "minutes or seconds"},
        {"(8008)2701312", REFUSED, "too short"},
        {"(8003)19506000134352", REFUSED, "begin with 0"},
        {"(8004)V0001236", REFUSED, "company's number"},
        {"(8010)9506000ABC(8011)0123", REFUSED, "begins with 0"},
        {"(8010)9506000ABC(8011)123", FINE, ""},
        {"(8010)9506000ABC(8011)0", FINE, ""},
        {"(00)095060001343520017(4321)2", REFUSED, "neither 0 nor 1"},
        {"(00)095060001343520017(4331)000250-", FINE, ""},
        {"(00)095060001343520017(4331)000250+", REFUSED, "minus"},
        {"(00)095060001343520017(4324)2702009999", FINE, ""},
        {"(00)095060001343520017(4324)2702009998", REFUSED, "0000 to 2359"},
        {"(8006)095060001343520103", FINE, ""},
        {"(8006)095060001343520403", REFUSED, "piece number"},
        {"(8006)095060001343520003", REFUSED, "piece number"},
        {"(8018)095060001343520017(7259)B(7258)2/1", REFUSED, "sequence"},
        {"(8018)095060001343520017(7259)B(7258)1/2", FINE, ""},
        {"(8018)095060001343520017(7250)20260230", REFUSED, "day 30"},
        {"(01)09506000134352(8001)00000000000000", REFUSED, "measure that is 0"},
        {"(01)09506000134352(423)0562", REFUSED, "too short"},
        {"(01)09506000134352(423)056276", FINE, ""},
        {"(253)9506000134352DOC1", FINE, ""},
        {"(255)9506000134352", FINE, ""},
        {"(00)095060001343520017(02)09506000134352(37)12", FINE, ""},
        {"(02)09506000134352(37)12", MISSING, "COUNT stands without"},
        {"(01)09506000134352(250)X", MISSING, "SECONDARY SERIAL"},
        {"(01)09506000134352(21)Y(250)X", FINE, ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault;
        const enum outcome outcome = typed(cases[i].text, &fault);
        if (outcome != cases[i].outcome || !strstr(fault.text, cases[i].reason))
            fail_msg("%s: outcome %d, '%s'", cases[i].text, outcome, fault.text);
    }
}

/* GS1 General Specifications, concatenation: a separator after what has no predefined length; the Syntax Engine takes
 * one after predefined lengths too. */
static void fields_end_at_their_predefined_length_or_at_gs(void **state)
{
    static const struct {
        const char *text;
        const char *lot, *expiry, *serial;
    } cases[] = {
        {"0109506000134352"
         "10LOT2407"
         "\x1d"
         "17270200"
         "21V000123",
         "LOT2407", "270200", "V000123"},
        {"\x1d"
         "0109506000134352"
         "10LOT2407"
         "\x1d"
         "17270200"
         "21V000123",
         "LOT2407", "270200", "V000123"},
        {"0109506000134352"
         "\x1d"
         "17270200"
         "\x1d"
         "10LOT2407"
         "\x1d"
         "21V000123"
         "\x1d",
         "LOT2407", "270200", "V000123"},
        {"0109506000134352"
         "17270131"
         "13260131"
         "10L24117"
         "\x1d"
         "21C004217T",
         "L24117", "270131", "C004217T"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct element_string elements;
        struct fault fault = {FAULT_NONE, ""};
        if (!element_string_read(span_of(cases[i].text), today(), &elements, &fault))
            fail_msg("case %zu: %s", i, fault.text);
        assert_true(span_equals(element_string_find(&elements, "01")->value, "09506000134352"));
        assert_true(span_equals(element_string_find(&elements, "10")->value, cases[i].lot));
        assert_true(span_equals(element_string_find(&elements, "17")->value, cases[i].expiry));
        assert_true(span_equals(element_string_find(&elements, "21")->value, cases[i].serial));
        assert_null(element_string_find(&elements, "30"));
    }
}

/* GS1 Barcode Syntax Engine: "10LOT117270228" is a legal lot; nobody can see that a GS is missing. */
static void a_missing_separator_shows_only_when_the_value_gets_too_long(void **state)
{
    struct element_string elements;
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    assert_true(element_string_read(span_of("0109506000134352"
                                            "10LOT117270228"),
                                    today(), &elements, &fault));
    assert_true(span_equals(element_string_find(&elements, "10")->value, "LOT117270228"));
    assert_false(element_string_read(span_of("0109506000134352"
                                             "10LOT2407"
                                             "17270228"
                                             "21V000123"),
                                     today(), &elements, &fault));
    assert_non_null(strstr(fault.text, "set it to send GS"));
    assert_false(element_string_read(span_of("0109506000134352"
                                             "422056"
                                             "10LOT"),
                                     today(), &elements, &fault));
}

static void refuses_what_no_code_holds_and_leaves_the_result_alone(void **state)
{
    static const char *const refused[] = {
        "",
        "\x1d",
        "05123",
        "0109506000134352"
        "\x1d\x1d"
        "10A",
        "0109506000134352"
        "10A"
        "\x1d"
        "10B",
        "0109506000134352"
        "1",
        "010950600013435"
        "\x1d"
        "10A",
        "0109506000134352"
        "10"
        "\x1d"
        "17270131",
        "LOT1",
    };
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct element_string elements = {.count = 77};
        struct fault fault = {FAULT_NONE, ""};
        if (element_string_read(span_of(refused[i]), today(), &elements, &fault))
            fail_msg("case %zu was taken", i);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_true(strlen(fault.text) > 10);
        assert_int_equal(elements.count, 77);
    }
}

static void a_field_repeated_with_equal_value_is_taken(void **state)
{
    struct element_string elements;
    (void)state;
    assert_true(element_string_read(span_of("0109506000134352"
                                            "10A"
                                            "\x1d"
                                            "10A"),
                                    today(), &elements, NULL));
}

static void more_fields_than_the_limit_are_refused(void **state)
{
    char text[4 * (ELEMENT_STRING_ELEMENTS + 1) + 1];
    struct builder out;
    struct element_string elements;
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    builder_init(&out, text, sizeof text);
    for (int i = 0; i < ELEMENT_STRING_ELEMENTS; i++)
        builder_add(&out, "2012");
    assert_true(element_string_read(span_of(text), today(), &elements, &fault));
    builder_add(&out, "2012");
    assert_false(element_string_read(span_of(text), today(), &elements, &fault));
    assert_non_null(strstr(fault.text, "more than"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_of_part_is_checked),
        cmocka_unit_test(fields_end_at_their_predefined_length_or_at_gs),
        cmocka_unit_test(a_missing_separator_shows_only_when_the_value_gets_too_long),
        cmocka_unit_test(refuses_what_no_code_holds_and_leaves_the_result_alone),
        cmocka_unit_test(a_field_repeated_with_equal_value_is_taken),
        cmocka_unit_test(more_fields_than_the_limit_are_refused),
    };
    return cmocka_run_group_tests_name("content/element_string", tests, NULL, NULL);
}

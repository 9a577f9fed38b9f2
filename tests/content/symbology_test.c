#include "labels/content/symbology.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* ISO/IEC 15424, annexes of the symbologies; the list of those that announce GS1 data: GS1 General Specifications,
 * "symbology identifiers". */
static void only_some_identifiers_announce_gs1_data(void **state)
{
    static const struct {
        const char *identifier;
        enum symbology_kind kind;
    } cases[] = {
        {"]d0", SYMBOLOGY_PLAIN}, {"]d1", SYMBOLOGY_PLAIN},      {"]d2", SYMBOLOGY_GS1},    {"]d3", SYMBOLOGY_PLAIN},
        {"]d4", SYMBOLOGY_PLAIN}, {"]d5", SYMBOLOGY_GS1},        {"]d6", SYMBOLOGY_PLAIN},  {"]C0", SYMBOLOGY_PLAIN},
        {"]C1", SYMBOLOGY_GS1},   {"]C2", SYMBOLOGY_PLAIN},      {"]Q0", SYMBOLOGY_PLAIN},  {"]Q1", SYMBOLOGY_PLAIN},
        {"]Q2", SYMBOLOGY_PLAIN}, {"]Q3", SYMBOLOGY_GS1},        {"]Q4", SYMBOLOGY_GS1},    {"]Q5", SYMBOLOGY_PLAIN},
        {"]Q6", SYMBOLOGY_PLAIN}, {"]E0", SYMBOLOGY_EAN13},      {"]E3", SYMBOLOGY_PLAIN},  {"]E4", SYMBOLOGY_EAN8},
        {"]e0", SYMBOLOGY_GS1},   {"]I0", SYMBOLOGY_CARTON},     {"]I1", SYMBOLOGY_CARTON}, {"]A0", SYMBOLOGY_PLAIN},
        {"]G0", SYMBOLOGY_PLAIN}, {"]F0", SYMBOLOGY_PLAIN},      {"]L2", SYMBOLOGY_PLAIN},  {"]z0", SYMBOLOGY_PLAIN},
        {"]U0", SYMBOLOGY_PLAIN}, {"]J0", SYMBOLOGY_PLAIN},      {"]J1", SYMBOLOGY_GS1},    {"", SYMBOLOGY_NONE},
        {NULL, SYMBOLOGY_NONE},   {"nonsense", SYMBOLOGY_PLAIN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (symbology_kind(cases[i].identifier) != cases[i].kind)
            fail_msg("'%s'", cases[i].identifier ? cases[i].identifier : "NULL");
}

static void takes_the_devices_identifier_or_the_one_in_the_bytes(void **state)
{
    static const struct {
        const char *text, *given, *identifier, *rest;
    } cases[] = {
        {"01095", "]d2", "]d2", "01095"},
        {"]d201095", "", "]d2", "01095"},
        {"]d201095", NULL, "]d2", "01095"},
        {"]d201095", "]d2", "]d2", "01095"},
        {"]d201095", "]d1", "]d1", "]d201095"},
        {"]dx01", "", "", "]dx01"},
        {"]d", "", "", "]d"},
        {"", "", "", ""},
        {"01", "]d2]d2", "]X0", "01"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct span text = span_of(cases[i].text);
        char identifier[SYMBOLOGY_BYTES + 1] = "old";
        symbology_take(&text, cases[i].given, identifier);
        assert_string_equal(identifier, cases[i].identifier);
        assert_true(span_equals(text, cases[i].rest));
    }
}

/* AIM ITS/04-001, transmission of an ECI: a reverse solidus and six digits. */
static void cuts_a_leading_eci_off(void **state)
{
    struct span text = span_of("\\0000260109");
    struct span none = span_of("\\00002X0109");
    (void)state;
    assert_true(symbology_has_eci("]d5"));
    assert_false(symbology_has_eci("]d2"));
    assert_false(symbology_has_eci(""));
    symbology_strip_eci(&text);
    assert_true(span_equals(text, "0109"));
    symbology_strip_eci(&none);
    assert_true(span_equals(none, "\\00002X0109"));
}

/* ISO/IEC 15424: the letters of the symbologies. */
static void a_symbology_has_words_for_people(void **state)
{
    (void)state;
    assert_string_equal(symbology_words("]E0"), "EAN/UPC code");
    assert_string_equal(symbology_words("]C1"), "GS1-128 code");
    assert_string_equal(symbology_words("]C0"), "Code 128");
    assert_string_equal(symbology_words("]d2"), "GS1 Data Matrix");
    assert_string_equal(symbology_words("]d1"), "Data Matrix");
    assert_string_equal(symbology_words("]Z9"), "code");
    assert_string_equal(symbology_words(""), "typed text");
    assert_string_equal(symbology_words(NULL), "typed text");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_symbology_has_words_for_people),
        cmocka_unit_test(only_some_identifiers_announce_gs1_data),
        cmocka_unit_test(takes_the_devices_identifier_or_the_one_in_the_bytes),
        cmocka_unit_test(cuts_a_leading_eci_off),
    };
    return cmocka_run_group_tests_name("content/symbology", tests, NULL, NULL);
}

#include "labels/content/check_character.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void mod37_36_agrees_with_published_check_characters(void **state)
{
    static const struct {
        const char *body;
        char check;
        const char *source;
    } cases[] = {
        {"A12425GABC1234002", 'M', "GRid Standard, the example of its check character"},
        {"00000000D07A0090", 'Q', "ISAN (ISO 15706), the example of its users' guide"},
        {"V000001", 'Q', "computed with an independent Python program, as are the next"},
        {"V000012", 'K', ""},
        {"V000123", '6', ""},
        {"V000132", '4', "two digits of the one before swapped"},
        {"V001234", 'D', ""},
        {"C004217", 'T', ""},
        {"C004271", 'F', "two digits of the one before swapped"},
        {"V004217", '4', ""},
        {"R000042", '2', ""},
        {"V999999", '1', ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (check_character_mod37_36(span_of(cases[i].body)) != cases[i].check)
            fail_msg("%s -> %c (%s)", cases[i].body, check_character_mod37_36(span_of(cases[i].body)), cases[i].source);
}

static void mod37_36_takes_digits_and_capitals_only(void **state)
{
    static const char *const refused[] = {"", "v000123", "V0001-3", "V 00123", "V00012\xC3\x84"};
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        assert_int_equal(check_character_mod37_36(span_of(refused[i])), '\0');
    assert_int_equal(check_character_mod37_36((struct span){"V0\0"
                                                            "1",
                                                            4}),
                     '\0');
}

/* ISO/IEC 7064 promises that a hybrid system finds every single substitution. */
static void mod37_36_finds_every_single_substitution(void **state)
{
    static const char set[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    char text[] = "C004217";
    (void)state;
    for (size_t place = 0; place + 1 < sizeof text; place++) {
        const char kept = text[place];
        for (size_t i = 0; i + 1 < sizeof set; i++) {
            text[place] = set[i];
            assert_int_equal(check_character_mod37_36(span_of(text)) == 'T', set[i] == kept);
        }
        text[place] = kept;
    }
}

/* GS1 General Specifications, check digit calculations; GS1's own example numbers. */
static void mod10_agrees_with_published_check_digits(void **state)
{
    static const struct {
        const char *body;
        char check;
    } cases[] = {
        {"950600013435", '2'}, {"0950600013435", '2'}, {"1950600013435", '9'}, {"09506000134352001", '7'},
        {"629104150021", '3'}, {"03600029145", '2'},   {"1234567", '0'},       {"0950110153000", '3'},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char whole[20];
        struct builder out;
        assert_int_equal(check_character_mod10(span_of(cases[i].body)), cases[i].check);
        builder_init(&out, whole, sizeof whole);
        builder_add(&out, cases[i].body);
        builder_add_char(&out, cases[i].check);
        assert_true(check_character_mod10_ok(span_of(whole)));
        whole[out.length - 1] = cases[i].check == '9' ? '0' : (char)(cases[i].check + 1);
        assert_false(check_character_mod10_ok(span_of(whole)));
    }
    assert_false(check_character_mod10_ok(span_of("")));
    assert_false(check_character_mod10_ok(span_of("0")));
    assert_false(check_character_mod10_ok(span_of("95O6000134352")));
}

/* GS1 General Specifications, check character pair; the vectors are those of the GS1 Barcode Syntax Dictionary's
 * reference check "csumalpha". */
static void a_gmn_ends_in_its_check_character_pair(void **state)
{
    static const char *const good[] = {"1987654Ad4X4bL5ttr2310c2K",
                                       "12345678901234567890123NT",
                                       "12345_ABCDEFGHIJKLMCP",
                                       "12345_abcdefghijklmN3",
                                       "12345_!\"%&'()*+,-./LC",
                                       "7907665Bm8v2AB",
                                       "57453Uq3qA<H67",
                                       "00000!HV"};
    static const char *const bad[] = {"1987654Ad4X4bL5ttr2310c2L", "1987654Ad4X4bL5ttr2310cXK", "22",
                                      "12345_ABCDEFGHIJKLMPC",     "1234567890123456789012 NT", ""};
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!check_character_pair_ok(span_of(good[i])))
            fail_msg("%s refused", good[i]);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (check_character_pair_ok(span_of(bad[i])))
            fail_msg("%s taken", bad[i]);
}

/* GS1 General Specifications, GS1 AI encodable character set 82. */
static void the_set_of_82_has_82_members(void **state)
{
    int members = 0;
    (void)state;
    for (int c = 0; c < 256; c++)
        members += check_character_cset82((char)c) >= 0;
    assert_int_equal(members, 82);
    for (const char *c = " #$@[\\]^`{|}~"; *c; c++)
        assert_int_equal(check_character_cset82(*c), -1);
    assert_int_equal(check_character_cset82('!'), 0);
    assert_int_equal(check_character_cset82('z'), 81);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mod37_36_agrees_with_published_check_characters),
        cmocka_unit_test(mod37_36_takes_digits_and_capitals_only),
        cmocka_unit_test(mod37_36_finds_every_single_substitution),
        cmocka_unit_test(mod10_agrees_with_published_check_digits),
        cmocka_unit_test(a_gmn_ends_in_its_check_character_pair),
        cmocka_unit_test(the_set_of_82_has_82_members),
    };
    return cmocka_run_group_tests_name("content/check_character", tests, NULL, NULL);
}

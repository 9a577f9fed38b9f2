#include "labels/content/hazard_words.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Codes: UN GHS annex 3, CLP annexes III and IV (H, EUH and P, three digits, letters, joined by +). */

static void codes_are_told_from_words(void **state)
{
    static const struct {
        const char *entry;
        size_t length;
    } cases[] = {{"H315 Causes skin irritation.", 4},
                 {"EUH066 Repeated exposure", 6},
                 {"H360FD May damage", 6},
                 {"P302+P352 IF ON SKIN", 9},
                 {"P305 + P351 + P338 IF IN EYES", 18},
                 {"H317", 4},
                 {"Harmful", 0},
                 {"H31", 0},
                 {"P305 + water", 4},
                 {"", 0}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_int_equal(hazard_words_code(span_of(cases[i].entry)), cases[i].length);
}

static void lists_are_walked_entry_by_entry(void **state)
{
    struct span list = span_of("H315 a| H317 b |c"), entry;
    (void)state;
    assert_true(hazard_words_next(&list, &entry) && span_equals(entry, "H315 a"));
    assert_true(hazard_words_next(&list, &entry) && span_equals(entry, "H317 b"));
    assert_true(hazard_words_next(&list, &entry) && span_equals(entry, "c"));
    assert_false(hazard_words_next(&list, &entry));
}

static void a_code_without_words_is_refused_by_its_name(void **state)
{
    static const char *const bad[][2] = {{"H315", "H315 without words"},
                                         {"H315 a|H317", "H317 without words"},
                                         {"P302+P352.", "P302+P352. without words"},
                                         {"H315 a||H317 b", "empty entry"},
                                         {"H315 a|", "empty entry"}};
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct fault fault = {0};
        assert_false(hazard_words_check("statements", bad[i][0], &fault));
        if (!strstr(fault.text, bad[i][1]))
            fail_msg("%s: %s", bad[i][0], fault.text);
    }
    assert_true(hazard_words_check("statements", "none", NULL));
    assert_true(hazard_words_check("statements", "H315 Causes skin irritation.|Words alone", NULL));
}

static void pictograms_are_numbers_or_a_sentence(void **state)
{
    int numbers[HAZARD_WORDS_PICTOGRAMS] = {0};
    size_t count = 77;
    struct fault fault = {0};
    (void)state;
    assert_true(hazard_words_pictograms(" GHS07  GHS09 ", numbers, &count, &fault));
    assert_int_equal(count, 2);
    assert_true(numbers[0] == 7 && numbers[1] == 9);
    assert_true(hazard_words_pictograms("none", numbers, &count, &fault) && count == 0);
    count = 77;
    assert_false(hazard_words_pictograms("GHS00", numbers, &count, &fault));
    assert_false(hazard_words_pictograms("GHS7", numbers, &count, &fault));
    assert_non_null(strstr(fault.text, "write GHS01 to GHS09"));
    assert_false(hazard_words_pictograms("GHS07 GHS07", numbers, &count, &fault));
    assert_non_null(strstr(fault.text, "GHS07 is given twice"));
    assert_false(hazard_words_pictograms("GHS01 GHS02 GHS03 GHS04 GHS05 GHS06 GHS07", numbers, &count, &fault));
    assert_int_equal(count, 77);
    assert_int_equal(numbers[0], 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(codes_are_told_from_words),
        cmocka_unit_test(lists_are_walked_entry_by_entry),
        cmocka_unit_test(a_code_without_words_is_refused_by_its_name),
        cmocka_unit_test(pictograms_are_numbers_or_a_sentence),
    };
    return cmocka_run_group_tests_name("content/hazard_words", tests, NULL, NULL);
}

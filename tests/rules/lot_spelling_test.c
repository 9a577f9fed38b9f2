#include "kiosk/rules/lot_spelling.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Which slips of the hand are asked about: common practice, no source. Swapped neighbours and a letter too few or too
 * many are the single errors of Damerau's count ("A technique for computer detection and correction of spelling
 * errors", 1964; from memory); the fourth, one letter for another, is left out on purpose (lot_spelling.h). */

static void two_spellings_are_alike_or_not_both_ways_round(void **state)
{
    static const struct {
        const char *one, *other;
        enum lot_spelling spelling;
    } cases[] = {
        {"L24117", "L24117", LOT_SAME},
        {"L24117", "L 24117", LOT_SIGNS},
        {"L24117", "l24117", LOT_SIGNS},
        {"L24117", "l-24.117", LOT_SIGNS},
        {"RS24117B", "RS241178", LOT_LOOKS},
        {"L24O17", "L24017", LOT_LOOKS},
        {"LOT1", "L0TI", LOT_LOOKS},
        {"FS-1", "F51", LOT_LOOKS},
        {"I24117", "L24117", LOT_LOOKS},
        {"L24117", "L2417", LOT_MISSING},
        {"L24117", "24117", LOT_MISSING},
        {"L24117", "L241175", LOT_MISSING},
        {"L24117", "L24171", LOT_SWAPPED},
        {"L24117", "L42117", LOT_SWAPPED},
        {"L 24171", "l24117", LOT_SWAPPED}, /* a slip beside signs */
        {"L24117", "L24118", LOT_OTHER},    /* the maker's next lot */
        {"L24117", "L24217", LOT_OTHER},
        {"L24117", "L241", LOT_OTHER},
        {"L24117", "LL2411", LOT_OTHER},
        {"FL-1", "FL-12", LOT_OTHER}, /* too short to say which is a slip */
        {"FL-12", "FL-21", LOT_OTHER},
        {"", "A", LOT_OTHER},
        {"--", ".", LOT_OTHER}, /* nothing but signs is no lot */
        {"\xC3\x84"
         "24117",
         "A24117", LOT_OTHER},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (lot_spelling_compare(cases[i].one, cases[i].other) != cases[i].spelling ||
            lot_spelling_compare(cases[i].other, cases[i].one) != cases[i].spelling)
            fail_msg("'%s' and '%s': %d, %d, not %d", cases[i].one, cases[i].other,
                     (int)lot_spelling_compare(cases[i].one, cases[i].other),
                     (int)lot_spelling_compare(cases[i].other, cases[i].one), (int)cases[i].spelling);
}

static void what_is_asked_about_has_words(void **state)
{
    (void)state;
    for (int spelling = LOT_SAME; spelling <= LOT_OTHER; spelling++)
        assert_int_equal(lot_spelling_words((enum lot_spelling)spelling)[0] != '\0',
                         spelling != LOT_SAME && spelling != LOT_OTHER);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_spellings_are_alike_or_not_both_ways_round),
        cmocka_unit_test(what_is_asked_about_has_words),
    };
    return cmocka_run_group_tests_name("rules/lot_spelling", tests, NULL, NULL);
}

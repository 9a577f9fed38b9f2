#include "labels/quality/level.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "labels/quality/codeword_quality.h"
#include "labels/quality/fixed_pattern.h"

/* Steps and check values as published descriptions of ISO/IEC 15415:2011 and ISO/IEC 16022, Annex M give them; the
 * quotients were computed by hand. A rule that only memory gives says so. */

/* Just better than each step, on it, and just worse. */
static void each_kind_has_the_published_steps(void **state)
{
    static const struct {
        enum level_kind kind;
        double step[4]; /* of levels 4, 3, 2, 1 */
        int better;     /* sign of better */
        int on_step;    /* levels lost on the step; whether 0 or 1 is from memory for the fixed pattern's */
    } cases[] = {
        {LEVEL_MODULATION, {0.50, 0.40, 0.30, 0.20}, 1, 0},  {LEVEL_AXIAL, {0.06, 0.08, 0.10, 0.12}, -1, 0},
        {LEVEL_GRID, {0.38, 0.50, 0.63, 0.75}, -1, 0},       {LEVEL_UNUSED, {0.62, 0.50, 0.37, 0.25}, 1, 0},
        {LEVEL_LEG, {0, 0.09, 0.13, 0.17}, -1, 0},           {LEVEL_CLOCK, {0.10, 0.15, 0.20, 0.25}, -1, 1},
        {LEVEL_TRANSITION, {0.06, 0.08, 0.10, 0.12}, -1, 1}, {LEVEL_AVERAGE, {4.0, 3.5, 3.0, 2.5}, 1, 0},
    };
    (void)state;
    assert_int_equal(sizeof cases / sizeof *cases, LEVEL_KINDS);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (int k = 0; k < 4; k++) {
            const double step = cases[i].step[k], bit = 1e-4 * cases[i].better;
            if (level_of(cases[i].kind, step + bit) != 4 - k || level_of(cases[i].kind, step - bit) != 3 - k ||
                level_of(cases[i].kind, step) != 4 - k - cases[i].on_step)
                fail_msg("kind %d, step %g", (int)cases[i].kind, step);
        }
    for (enum level_kind kind = 0; kind < LEVEL_KINDS; kind++)
        assert_int_equal(level_of(kind, NAN), 0);
}

static void unused_error_correction_has_the_check_values(void **state)
{
    static const struct {
        int side, wrong, level;
        double unused;
    } cases[] = {
        {22, 0, 4, 1.00},  {22, 3, 4, 0.70},   {22, 4, 3, 0.60},  {22, 5, 3, 0.50},  {22, 6, 2, 0.40},
        {22, 7, 1, 0.30},  {22, 8, 0, 0.20},   {24, 4, 4, 0.667}, {24, 6, 3, 0.500}, {24, 7, 2, 0.417},
        {24, 9, 1, 0.250}, {24, 10, 0, 0.167}, {18, 2, 4, 0.714}, {18, 3, 3, 0.571}, {18, 4, 2, 0.429},
        {18, 5, 1, 0.286}, {18, 6, 0, 0.143},  {10, 1, 3, 0.60},  {10, 2, 0, 0.20},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        uint8_t bad[SYMBOL_CODEWORDS] = {0};
        for (int k = 0; k < cases[i].wrong; k++)
            bad[2 * k] = 1;
        const double unused = codeword_unused(symbol_size_find(cases[i].side, cases[i].side), bad);
        if (fabs(unused - cases[i].unused) > 0.0005 || level_of(LEVEL_UNUSED, unused) != cases[i].level)
            fail_msg("%d modules, %d wrong: %.3f", cases[i].side, cases[i].wrong, unused);
    }
}

/* ISO/IEC 16022:2006 Table 7: 52x52 has two blocks of 42 check words, 144x144 ten of 62. Words of a symbol with more
 * blocks cannot help each other, so the poorest block counts (ISO/IEC 15415). */
static void the_block_with_least_left_counts(void **state)
{
    uint8_t bad[SYMBOL_CODEWORDS] = {0};
    (void)state;
    bad[0] = bad[2] = bad[4] = bad[1] = 1;
    assert_true(fabs(codeword_unused(symbol_size_find(52, 52), bad) - (1 - 6.0 / 42)) < 1e-12);
    bad[10] = bad[20] = 1;
    assert_true(fabs(codeword_unused(symbol_size_find(144, 144), bad) - (1 - 6.0 / 62)) < 1e-12);
    for (int i = 0; i < 200; i++)
        bad[i] = 1;
    assert_true(codeword_unused(symbol_size_find(52, 52), bad) == 0);
}

static void a_leg_has_the_check_values(void **state)
{
    static const struct {
        int length, bad, level;
    } cases[] = {{22, 0, 4}, {22, 1, 3}, {22, 2, 2}, {22, 3, 1}, {22, 4, 0},
                 {24, 1, 3}, {24, 2, 3}, {24, 3, 2}, {24, 4, 1}, {24, 5, 0}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (level_of(LEVEL_LEG, (double)cases[i].bad / cases[i].length) != cases[i].level)
            fail_msg("%d bad of %d", cases[i].bad, cases[i].length);
}

static void a_clock_track_has_the_check_values(void **state)
{
    static const int levels[5] = {4, 4, 4, 2, 0}; /* 0 to 4 changes beside the 21 of a track of 22 modules */
    (void)state;
    for (int beside = 0; beside < 5; beside++)
        assert_int_equal(level_of(LEVEL_TRANSITION, fixed_pattern_transition_ratio(21, beside)), levels[beside]);
    assert_true(fabs(fixed_pattern_transition_ratio(21, 2) - 0.048) < 0.0005);
    assert_true(fabs(fixed_pattern_transition_ratio(21, 3) - 0.095) < 0.0005);
    assert_true(fabs(fixed_pattern_transition_ratio(21, 4) - 0.143) < 0.0005);
    assert_int_equal(level_of(LEVEL_TRANSITION, fixed_pattern_transition_ratio(0, 0)), 0);
}

/* The rule of five neighbours is from memory. */
static void two_wrong_modules_among_five_make_a_clock_irregular(void **state)
{
    (void)state;
    for (int gap = 1; gap < 8; gap++)
        for (int at = 0; at + gap < 12; at++) {
            uint8_t wrong[12] = {0};
            wrong[at] = wrong[at + gap] = 1;
            assert_int_equal(fixed_pattern_regular(wrong, 12), gap >= 5);
            wrong[at] = 0;
            assert_true(fixed_pattern_regular(wrong, 12));
        }
}

static void the_average_has_the_check_value(void **state)
{
    struct fixed_pattern pattern = {.count = 6};
    (void)state;
    for (int i = 0; i < 6; i++)
        pattern.segments[i] = (struct fixed_segment){.part = (enum fixed_part)i, .level = i == 4 ? 2 : 4};
    fixed_pattern_sum_up(&pattern); /* 4, 4, 4, 4 and 2 */
    assert_true(fabs(pattern.average - 3.6) < 1e-12);
    assert_int_equal(pattern.average_level, 3);
    assert_int_equal(pattern.level, 2);
    assert_int_equal(pattern.worst, 4);
    for (int i = 0; i < 4; i++)
        pattern.segments[i].level = 3;
    fixed_pattern_sum_up(&pattern); /* 3, 3, 3, 3 and 2: mean 2.8 */
    assert_int_equal(pattern.average_level, 1);
    assert_int_equal(pattern.level, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_kind_has_the_published_steps),
        cmocka_unit_test(unused_error_correction_has_the_check_values),
        cmocka_unit_test(the_block_with_least_left_counts),
        cmocka_unit_test(a_leg_has_the_check_values),
        cmocka_unit_test(a_clock_track_has_the_check_values),
        cmocka_unit_test(two_wrong_modules_among_five_make_a_clock_irregular),
        cmocka_unit_test(the_average_has_the_check_value),
    };
    return cmocka_run_group_tests_name("quality/level", tests, NULL, NULL);
}

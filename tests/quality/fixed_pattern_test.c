#include "labels/quality/fixed_pattern.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/quality/modules.h"

/* Damage of a known size on symbols by libzint. Levels by the tables of published descriptions of ISO/IEC 16022,
 * Annex M, the quotients by hand. Ink 20, paper 220. zint's sizes: 7 is 22x22, 8 is 24x24, 10 is 32x32 (four
 * regions). */
static struct module_values values;

static struct fixed_pattern measure(void)
{
    struct fixed_pattern pattern;
    const struct module_contrast contrast = module_values_contrast(&values);
    fixed_pattern_measure(&values, &contrast, &pattern);
    return pattern;
}

static void make(int zint_size)
{
    modules_make("KESTREL QUAY FLINT 0042", zint_size, 20, 220, &values);
}

static void an_undamaged_symbol_has_4_everywhere(void **state)
{
    (void)state;
    for (int size = 7; size < 12; size++) {
        make(size);
        const struct fixed_pattern pattern = measure();
        const int regions = values.size->rows / (values.size->region_rows + 2);
        assert_int_equal(pattern.count, 4 + 2 * regions * regions);
        assert_int_equal(pattern.level, 4);
        assert_true(pattern.average == 4);
        for (int i = 0; i < pattern.count; i++) {
            assert_int_equal(pattern.segments[i].wrong, 0);
            assert_true(pattern.segments[i].regular && pattern.segments[i].transition_ratio == 0);
        }
    }
}

/* n bad modules of a leg or its quiet zone: the check values, and no other segment suffers. */
static void bad_modules_of_a_leg_lower_that_leg(void **state)
{
    static const int levels[2][6] = {{4, 3, 2, 1, 0, 0}, {4, 3, 3, 2, 1, 0}}; /* of 22 modules, of 24 */
    (void)state;
    for (int which = 0; which < 2; which++)
        for (enum fixed_part part = FIXED_LEFT_LEG; part <= FIXED_BOTTOM_QUIET; part++) {
            make(7 + which);
            const int side = values.size->rows;
            for (int bad = 0; bad < 6; bad++) {
                const struct fixed_pattern pattern = measure();
                for (int i = 0; i < 4; i++)
                    assert_int_equal(pattern.segments[i].level, i == (int)part ? levels[which][bad] : 4);
                assert_int_equal(pattern.segments[part].wrong, bad);
                assert_int_equal(pattern.segments[part].modules, side);
                assert_int_equal(pattern.level, levels[which][bad]);
                assert_true(fabs(pattern.average - (16 + levels[which][bad]) / 5.0) < 1e-12);
                const int along = 2 + 3 * bad; /* not the corners: they are of two segments */
                const int row = part == FIXED_BOTTOM_LEG ? side - 1 : part == FIXED_BOTTOM_QUIET ? side : along;
                const int column = part == FIXED_LEFT_LEG ? 0 : part == FIXED_LEFT_QUIET ? -1 : along;
                modules_turn(&values, row, column);
            }
        }
}

/* Pale modules, not wrong ones: 2 of 22 with modulation 0.35 (level 2). Limits 4 and 3 leave 9.09 % damaged: level 2;
 * limit 2 leaves none: 4, so 2. With modulation 0.45 (level 3) limit 3 leaves none: 3. */
static void pale_modules_lower_a_leg_no_further_than_their_own_level(void **state)
{
    static const struct {
        float grey;
        int bad, level;
    } cases[] = {{85, 2, 2}, {75, 2, 3}, {75, 22, 3}, {85, 22, 2}, {95, 22, 1}, {95, 2, 2}, {95, 1, 3}, {105, 22, 0}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        make(7);
        for (int k = 0; k < cases[i].bad; k++)
            modules_set(&values, k, 0, cases[i].grey);
        assert_int_equal(measure().segments[FIXED_LEFT_LEG].level, cases[i].level);
        assert_int_equal(measure().segments[FIXED_LEFT_LEG].wrong, 0);
    }
}

/* Dark specks in the quiet zone above: each makes two changes. One: (2 - 1) / 21 = 0.048, level 4; two: 3 / 21 = 0.143,
 * level 0. The damage is 1 and 2 of 44 modules, below 10 %. */
static void specks_beside_a_clock_track_raise_its_transition_ratio(void **state)
{
    (void)state;
    make(7);
    modules_turn(&values, -1, 5);
    struct fixed_segment top = measure().segments[FIXED_TOP_CLOCK];
    assert_true(fabs(top.transition_ratio - 1 / 21.0) < 1e-12);
    assert_int_equal(top.level, 4);
    modules_turn(&values, -1, 12);
    top = measure().segments[FIXED_TOP_CLOCK];
    assert_true(fabs(top.transition_ratio - 3 / 21.0) < 1e-12);
    assert_int_equal(top.damage_level, 4);
    assert_int_equal(top.level, 0);
    assert_int_equal(measure().segments[FIXED_RIGHT_CLOCK].level, 4);
}

/* Part damaged of a clock track and the track beside it, 44 modules: 4 are 9.1 % (level 4), 5 are 11.4 % (3), 7 are
 * 15.9 % (2), 9 are 20.5 % (1), 11 are 25 % (0). Taken beside each other in the quiet zone, so that there are two
 * changes at most. */
static void damage_of_a_clock_track_counts_what_lies_beside_it(void **state)
{
    static const int levels[12] = {4, 4, 4, 4, 4, 3, 3, 2, 2, 1, 1, 0};
    (void)state;
    make(7);
    for (int bad = 0; bad < 12; bad++) {
        const struct fixed_segment right = measure().segments[FIXED_RIGHT_CLOCK];
        assert_int_equal(right.modules, 44);
        assert_int_equal(right.damage_level, levels[bad]);
        assert_int_equal(right.level, levels[bad]);
        modules_turn(&values, 4 + bad, 22);
    }
}

static void wrong_modules_close_together_break_the_clock(void **state)
{
    (void)state;
    make(7);
    modules_turn(&values, 0, 4);
    assert_true(measure().segments[FIXED_TOP_CLOCK].regular);
    modules_turn(&values, 0, 7);
    const struct fixed_pattern pattern = measure();
    assert_false(pattern.segments[FIXED_TOP_CLOCK].regular);
    assert_int_equal(pattern.level, 0);
    assert_int_equal(pattern.worst, FIXED_TOP_CLOCK);
}

/* 32x32 has four regions of 16: the track beside the clock of an inner side is the neighbour's dark leg. */
static void each_region_has_its_own_clock_tracks(void **state)
{
    (void)state;
    make(10);
    assert_int_equal(values.size->rows, 32);
    modules_turn(&values, 15, 20); /* the upper right region's bottom leg, beside the clock below it */
    modules_turn(&values, 15, 25);
    const struct fixed_pattern pattern = measure();
    int lowered = 0;
    for (int i = 0; i < pattern.count; i++) {
        const struct fixed_segment *segment = &pattern.segments[i];
        if (segment->level == 4)
            continue;
        lowered++;
        assert_int_equal(segment->part, FIXED_TOP_CLOCK);
        assert_int_equal(segment->region_row, 1);
        assert_int_equal(segment->region_column, 1);
        assert_int_equal(segment->wrong, 2);
        assert_true(fabs(segment->transition_ratio - 3 / 15.0) < 1e-12);
    }
    assert_int_equal(lowered, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_undamaged_symbol_has_4_everywhere),
        cmocka_unit_test(bad_modules_of_a_leg_lower_that_leg),
        cmocka_unit_test(pale_modules_lower_a_leg_no_further_than_their_own_level),
        cmocka_unit_test(specks_beside_a_clock_track_raise_its_transition_ratio),
        cmocka_unit_test(damage_of_a_clock_track_counts_what_lies_beside_it),
        cmocka_unit_test(wrong_modules_close_together_break_the_clock),
        cmocka_unit_test(each_region_has_its_own_clock_tracks),
    };
    return cmocka_run_group_tests_name("quality/fixed_pattern", tests, NULL, NULL);
}

#include "labels/quality/streak_columns.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "tests/quality/modules.h"
#include "tests/quality/print.h"

/* Each streak is drawn at a known place and must be found there to half a module; all other damage must mark nothing.
 * The drawing is the source; symbols are libzint's. Sizes are zint's option_2: 5 is 18x18, 7 is 22x22, 9 is 26x26. */

static void check_one_mark(const struct streak_columns *columns, double at)
{
    if (columns->count != 1 || fabs(columns->marks[0].at - at) > 0.5)
        fail_msg("a streak at %.2f modules: %zu marks, the first at %.2f", at, columns->count,
                 columns->count ? columns->marks[0].at : NAN);
}

/* A dead dot of four a module (203 dpi, 0.5 mm) and one of three, everywhere across the symbol but for the outermost
 * dot, whose loss only makes the symbol narrower. Wider gaps the reader often does not read at all, and what is not
 * read is not judged. */
static void a_dead_dot_is_found_where_it_lies(void **state)
{
    static const int sizes[] = {5, 7, 9};
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        for (int dots = 3; dots <= 4; dots++)
            for (int dot = dots == 3 ? 4 : 1; dot < 17 * dots; dot += 5) { /* with a third of the leg gone none reads */
                struct print print = print_fair(sizes[i]);
                print.pitch_x = print.pitch_y = 6;
                print.blur = 1.8;
                print.streak_wide = 1.0 / dots;
                print.streak_at = (double)dot / dots;
                const struct quality quality = print_measure(&print);
                check_one_mark(&quality.streaks, print.streak_at + print.streak_wide / 2);
            }
}

static void turned_mirrored_and_grown_prints_have_it_in_the_same_place(void **state)
{
    (void)state;
    for (int quarter = 0; quarter < 8; quarter++) {
        struct print print = print_fair(7);
        print.degrees = quarter % 4 * 90 + 12;
        print.mirrored = quarter >= 4;
        print.growth = 0.1;
        print.streak_at = 9.25;
        print.streak_wide = 0.25;
        const struct quality quality = print_measure(&print);
        check_one_mark(&quality.streaks, 9.375);
    }
}

static void fair_faint_blurred_and_noisy_prints_have_none(void **state)
{
    (void)state;
    for (int i = 0; i < 6; i++) {
        struct print print = print_fair(i % 2 ? 7 : 11); /* 36x36 has inner clock tracks */
        print.blur = i < 2 ? 1.2 : 2.5;
        print.noise = i < 4 ? 2 : 8;
        print.growth = i * 0.05 - 0.1;
        print.dark = 90;
        const struct quality quality = print_measure(&print);
        assert_int_equal(quality.streaks.count, 0);
    }
}

static void a_shadow_across_has_none(void **state)
{
    struct module_values values;
    struct streak_columns columns;
    (void)state;
    modules_make("KESTREL QUAY FLINT 0042", 7, 40, 200, &values);
    for (int row = -1; row <= values.size->rows; row++)
        for (int column = -1; column <= values.size->columns; column++)
            values.value[module_values_place(values.size, row, column)] *= (float)(1 + 0.03 * column);
    const struct module_contrast contrast = module_values_contrast(&values);
    streak_columns_measure(&values, &contrast, &columns);
    assert_int_equal(columns.count, 0);
}

/* Specks up to a fifth of all modules, a scratch along a row, a spot: they cost error correction, and are no streak. */
static void random_damage_and_scratches_across_have_none(void **state)
{
    int false_marks = 0;
    uint32_t seed = 7;
    (void)state;
    for (int trial = 0; trial < 500; trial++) {
        struct module_values values;
        struct streak_columns columns;
        modules_make("KESTREL QUAY FLINT 0042", 7, 20, 220, &values);
        for (int row = 0; row < 22; row++)
            for (int column = 0; column < 22; column++) {
                seed = seed * 1664525 + 1013904223;
                const bool speck = (seed >> 8) % 1000 < (unsigned)trial * 2 / 5;
                const bool scratch = trial % 5 == 1 && row == trial % 22;
                const bool spot = trial % 5 == 2 && abs(row - 6) < 3 && abs(column - trial % 22) < 3;
                if (speck || scratch || spot)
                    modules_set(&values, row, column, 200);
            }
        const struct module_contrast contrast = module_values_contrast(&values);
        streak_columns_measure(&values, &contrast, &columns);
        false_marks += (int)columns.count;
    }
    if (false_marks > 25) /* our own limit: 1 mark in 20 badly damaged symbols; streak.h lives with such */
        fail_msg("%d marks in 500 damaged symbols without a streak", false_marks);
}

static void nothing_to_see_has_none(void **state)
{
    struct module_values values;
    struct streak_columns columns = {.count = 7};
    (void)state;
    modules_make("A", 1, 100, 100, &values);
    const struct module_contrast contrast = module_values_contrast(&values);
    streak_columns_measure(&values, &contrast, &columns);
    assert_int_equal(columns.count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_dead_dot_is_found_where_it_lies),
        cmocka_unit_test(turned_mirrored_and_grown_prints_have_it_in_the_same_place),
        cmocka_unit_test(fair_faint_blurred_and_noisy_prints_have_none),
        cmocka_unit_test(a_shadow_across_has_none),
        cmocka_unit_test(random_damage_and_scratches_across_have_none),
        cmocka_unit_test(nothing_to_see_has_none),
    };
    return cmocka_run_group_tests_name("quality/streak_columns", tests, NULL, NULL);
}

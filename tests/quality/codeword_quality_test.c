#include "labels/quality/codeword_quality.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "labels/reading/module_matrix.h"
#include "tests/quality/modules.h"

/* Greys by hand: ink 20, paper 220, so contrast 200 and threshold 120; a module at grey v has modulation
 * 2 |v - 120| / 200 (the formula of ISO/IEC 15415:2011). Symbols by libzint; zint's size 7 is 22x22, 20 check words. */
static const float DARK = 20, LIGHT = 220;
enum { ZINT_22 = 7 };
static const char text[] = "KESTREL QUAY FLINT 0042";

static struct module_values values;

static struct codeword_modulation measure(bool margin)
{
    const struct module_contrast contrast = module_values_contrast(&values);
    return codeword_modulation_measure(&values, &contrast, margin);
}

static void make_fair(void)
{
    modules_make(text, ZINT_22, DARK, LIGHT, &values);
    assert_int_equal(values.size->rows, 22);
}

static void modulation_is_the_formula(void **state)
{
    (void)state;
    make_fair();
    const struct module_contrast contrast = module_values_contrast(&values);
    assert_true(contrast.dark == 20 && contrast.light == 220 && contrast.threshold == 120);
    const int dark = module_values_place(values.size, 21, 0), light = module_values_place(values.size, -1, -1);
    for (int grey = 20; grey <= 220; grey += 10) {
        values.value[dark] = values.value[light] = (float)grey;
        const double wanted = fabs(grey - 120.0) / 100;
        assert_true(fabs(module_values_modulation(&values, &contrast, dark) - wanted) < 1e-9);
        assert_true(fabs(module_values_margin(&values, &contrast, dark) - (grey < 120 ? wanted : 0)) < 1e-9);
        assert_true(fabs(module_values_margin(&values, &contrast, light) - (grey > 120 ? wanted : 0)) < 1e-9);
    }
}

/* All modules are this grey short of their end: every codeword has the same level, and so has the symbol. The L keeps
 * the contrast wide. */
static void evenly_poor_modules_give_their_own_level(void **state)
{
    static const struct {
        double modulation;
        int level;
    } cases[] = {{0.9, 4}, {0.5, 4}, {0.45, 3}, {0.35, 2}, {0.25, 1}, {0.15, 0}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        make_fair();
        for (int row = 0; row < 22; row++)
            for (int column = 0; column < 22; column++) {
                const int place = module_values_place(values.size, row, column);
                if (symbol_size_finder_at(values.size, row, column) < 0)
                    values.value[place] = (float)(120 + (values.dark[place] ? -100 : 100) * cases[i].modulation);
            }
        for (int margin = 0; margin < 2; margin++) {
            const struct codeword_modulation found = measure(margin);
            if (found.level != cases[i].level || fabs(found.least - cases[i].modulation) > 1e-5 ||
                fabs(found.middle - cases[i].modulation) > 1e-5)
                fail_msg("%g: level %d, least %g", cases[i].modulation, found.level, found.least);
        }
    }
}

/* One pale module in each of t codewords: error correction of 20 words forgives as it would wrong ones. With modules of
 * level 1 the symbol has the larger of that and what is left: t = 3 leaves 0.70 (level 4), 4 and 5 level 3, 6 level 2,
 * 7 level 1, more level 0, where the modules' own level 1 stays. */
static void poor_codewords_are_forgiven_as_error_correction_would(void **state)
{
    static const int levels[10] = {4, 4, 4, 4, 3, 3, 2, 1, 1, 1};
    (void)state;
    make_fair();
    for (int t = 0; t < 10; t++) {
        const struct codeword_modulation modulation = measure(false), margin = measure(true);
        if (modulation.level != levels[t] || margin.level != levels[t])
            fail_msg("%d pale: levels %d and %d", t, modulation.level, margin.level);
        int row = 0, column = 0;
        modules_of_codeword(values.size, 3 * t, &row, &column);
        const bool dark = values.dark[module_values_place(values.size, row, column)];
        modules_set(&values, row, column, dark ? 95 : 145); /* modulation 0.25 */
    }
}

/* Modules of the wrong colour at full contrast: the modulation does not see them, the margin and the error correction
 * do. The levels are those of the unused error correction alone. */
static void wrong_modules_count_against_the_margin_and_not_the_modulation(void **state)
{
    static const int levels[10] = {4, 4, 4, 4, 3, 3, 2, 1, 0, 0};
    (void)state;
    make_fair();
    for (int t = 0; t < 10; t++) {
        const struct module_contrast contrast = module_values_contrast(&values);
        const struct codeword_unused_now unused = codeword_unused_measure(&values, &contrast);
        assert_int_equal(measure(false).level, 4);
        assert_int_equal(measure(true).level, levels[t]);
        assert_int_equal(unused.level, levels[t]);
        assert_int_equal(unused.wrong, t);
        assert_true(fabs(unused.unused - (1 - t / 10.0)) < 1e-9);
        int row = 0, column = 0;
        modules_of_codeword(values.size, 5 * t, &row, &column);
        modules_turn(&values, row, column);
    }
}

static void the_finder_and_the_quiet_zone_take_no_part(void **state)
{
    (void)state;
    make_fair();
    for (int row = -1; row <= 22; row++)
        for (int column = -1; column <= 22; column++)
            if (row < 0 || row == 22 || column < 0 || column == 22 ||
                symbol_size_finder_at(values.size, row, column) >= 0)
                modules_set(&values, row, column, 121);
    assert_int_equal(measure(true).level, 4);
}

static void without_contrast_everything_is_0(void **state)
{
    (void)state;
    modules_make(text, ZINT_22, 90, 90, &values);
    assert_int_equal(measure(false).level, 0);
    assert_true(measure(false).least == 0);
}

/* What is wanted, written by this project from the data codewords alone, is what zint wrote: 10x10, 52x52 with its two
 * blocks, 144x144 with ten, 26x64 of ISO/IEC 21471. */
static void what_is_wanted_is_what_zint_writes(void **state)
{
    static const int sizes[] = {1, 15, 24, 48};
    static struct module_values other;
    static struct reader_symbol symbol;
    static uint8_t modules[SYMBOL_MODULES];
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        modules_make("123456", sizes[i], DARK, LIGHT, &values);
        const struct symbol_size *size = values.size;
        for (int k = 0; k < size->rows * size->columns; k++)
            modules[k] = values.dark[module_values_place(size, k / size->columns, k % size->columns)];
        assert_true(module_matrix_read(size, modules, NULL, NULL, &symbol) && symbol.corrected == 0);
        module_values_want(size, symbol.codewords, &other);
        assert_memory_equal(other.dark, values.dark, sizeof values.dark);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(modulation_is_the_formula),
        cmocka_unit_test(evenly_poor_modules_give_their_own_level),
        cmocka_unit_test(poor_codewords_are_forgiven_as_error_correction_would),
        cmocka_unit_test(wrong_modules_count_against_the_margin_and_not_the_modulation),
        cmocka_unit_test(the_finder_and_the_quiet_zone_take_no_part),
        cmocka_unit_test(without_contrast_everything_is_0),
        cmocka_unit_test(what_is_wanted_is_what_zint_writes),
    };
    return cmocka_run_group_tests_name("quality/codeword_quality", tests, NULL, NULL);
}

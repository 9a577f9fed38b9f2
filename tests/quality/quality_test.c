#include "labels/quality/quality.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/pictures/camera.h"
#include "tests/quality/modules.h"
#include "tests/quality/print.h"

/* From a picture to the numbers: each defect is drawn at a known size, and the estimate must say that size within the
 * tolerance beside it. Symbols by libzint; zint's size 7 is 22x22. Check values of levels as in level_test.c. */
enum { ZINT_22 = 7 };

static void check_near(const char *what, double found, double wanted, double allowed)
{
    if (!(fabs(found - wanted) <= allowed))
        fail_msg("%s is %.4f, not %.4f within %g", what, found, wanted, allowed);
}

static void check_all_at_4(const struct quality *quality)
{
    for (enum quality_parameter i = 0; i < QUALITY_PARAMETERS; i++)
        if (quality->level[i] != 4)
            fail_msg("%s is %d", quality_parameter_name(i), quality->level[i]);
}

/* 22x22 has one region, 36x36 four, 52x52 two blocks too; 12x36 and 16x48 are oblong, 26x64 is of ISO/IEC 21471. */
static void a_fair_print_has_4_everywhere_at_every_size(void **state)
{
    static const int sizes[] = {ZINT_22, 11, 15, 28, 30, 48};
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        const struct print print = print_fair(sizes[i]);
        const struct quality quality = print_measure(&print);
        check_all_at_4(&quality);
        check_near("pixels a module", quality.pixels_a_module, 10, 0.02);
        check_near("growth", quality.growth[0], 0, 0.01);
        check_near("growth", quality.growth[1], 0, 0.01);
        check_near("grid", quality.grid, 0, 0.02);
        check_near("axial", quality.axial, 0, 0.002);
        check_near("unused", quality.unused.unused, 1, 0);
    }
}

static void turned_mirrored_and_inverted_prints_have_the_same_numbers(void **state)
{
    (void)state;
    for (int i = 0; i < 16; i++) {
        struct print print = print_fair(ZINT_22);
        const int quarter = i / 4;
        print.degrees = quarter * 90 + 20;
        print.mirrored = i % 2;
        print.growth = 0.12;
        print.pitch_x = 10.4;
        print_turn(&print, 8, 0); /* one bad module of the left leg */
        if (i % 4 > 1) {
            print.dark = 210;
            print.light = 40;
        }
        const struct quality quality = print_measure(&print);
        assert_int_equal(quality.fixed.segments[FIXED_LEFT_LEG].wrong, 1);
        assert_int_equal(quality.fixed.segments[FIXED_BOTTOM_LEG].wrong, 0);
        assert_int_equal(quality.worst, QUALITY_FIXED_PATTERN);
        check_near("growth", quality.growth[0], 0.12, 0.01);
        check_near("axial", quality.axial, 0.4 / 10.2, 0.003);
        check_near("contrast", quality.contrast, 170 / 210.0, 0.03);
    }
}

/* n modules of the left leg printed light: 4.55 %, 9.09 %, 13.6 %, 18.2 % of 22. */
static void bad_modules_of_a_leg_give_its_level(void **state)
{
    static const int levels[5] = {4, 3, 2, 1, 0};
    struct print print = print_fair(ZINT_22);
    (void)state;
    for (int bad = 0; bad < 5; bad++) {
        const struct quality quality = print_measure(&print);
        assert_int_equal(quality.fixed.segments[FIXED_LEFT_LEG].wrong, bad);
        assert_int_equal(quality.fixed.segments[FIXED_LEFT_LEG].level, levels[bad]);
        assert_int_equal(quality.level[QUALITY_FIXED_PATTERN], levels[bad]);
        print_turn(&print, 3 + 4 * bad, 0);
    }
}

/* t codewords printed wrong, one module each: 1 - 2t / 20. From 8 on it is below the last step. */
static void wrong_codewords_use_up_error_correction(void **state)
{
    static const int levels[10] = {4, 4, 4, 4, 3, 3, 2, 1, 0, 0};
    struct print print = print_fair(ZINT_22);
    (void)state;
    for (int t = 0; t < 10; t++) {
        const struct quality quality = print_measure(&print);
        assert_int_equal(quality.unused.wrong, t);
        check_near("unused", quality.unused.unused, 1 - t / 10.0, 1e-9);
        assert_int_equal(quality.level[QUALITY_UNUSED], levels[t]);
        assert_int_equal(quality.level[QUALITY_MARGIN], levels[t]);
        int row = 0, column = 0;
        modules_of_codeword(print.symbol.size, 5 * t, &row, &column);
        print_turn(&print, row, column);
    }
}

/* To a hundredth of a module at 10 pixels a module up to 0.3; beyond, and with fewer pixels, blur hides a part of it,
 * but more is still more. */
static void print_growth_is_measured_in_modules_and_pixels(void **state)
{
    double last = -1;
    (void)state;
    for (int tenths = -3; tenths <= 5; tenths++) {
        const double growth = tenths / 10.0;
        struct print print = print_fair(ZINT_22);
        print.growth = growth;
        const struct quality quality = print_measure(&print);
        for (int k = 0; k < EDGE_AXES; k++) {
            check_near("growth", quality.growth[k], growth, growth < 0.35 ? 0.01 : 0.06);
            check_near("growth in pixels", quality.growth_pixels[k], 10 * quality.growth[k], 0.02);
        }
        assert_true(quality.growth[0] > last + 0.05);
        last = quality.growth[0];
        check_near("pixels a module", quality.pixels_a_module, 10, 0.03); /* not the stretched ones */
        check_near("axial", quality.axial, 0, 0.002);
        check_near("grid", quality.grid, 0, 0.08);
    }
}

static void ink_that_spreads_lowers_the_modulation_step_by_step(void **state)
{
    double last = 1;
    int last_level = 4;
    (void)state;
    for (int tenths = 0; tenths <= 4; tenths++) {
        const double growth = tenths / 10.0;
        struct print print = print_fair(ZINT_22);
        print.growth = growth;
        const struct quality quality = print_measure(&print);
        assert_true(quality.modulation.middle < last);
        assert_true(quality.level[QUALITY_MODULATION] <= last_level);
        last = quality.modulation.middle;
        last_level = quality.level[QUALITY_MODULATION];
    }
    assert_int_equal(last_level, 0);
}

/* |ratio - 1| / ((ratio + 1) / 2), along either axis, at the steps 0.06, 0.08, 0.10, 0.12. */
static void a_stretched_print_has_the_ratio_it_was_drawn_with(void **state)
{
    (void)state;
    for (int i = 0; i < 20; i++) {
        struct print print = print_fair(ZINT_22);
        const int step = i / 2;
        const double ratio = 1 + step * 0.015;
        *(i % 2 ? &print.pitch_x : &print.pitch_y) = 10 * ratio;
        const double wanted = (ratio - 1) / ((ratio + 1) / 2);
        const struct quality quality = print_measure(&print);
        check_near("axial", quality.axial, wanted, 0.002);
        check_near("pixels a module", quality.pixels_a_module, 5 + 5 * ratio, 0.02);
        check_near("grid", quality.grid, 0, 0.02);
        if (fabs(fmod(wanted + 0.01, 0.02) - 0.01) > 0.002) /* not on a step */
            assert_int_equal(quality.level[QUALITY_AXIAL], wanted < 0.06   ? 4
                                                           : wanted < 0.08 ? 3
                                                           : wanted < 0.1  ? 2
                                                           : wanted < 0.12 ? 1
                                                                           : 0);
    }
}

/* Rows bent down by a known part of a module in the middle; the four sides stay straight. Half a module is as far as
 * edges are followed, and about where a symbol stops reading. */
static void a_bent_print_has_the_shift_it_was_drawn_with(void **state)
{
    (void)state;
    for (int tenths = 0; tenths <= 4; tenths++) {
        const double bow = tenths / 10.0;
        struct print print = print_fair(ZINT_22);
        print.bow = bow;
        const struct quality quality = print_measure(&print);
        check_near("grid", quality.grid, bow, 0.01 + 0.1 * bow);
        check_near("axial", quality.axial, 0, 0.003);
    }
}

/* A sheared or evenly stretched symbol is what a tilted camera sees too: no shift of the grid. */
static void shear_is_not_a_shift(void **state)
{
    struct print print = print_fair(ZINT_22);
    (void)state;
    print.shear = 1.5;
    const struct quality quality = print_measure(&print);
    check_near("grid", quality.grid, 0, 0.02);
}

/* Paler ink or a darker picture: the contrast follows, and what is measured relative to it stays. */
static void lower_contrast_changes_the_contrast_alone(void **state)
{
    (void)state;
    for (int dark = 40; dark <= 160; dark += 20) {
        struct print print = print_fair(ZINT_22);
        print.dark = dark;
        const struct quality quality = print_measure(&print);
        check_near("contrast", quality.contrast, (210 - dark) / 210.0, 0.03); /* noise widens the extremes */
        check_near("darkest", quality.darkest, dark, 6);
        check_near("lightest", quality.lightest, 210, 6);
        check_near("modulation", quality.modulation.middle, 0.9, 0.03);
        check_all_at_4(&quality);
    }
}

static void blur_lowers_the_modulation_and_not_the_other_numbers(void **state)
{
    double last = 1;
    (void)state;
    for (int halves = 1; halves <= 6; halves++) {
        const double blur = halves / 2.0;
        struct print print = print_fair(ZINT_22);
        print.blur = blur;
        const struct quality quality = print_measure(&print);
        assert_true(quality.modulation.least < last);
        last = quality.modulation.least;
        check_near("growth", quality.growth[0], 0, 0.02);
        check_near("grid", quality.grid, 0, 0.1);
        check_near("unused", quality.unused.unused, 1, 0);
    }
    assert_true(last < 0.5);
}

/* Through the pinhole of tests/pictures: a label tilted by a degrees about an axis along its rows is shortened to
 * about cos a one way (exactly: the four corners' sides by the map), which reads as axial non-uniformity; the
 * homography takes the rest. */
static void tilt_reads_as_axial_non_uniformity_and_nothing_else(void **state)
{
    static const int tilts[] = {0, 10, 20, 30};
    struct print print = print_fair(ZINT_22); /* for its symbol */
    struct reader *reader = reader_create();
    (void)state;
    assert_non_null(reader);
    for (size_t i = 0; i < sizeof tilts / sizeof *tilts; i++) {
        struct camera camera;
        struct panel panel;
        int x = 0, y = 0;
        assert_true(camera_open(&camera, 640, 480, 1500, 90, 7));
        const struct panel_label label = {.dark = 40, .light = 210, .quiet = 3, .bare = true};
        assert_true(panel_create_label(&panel, &label, &print.symbol, &x, &y));
        const struct camera_pose pose = {.x = 320, .y = 240, .module = 10, .tilt = tilts[i], .tilt_towards = 90};
        const struct camera_map map = camera_aim(&camera, &panel, &pose);
        camera_draw(&camera, &panel, &map, 4);
        assert_true(camera_lens(&camera, 1, 0));
        double corner[4][2];
        const int side = 22 * PANEL_TEXELS;
        for (int k = 0; k < 4; k++)
            camera_point(&map, x + (k == 1 || k == 2 ? side : 0), y + (k > 1 ? side : 0), corner[k]);
        double length[2] = {0};
        for (int k = 0; k < 4; k++)
            length[k % 2] += hypot(corner[k][0] - corner[(k + 1) % 4][0], corner[k][1] - corner[(k + 1) % 4][1]);
        const double wanted = fabs(length[0] - length[1]) / ((length[0] + length[1]) / 2);
        const struct grey grey = {camera.pixels, camera.width, camera.height, (size_t)camera.width};
        struct reader_result result = {0};
        struct quality quality;
        assert_true(reader_read(reader, &grey, &result, NULL) && result.count == 1);
        assert_true(quality_measure(&grey, &result.symbols[0], &quality, NULL));
        check_near("axial", quality.axial, wanted, 0.003);
        check_near("axial", wanted, 2 * (1 - cos(tilts[i] * M_PI / 180)) / (1 + cos(tilts[i] * M_PI / 180)), 0.01);
        check_near("grid", quality.grid, 0, 0.03);
        check_near("growth", quality.growth[1], 0, 0.02);
        panel_clear(&panel);
        camera_close(&camera);
    }
    reader_destroy(reader);
}

static void what_is_no_data_matrix_symbol_is_refused(void **state)
{
    static const uint8_t pixels[100];
    const struct grey grey = {pixels, 10, 10, 10};
    struct reader_symbol symbol = {.rows = 0};
    struct quality quality = {.pixels_a_module = 77};
    struct fault fault = {0};
    (void)state;
    assert_false(quality_measure(&grey, &symbol, &quality, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    symbol.rows = symbol.columns = 10; /* all corners in one place */
    assert_false(quality_measure(&grey, &symbol, &quality, &fault));
    assert_non_null(strstr(fault.text, "read it again"));
    assert_true(quality.pixels_a_module == 77);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fair_print_has_4_everywhere_at_every_size),
        cmocka_unit_test(turned_mirrored_and_inverted_prints_have_the_same_numbers),
        cmocka_unit_test(bad_modules_of_a_leg_give_its_level),
        cmocka_unit_test(wrong_codewords_use_up_error_correction),
        cmocka_unit_test(print_growth_is_measured_in_modules_and_pixels),
        cmocka_unit_test(ink_that_spreads_lowers_the_modulation_step_by_step),
        cmocka_unit_test(a_stretched_print_has_the_ratio_it_was_drawn_with),
        cmocka_unit_test(a_bent_print_has_the_shift_it_was_drawn_with),
        cmocka_unit_test(shear_is_not_a_shift),
        cmocka_unit_test(lower_contrast_changes_the_contrast_alone),
        cmocka_unit_test(blur_lowers_the_modulation_and_not_the_other_numbers),
        cmocka_unit_test(tilt_reads_as_axial_non_uniformity_and_nothing_else),
        cmocka_unit_test(what_is_no_data_matrix_symbol_is_refused),
    };
    return cmocka_run_group_tests_name("quality/quality", tests, NULL, NULL);
}

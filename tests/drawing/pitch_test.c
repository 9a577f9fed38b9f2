#include "labels/drawing/pitch.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"
#include "labels/drawing/dots.h"
#include "labels/drawing/label.h"

/* A printer whose dots are not as far apart as it says: dot n comes out at n * 25.4 / dpi * size (an inch is 25.4 mm).
 * What a template says in millimetres must come out in millimetres, and modules stay whole dots. */

static const int resolutions[] = {203, 300, 600};
static const int sizes[][PITCH_AXES] = {
    {100000, 100000}, {97000, 103000}, {103000, 97000}, {101234, 99871}, {95000, 105000}};
enum { RESOLUTIONS = 3, SIZES = 5 };

static void a_printer_without_fault_has_the_dots_of_its_resolution(void **state)
{
    (void)state;
    for (int r = 0; r < RESOLUTIONS; r++) {
        const struct pitch pitch = pitch_nominal(resolutions[r]);
        for (int um = 0; um <= 420000; um += 997) {
            assert_int_equal(pitch_dots(&pitch, PITCH_ACROSS, um), dots_of_um(um, resolutions[r]));
            assert_int_equal(pitch_dots(&pitch, PITCH_DOWN, um), dots_of_um(um, resolutions[r]));
        }
    }
}

static void lengths_come_out_to_half_a_dot(void **state)
{
    (void)state;
    for (int r = 0; r < RESOLUTIONS; r++)
        for (int s = 0; s < SIZES; s++)
            for (int um = 0; um <= 420000; um += 997)
                for (int k = 0; k < PITCH_AXES; k++) {
                    const struct pitch pitch = {resolutions[r], {sizes[s][0], sizes[s][1]}};
                    const double dot = 25.4 / resolutions[r] * sizes[s][k] / 100000.0, mm = um / 1000.0;
                    const int dots = pitch_dots(&pitch, k, um), before = pitch_before(&pitch, k, um);
                    const int after = pitch_after(&pitch, k, um);
                    if (!(fabs(dots * dot - mm) <= dot / 2 + 1e-9 && before * dot <= mm + 1e-9 &&
                          (before + 1) * dot > mm - 1e-9 && after * dot >= mm - 1e-9 && (after - 1) * dot < mm + 1e-9 &&
                          fabs(pitch_mm(&pitch, k, dots) - dots * dot) < 1e-9))
                        fail_msg("%d um at %d dpi, size %d: %d, %d, %d dots", um, resolutions[r], sizes[s][k], before,
                                 dots, after);
                }
}

static void a_least_module_in_dots_stays_so_many_dots(void **state)
{
    (void)state;
    for (int dpi = DOTS_DPI_MIN; dpi <= DOTS_DPI_MAX; dpi += 7)
        for (int s = 0; s < SIZES; s++)
            for (int module = 1; module <= 99; module++) {
                const struct pitch pitch = {dpi, {sizes[s][0], sizes[s][1]}};
                assert_int_equal(pitch_after_both(&pitch, pitch_module_um(&pitch, module)), module);
            }
}

static void what_is_farther_off_is_a_sentence(void **state)
{
    static const struct pitch bad[] = {
        {99, {100000, 100000}}, {1201, {100000, 100000}}, {203, {94999, 100000}}, {203, {100000, 105001}}};
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct fault fault = {0};
        assert_false(pitch_check(&bad[i], &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
    }
}

struct ends {
    int left, right, top, bottom; /* dots: first black, one past the last */
};

static struct ends ends_of(const struct dots *dots)
{
    struct ends ends = {dots->width, 0, dots->height, 0};
    for (int y = 0; y < dots->height; y++)
        for (int x = 0; x < dots->width; x++)
            if (dots_get(dots, x, y)) {
                ends.left = x < ends.left ? x : ends.left;
                ends.right = x + 1 > ends.right ? x + 1 : ends.right;
                ends.top = y < ends.top ? y : ends.top;
                ends.bottom = y + 1;
            }
    return ends;
}

/* The printer moves everything by some dots too; dots_place brings it back. */
static void a_frame_comes_out_where_the_template_has_it(void **state)
{
    static struct template template;
    enum { RIGHT = 9, DOWN = -4 }; /* dots by which this printer is off */
    read_text("label 50 x 25\nframe at 3 2 room 40 x 20 thick 0.4\n", &template);
    for (int r = 0; r < RESOLUTIONS; r++)
        for (int s = 0; s < SIZES; s++) {
            const struct pitch pitch = {resolutions[r], {sizes[s][0], sizes[s][1]}};
            const int width = dots_of_um(50000, pitch.dpi), height = dots_of_um(25000, pitch.dpi);
            struct dots dots = {.rows = NULL};
            struct fault fault = {0};
            if (!label_draw_for(*state, &template, NULL, 0, &pitch, &dots, &fault) ||
                !dots_place(&dots, -RIGHT, -DOWN, width, height, &fault))
                fail_msg("%d dpi: %s", pitch.dpi, fault.text);
            assert_int_equal(dots.width, width); /* the raster is the roll's, whatever the printer does */
            assert_int_equal(dots.height, height);
            assert_int_equal(dots.dpi, pitch.dpi);
            const struct ends ends = ends_of(&dots);
            const double across = 25.4 / pitch.dpi * sizes[s][0] / 100000,
                         down = 25.4 / pitch.dpi * sizes[s][1] / 100000;
            const double came_out[] = {(ends.left + RIGHT) * across, (ends.right + RIGHT) * across,
                                       (ends.top + DOWN) * down, (ends.bottom + DOWN) * down};
            const double wanted[] = {3, 43, 2, 22};
            for (int i = 0; i < 4; i++)
                if (fabs(came_out[i] - wanted[i]) > (i < 2 ? across : down))
                    fail_msg("%d dpi, size %d, %d: side %d came out at %.3f, not %g", pitch.dpi, sizes[s][0],
                             sizes[s][1], i, came_out[i], wanted[i]);
            dots_clear(&dots);
        }
}

static void modules_are_whole_dots_whatever_the_size(void **state)
{
    static struct template template;
    struct label_field fields[LABEL_FIELD_IDS];
    load_shipped("vat-case", &template);
    const size_t count = sample_fields("vat-case", false, fields);
    for (int s = 0; s < SIZES; s++) {
        const struct pitch pitch = {300, {sizes[s][0], sizes[s][1]}};
        struct dots dots = {.rows = NULL};
        struct fault fault = {0};
        if (!label_draw_for(*state, &template, fields, count, &pitch, &dots, &fault))
            fail_msg("%s", fault.text);
        /* the symbol's first row is its clock track: dark, light, dark, … each as wide as the first */
        int x = 0, y = 0, module = 0;
        for (int i = 0; i < dots.width * dots.height / 2 && !dots_get(&dots, x, y); i++) {
            y = i % (dots.height * 18 / 25);
            x = i / (dots.height * 18 / 25);
        }
        while (dots_get(&dots, x + module, y))
            module++;
        assert_in_range(module, 4, 7); /* 0.38 to 0.6 mm */
        for (int i = 0; i < 16 * module; i++)
            for (int down = 0; down < module; down++)
                assert_int_equal(dots_get(&dots, x + i, y + down), i / module % 2 == 0);
        dots_clear(&dots);
    }
}

/* A label that comes out 3 % short has no dots for what stands at its far end. */
static void what_has_no_dots_left_is_refused_as_ink_that_would_be_lost(void **state)
{
    static struct template template;
    struct dots dots = {.rows = NULL};
    struct fault fault = {0};
    const struct pitch small = {203, {97000, 97000}}, large = {203, {103000, 103000}};
    read_text("label 50 x 25\nframe at 0.5 0.5 room 49 x 24 thick 0.4\n", &template);
    assert_true(label_draw_for(*state, &template, NULL, 0, &small, &dots, &fault));
    assert_true(dots.width > 400);
    assert_false(dots_place(&dots, 0, 0, 400, 200, &fault));
    assert_non_null(strstr(fault.text, "would lose ink"));
    dots_clear(&dots);
    assert_true(label_draw_for(*state, &template, NULL, 0, &large, &dots, &fault));
    assert_true(dots.width < 400);
    assert_true(dots_place(&dots, 0, 0, 400, 200, &fault));
    assert_int_equal(dots.width, 400);
    dots_clear(&dots);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_printer_without_fault_has_the_dots_of_its_resolution),
        cmocka_unit_test(lengths_come_out_to_half_a_dot),
        cmocka_unit_test(a_least_module_in_dots_stays_so_many_dots),
        cmocka_unit_test(what_is_farther_off_is_a_sentence),
        cmocka_unit_test(a_frame_comes_out_where_the_template_has_it),
        cmocka_unit_test(modules_are_whole_dots_whatever_the_size),
        cmocka_unit_test(what_has_no_dots_left_is_refused_as_ink_that_would_be_lost),
    };
    return cmocka_run_group_tests_name("drawing/pitch", tests, create_drawer, destroy_drawer);
}

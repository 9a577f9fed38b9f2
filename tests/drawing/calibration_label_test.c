#include "labels/drawing/calibration_label.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "drawing_help.h"
#include "labels/drawing/calibration_plan.h"
#include "labels/drawing/label_png.h"

/* A label printer is measured by this label, so its lines must lie where they say. An inch is 25.4 mm; a dot of
 * 203 dpi is 0.1251 mm, of 300 dpi 0.0847, of 600 dpi 0.0423. A program that is not ours reads the symbols. */

static const int resolutions[] = {203, 300, 600};
static const struct {
    int width_um, height_um;
} media[] = {{25000, 13000}, {50000, 25000}, {57000, 32000}, {100000, 150000}};
enum { RESOLUTIONS = 3, MEDIA = 4 };

static struct calibration_plan plan;

static void make(int width_um, int height_um, int dpi)
{
    struct fault fault = {0};
    if (!calibration_plan_make(width_um, height_um, dpi, &plan, &fault))
        fail_msg("%s", fault.text);
}

static bool meet(const struct layout_box *a, const struct layout_box *b)
{
    return a->x < b->x + b->width && b->x < a->x + a->width && a->y < b->y + b->height && b->y < a->y + a->height;
}

static struct dots draw(struct drawer *drawer, int width_um, int height_um, int dpi)
{
    struct dots dots = {0};
    struct fault fault = {0};
    if (!calibration_label_draw(drawer, width_um, height_um, dpi, &dots, &fault))
        fail_msg("%s", fault.text);
    return dots;
}

static void ruler_lines_lie_on_their_millimetres(void **state)
{
    for (int r = 0; r < RESOLUTIONS; r++) {
        const int dpi = resolutions[r];
        struct dots dots = draw(*state, 50000, 25000, dpi);
        for (int mm = 5; mm <= 46; mm++) { /* the line's first dot is black, the one before it white */
            const int x = (int)lround(mm * dpi / 25.4), y = (int)lround(1.5 * dpi / 25.4);
            if (!dots_get(&dots, x, y) || dots_get(&dots, x - 1, y))
                fail_msg("no line at %d mm across, %d dpi", mm, dpi);
        }
        for (int mm = 5; mm <= 21; mm++) {
            const int y = (int)lround(mm * dpi / 25.4), x = (int)lround(1.5 * dpi / 25.4);
            if (!dots_get(&dots, x, y) || dots_get(&dots, x, y - 1))
                fail_msg("no line at %d mm down, %d dpi", mm, dpi);
        }
        dots_clear(&dots);
    }
}

static void the_stretch_is_40_mm_where_there_is_room(void **state)
{
    (void)state;
    make(50000, 25000, 203);
    assert_int_equal(plan.stretch_mm, 40);
    assert_int_equal(plan.stretch_down_mm, 10);
    make(25000, 13000, 203);
    assert_int_equal(plan.stretch_mm, 10);
    assert_int_equal(plan.stretch_down_mm, 0);
    make(100000, 150000, 203);
    assert_int_equal(plan.stretch_mm, 40);
    assert_int_equal(plan.stretch_down_mm, 40);
}

/* A photograph needs one symbol that was read to say it; the smallest label has room for no more. */
static void a_symbol_says_how_large_the_label_is(void **state)
{
    (void)state;
    for (int m = 0; m < MEDIA; m++)
        for (int r = 0; r < RESOLUTIONS; r++) {
            make(media[m].width_um, media[m].height_um, resolutions[r]);
            size_t saying = 0;
            for (size_t i = 0; i < plan.symbol_count; i++)
                saying += plan.symbols[i].says_size;
            assert_true(saying >= (media[m].height_um < 20000 ? 1 : 4));
        }
}

/* Quiet zones: at least one module by ISO/IEC 16022; two are kept. */
static void symbols_rise_by_a_dot_each_with_white_around(void **state)
{
    for (int m = 0; m < MEDIA; m++)
        for (int r = 0; r < RESOLUTIONS; r++) {
            const int dpi = resolutions[r];
            make(media[m].width_um, media[m].height_um, dpi);
            struct dots dots = draw(*state, media[m].width_um, media[m].height_um, dpi);
            assert_true(plan.symbol_count >= 2);
            for (size_t i = 0; i < plan.symbol_count; i++) {
                const struct calibration_module *symbol = &plan.symbols[i];
                const int quiet = 2 * symbol->dots, side = symbol->ink.width;
                assert_int_equal(symbol->dots, 2 + i);
                assert_int_equal(side, symbol->matrix.columns * symbol->dots);
                for (int y = -quiet; y < side + quiet; y++)
                    for (int x = -quiet; x < side + quiet; x++) {
                        const bool in = x >= 0 && y >= 0 && x < side && y < side;
                        const bool dark = in && matrix_get(&symbol->matrix, y / symbol->dots, x / symbol->dots);
                        if (dots_get(&dots, symbol->ink.x + x, symbol->ink.y + y) != dark)
                            fail_msg("%d dpi, media %d, symbol of %d dots: dot %d, %d", dpi, m, symbol->dots, x, y);
                    }
            }
            dots_clear(&dots);
        }
}

static void nothing_stands_outside_the_margin_or_on_each_other(void **state)
{
    for (int m = 0; m < MEDIA; m++)
        for (int r = 0; r < RESOLUTIONS; r++) {
            make(media[m].width_um, media[m].height_um, resolutions[r]);
            struct dots dots = draw(*state, media[m].width_um, media[m].height_um, resolutions[r]);
            const int margin = dots_of_um(CALIBRATION_MARGIN_UM, resolutions[r]);
            for (int y = 0; y < dots.height; y++)
                for (int x = 0; x < dots.width; x++)
                    if (x < margin || y < margin || x >= dots.width - margin || y >= dots.height - margin)
                        assert_false(dots_get(&dots, x, y));
            for (size_t i = 0; i < plan.symbol_count; i++) {
                assert_false(meet(&plan.symbols[i].ink, &plan.arrow));
                for (size_t k = 0; k < plan.box_count; k++)
                    assert_false(meet(&plan.symbols[i].ink, &plan.boxes[k]));
                for (size_t k = 0; k < i; k++)
                    assert_false(meet(&plan.symbols[i].ink, &plan.symbols[k].ink));
            }
            dots_clear(&dots);
        }
}

static void a_mark_stands_in_every_corner_and_the_arrow_points_to_the_top(void **state)
{
    struct dots dots = draw(*state, 50000, 25000, 203);
    const int margin = 8; /* 1 mm at 203 dpi is 7.99 dots */
    make(50000, 25000, 203);
    assert_true(dots_get(&dots, margin, margin));
    assert_true(dots_get(&dots, dots.width - 1 - margin, margin));
    assert_true(dots_get(&dots, margin, dots.height - 1 - margin));
    assert_true(dots_get(&dots, dots.width - 1 - margin, dots.height - 1 - margin));
    int widths[2] = {0, 0}; /* black dots of the arrow's second row and of its middle row but one */
    for (int x = plan.arrow.x; x < plan.arrow.x + plan.arrow.width; x++) {
        widths[0] += dots_get(&dots, x, plan.arrow.y + 2);
        widths[1] += dots_get(&dots, x, plan.arrow.y + plan.arrow.height / 2 - 2);
    }
    assert_true(widths[0] > 0 && widths[0] < widths[1]);
    dots_clear(&dots);
}

static bool is_installed(const char *program)
{
    char command[80];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", program);
    return system(command) == 0; /* NOLINT: a fixed word */
}

/* The symbol with its quiet zone, 4 dots a dot, as a PNG. */
static void write_symbol(const struct dots *dots, const struct calibration_module *symbol, int file)
{
    enum { TIMES = 4 };
    const int quiet = 2 * symbol->dots, side = (symbol->ink.width + 2 * quiet) * TIMES;
    struct dots part = {0};
    struct fault fault = {0};
    assert_true(dots_init(side, side, dots->dpi, &part, &fault));
    for (int y = 0; y < side; y++)
        for (int x = 0; x < side; x++)
            if (dots_get(dots, symbol->ink.x - quiet + x / TIMES, symbol->ink.y - quiet + y / TIMES))
                part.rows[(size_t)y * part.stride + (size_t)x / 8] |= (uint8_t)(0x80 >> (x % 8));
    assert_true(label_png_write(file, &part, &fault));
    dots_clear(&part);
}

/* ZXingReader (zxing-cpp-tools) reads of each symbol the size that its place on the plan has. */
static void another_reader_reads_each_size(void **state)
{
    if (!is_installed("ZXingReader"))
        skip();
    struct dots dots = draw(*state, 50000, 25000, 203);
    make(50000, 25000, 203);
    for (size_t i = 0; i < plan.symbol_count; i++) {
        char path[] = "/tmp/calibration-XXXXXX.png", command[120], output_text[1000] = "", wanted[20];
        const int file = mkstemps(path, 4);
        assert_true(file >= 0);
        write_symbol(&dots, &plan.symbols[i], file);
        close(file);
        snprintf(command, sizeof command, "ZXingReader -format DataMatrix %s 2>/dev/null", path);
        FILE *output = popen(command, "r"); /* NOLINT: our own file's name */
        assert_non_null(output);
        output_text[fread(output_text, 1, sizeof output_text - 1, output)] = '\0';
        pclose(output);
        unlink(path);
        snprintf(wanted, sizeof wanted, "\"X203D%dS5025\"", plan.symbols[i].dots);
        if (!strstr(output_text, wanted))
            fail_msg("%s was not read: %s", wanted, output_text);
    }
    dots_clear(&dots);
}

static void a_label_that_is_too_small_is_a_sentence(void **state)
{
    struct fault fault = {0};
    struct dots dots = {0};
    assert_false(calibration_label_draw(*state, 20000, 10000, 203, &dots, &fault));
    assert_non_null(strstr(fault.text, "this one is 20 x 10: put in another roll"));
    assert_false(calibration_label_draw(*state, 50000, 25000, 20, &dots, &fault));
    assert_null(dots.rows);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ruler_lines_lie_on_their_millimetres),
        cmocka_unit_test(the_stretch_is_40_mm_where_there_is_room),
        cmocka_unit_test(a_symbol_says_how_large_the_label_is),
        cmocka_unit_test(symbols_rise_by_a_dot_each_with_white_around),
        cmocka_unit_test(nothing_stands_outside_the_margin_or_on_each_other),
        cmocka_unit_test(a_mark_stands_in_every_corner_and_the_arrow_points_to_the_top),
        cmocka_unit_test(another_reader_reads_each_size),
        cmocka_unit_test(a_label_that_is_too_small_is_a_sentence),
    };
    return cmocka_run_group_tests_name("drawing/calibration_label", tests, create_drawer, destroy_drawer);
}

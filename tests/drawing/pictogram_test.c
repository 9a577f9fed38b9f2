#include "labels/drawing/pictogram.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* The symbols are ours, from the words of the UN GHS; what is checked is what CLP Annex I 1.2.1 and Annex V ask of any
 * drawing: a square on its corner, black on white, the symbol inside its frame. That they are recognized was looked at,
 * at 10 mm and 203 dpi and at 23 mm and 300 dpi. */

enum { CANVAS = 400 };

struct canvas {
    cairo_surface_t *surface;
    cairo_t *cairo;
};

static struct canvas canvas_create(void)
{
    struct canvas canvas = {.surface = cairo_image_surface_create(CAIRO_FORMAT_A8, CANVAS, CANVAS)};
    canvas.cairo = cairo_create(canvas.surface);
    cairo_set_antialias(canvas.cairo, CAIRO_ANTIALIAS_NONE);
    return canvas;
}

static void canvas_destroy(struct canvas *canvas)
{
    cairo_destroy(canvas->cairo);
    cairo_surface_destroy(canvas->surface);
}

static bool is_black(const struct canvas *canvas, int x, int y)
{
    cairo_surface_flush(canvas->surface);
    return cairo_image_surface_get_data(canvas->surface)[y * cairo_image_surface_get_stride(canvas->surface) + x] > 0;
}

static int count_black(const struct canvas *canvas, double half, double *farthest)
{
    int black = 0;
    *farthest = 0;
    for (int y = 0; y < CANVAS; y++) {
        for (int x = 0; x < CANVAS; x++) {
            if (!is_black(canvas, x, y))
                continue;
            const double away = (fabs(x + 0.5 - CANVAS / 2.0) + fabs(y + 0.5 - CANVAS / 2.0)) / half;
            *farthest = away > *farthest ? away : *farthest;
            black++;
        }
    }
    return black;
}

/* 10 mm at 203 dpi, 16 and 23 mm at 300 dpi: halves of diagonals in dots. */
static const double halves[] = {56.5, 133.6, 192.1};

static void every_symbol_stays_inside_its_frame_with_ink_enough_to_be_seen(void **state)
{
    (void)state;
    for (int number = 1; number <= PICTOGRAM_KINDS; number++) {
        for (size_t i = 0; i < sizeof halves / sizeof *halves; i++) {
            struct canvas canvas = canvas_create();
            double farthest;
            pictogram_paint(canvas.cairo, number, CANVAS / 2.0, CANVAS / 2.0, halves[i]);
            const double share = count_black(&canvas, halves[i], &farthest) / (2 * halves[i] * halves[i]);
            if (farthest > PICTOGRAM_FRAME_INSIDE / 100.0)
                fail_msg("GHS%02d reaches %.3f of its half diagonal, %.1f dots", number, farthest, halves[i]);
            if (share < 0.08 || share > 0.40)
                fail_msg("GHS%02d blackens %.3f of its diamond", number, share);
            canvas_destroy(&canvas);
        }
    }
}

static void a_frame_is_a_square_on_its_corner_of_the_side_asked(void **state)
{
    (void)state;
    const double half = 130;
    struct canvas canvas = canvas_create();
    double farthest;
    pictogram_paint_frame(canvas.cairo, CANVAS / 2.0, CANVAS / 2.0, half);
    const int black = count_black(&canvas, half, &farthest);
    const double inside = PICTOGRAM_FRAME_INSIDE / 100.0;
    assert_true(farthest <= 1 + 0.5 / half);
    assert_true(fabs(black - 2 * half * half * (1 - inside * inside)) < 4 * half * 0.1);
    for (int i = 0; i < (int)half - 4; i++) { /* along one side, from corner to corner */
        assert_true(is_black(&canvas, CANVAS / 2 + i, CANVAS / 2 - (int)half + i + 2));
        assert_false(is_black(&canvas, CANVAS / 2 + i + 2, CANVAS / 2 - (int)half + i - 2));
    }
    canvas_destroy(&canvas);
}

static void no_two_symbols_look_alike(void **state)
{
    (void)state;
    const double half = 56.5; /* the smallest that is allowed, 10 mm at 203 dpi */
    static bool black[PICTOGRAM_KINDS + 1][CANVAS][CANVAS];
    for (int number = 1; number <= PICTOGRAM_KINDS; number++) {
        struct canvas canvas = canvas_create();
        pictogram_paint(canvas.cairo, number, CANVAS / 2.0, CANVAS / 2.0, half);
        for (int y = 0; y < CANVAS; y++)
            for (int x = 0; x < CANVAS; x++)
                black[number][y][x] = is_black(&canvas, x, y);
        canvas_destroy(&canvas);
    }
    for (int a = 1; a <= PICTOGRAM_KINDS; a++) {
        for (int b = a + 1; b <= PICTOGRAM_KINDS; b++) {
            int differ = 0, either = 0;
            for (int y = 0; y < CANVAS; y++) {
                for (int x = 0; x < CANVAS; x++) {
                    differ += black[a][y][x] != black[b][y][x];
                    either += black[a][y][x] || black[b][y][x];
                }
            }
            if (differ * 10 < either * 3) /* a sheet of film over the other would show it at once */
                fail_msg("GHS%02d and GHS%02d share %d of %d dots", a, b, either - differ, either);
        }
    }
}

static void frames_are_red_where_there_are_colours(void **state)
{
    (void)state;
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, CANVAS, CANVAS);
    cairo_t *cairo = cairo_create(surface);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    pictogram_paint_frame(cairo, CANVAS / 2.0, CANVAS / 2.0, 150);
    cairo_surface_flush(surface);
    const unsigned char *data = cairo_image_surface_get_data(surface);
    uint32_t pixel;
    memcpy(&pixel,
           data + (size_t)(CANVAS / 2) * (size_t)cairo_image_surface_get_stride(surface) +
               (size_t)(CANVAS / 2 - 145) * 4,
           sizeof pixel);
    const unsigned red = pixel >> 16 & 0xFF, green = pixel >> 8 & 0xFF, blue = pixel & 0xFF;
    assert_true(red > 180 && green < 40 && blue < 40); /* CLP Annex I 1.2.1.1: a red frame; the hue is ours */
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_symbol_stays_inside_its_frame_with_ink_enough_to_be_seen),
        cmocka_unit_test(a_frame_is_a_square_on_its_corner_of_the_side_asked),
        cmocka_unit_test(no_two_symbols_look_alike),
        cmocka_unit_test(frames_are_red_where_there_are_colours),
    };
    return cmocka_run_group_tests_name("drawing/pictogram", tests, NULL, NULL);
}

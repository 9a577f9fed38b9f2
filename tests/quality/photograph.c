#include "tests/quality/photograph.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "labels/drawing/calibration_label.h"

struct photograph photograph_usual(void)
{
    return (struct photograph){
        .width_um = 50000,
        .height_um = 25000,
        .dpi = 203,
        .print =
            {.radius_mm = 1.5, .size_across = 1, .size_down = 1, .ground = 40, .paper = 215, .ink = 30, .around_mm = 6},
        .shot = {.pixels_a_mm = 28, .degrees = 1, .blur = 0.9, .noise = 2, .seed = 1}};
}

static uint8_t *draw(struct drawer *drawer, const struct photograph *wanted, struct printed_label *print)
{
    struct dots dots = {.rows = NULL};
    struct fault fault = {0};
    if (!calibration_label_draw(drawer, wanted->width_um, wanted->height_um, wanted->dpi, &dots, &fault))
        fail_msg("%s", fault.text);
    uint8_t *black = malloc((size_t)dots.width * (size_t)dots.height);
    assert_non_null(black);
    for (int y = 0; y < dots.height; y++)
        for (int x = 0; x < dots.width; x++)
            black[(size_t)y * (size_t)dots.width + (size_t)x] = dots_get(&dots, x, y);
    print->black = black;
    print->columns = dots.width;
    print->rows = dots.height;
    print->dpi = wanted->dpi;
    if (print->width_mm == 0)
        print->width_mm = wanted->width_um / 1000.0;
    if (print->height_mm == 0)
        print->height_mm = wanted->height_um / 1000.0;
    dots_clear(&dots);
    return black;
}

/* The same panel again beside itself; `apart` millimetres of ground between the labels. */
static void double_it(const struct printed_label *print, double apart, struct panel *panel)
{
    struct panel wide;
    const int step = (int)((print->width_mm + apart) * PRINTED_TEXELS);
    assert_true(panel_create(&wide, panel->width + step, panel->height, print->ground));
    for (int y = 0; y < panel->height; y++) {
        uint8_t *row = wide.texels + (size_t)y * (size_t)wide.width;
        const uint8_t *from = panel->texels + (size_t)y * (size_t)panel->width;
        const int margin = (int)(print->around_mm * PRINTED_TEXELS);
        memcpy(row + step, from, (size_t)panel->width);
        memcpy(row, from, (size_t)(panel->width - margin));
    }
    panel_clear(panel);
    *panel = wide;
}

bool photograph_measure(struct drawer *drawer, const struct photograph *wanted, struct calibration_measure *measured,
                        struct fault *fault)
{
    struct printed_label print = wanted->print;
    struct panel panel;
    struct camera camera;
    struct reader_result result;
    struct reader *reader = reader_create();
    uint8_t *black = draw(drawer, wanted, &print);
    assert_true(printed_label_panel(&print, &panel));
    if (wanted->two)
        double_it(&print, 3, &panel);
    assert_true(printed_label_shoot(&panel, &wanted->shot, print.ground, &camera));
    const struct grey grey = {camera.pixels, camera.width, camera.height, (size_t)camera.width};
    assert_non_null(reader);
    assert_true(reader_read(reader, &grey, &result, NULL));
    const bool done = calibration_measure_make(&grey, result.symbols, result.count, measured, fault);
    camera_close(&camera);
    panel_clear(&panel);
    free(black);
    reader_destroy(reader);
    return done;
}

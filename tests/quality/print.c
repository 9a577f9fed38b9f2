#include "tests/quality/print.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

enum { SUPER = 4 /* samples a pixel, each way */, QUIET = 4 /* modules of paper around */ };

struct print print_fair(int zint_size)
{
    struct print print = {
        .pitch_x = 10, .pitch_y = 10, .degrees = 7, .dark = 40, .light = 210, .blur = 1.2, .noise = 2};
    if (!zint_modules_make(&(struct zint_wish){.text = "KESTREL QUAY FLINT 0042", .size = zint_size}, &print.symbol))
        fail_msg("zint refuses size %d", zint_size);
    return print;
}

void print_turn(struct print *print, int row, int column)
{
    print->symbol.modules[row * print->symbol.size->columns + column] ^= 1;
}

static bool is_dark(const struct print *print, int row, int column)
{
    const struct symbol_size *size = print->symbol.size;
    return row >= 0 && column >= 0 && row < size->rows && column < size->columns &&
           print->symbol.modules[row * size->columns + column];
}

/* Whether a dark module (or, with `light`, a light one) lies within `reach` modules, each way. */
static bool is_near(const struct print *print, bool light, double x, double y, double reach)
{
    for (int row = (int)floor(y - reach); row <= floor(y + reach); row++)
        for (int column = (int)floor(x - reach); column <= floor(x + reach); column++)
            if (is_dark(print, row, column) != light)
                return true;
    return false;
}

static bool has_ink(const struct print *print, double x, double y)
{
    const struct symbol_size *size = print->symbol.size;
    if (x >= print->streak_at && x < print->streak_at + print->streak_wide)
        return false;
    x -= print->shear * y / size->rows;
    if (print->bow != 0)
        y -=
            print->bow * sin(M_PI * fmin(fmax(x / size->columns, 0), 1)) * sin(M_PI * fmin(fmax(y / size->rows, 0), 1));
    return print->growth < 0 ? !is_near(print, true, x, y, -print->growth / 2)
                             : is_near(print, false, x, y, print->growth / 2);
}

void print_draw(const struct print *print, struct scene *scene)
{
    const struct symbol_size *size = print->symbol.size;
    const double wide = (size->columns + 2 * QUIET) * print->pitch_x, high = (size->rows + 2 * QUIET) * print->pitch_y;
    const double a = print->degrees * M_PI / 180;
    const int width = (int)(fabs(wide * cos(a)) + fabs(high * sin(a))) + 1;
    const int height = (int)(fabs(wide * sin(a)) + fabs(high * cos(a))) + 1;
    assert_true(scene_init(scene, width, height, print->light, 42));
    for (int i = 0; i < width * height; i++) {
        const int across = i % width, down = i / width;
        int ink = 0;
        for (int s = 0; s < SUPER * SUPER; s++) {
            const int part_across = s % SUPER, part_down = s / SUPER;
            const double dx = across + (part_across + 0.5) / SUPER - 0.5 - width / 2.0;
            const double dy = down + (part_down + 0.5) / SUPER - 0.5 - height / 2.0;
            const double x = (dx * cos(a) + dy * sin(a)) / print->pitch_x + size->columns / 2.0;
            const double y = (dy * cos(a) - dx * sin(a)) / print->pitch_y + size->rows / 2.0;
            ink += has_ink(print, print->mirrored ? size->columns - x : x, y);
        }
        scene->pixels[i] = (uint8_t)(print->light + (print->dark - print->light) * ink / (SUPER * SUPER));
    }
    scene_blur(scene, print->blur);
    scene_noise(scene, print->noise);
}

struct quality print_measure(const struct print *print)
{
    struct scene scene;
    struct quality quality;
    struct fault fault = {0};
    struct reader_result result = {0};
    struct reader *reader = reader_create();
    print_draw(print, &scene);
    const struct grey grey = scene_grey(&scene);
    assert_non_null(reader);
    if (!reader_read(reader, &grey, &result, &fault) || result.count != 1)
        fail_msg("%zu symbols read %s", result.count, fault.text);
    if (!quality_measure(&grey, &result.symbols[0], &quality, &fault))
        fail_msg("%s", fault.text);
    reader_destroy(reader);
    scene_clear(&scene);
    return quality;
}

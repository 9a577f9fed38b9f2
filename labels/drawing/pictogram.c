#include "labels/drawing/pictogram.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "labels/drawing/ink.h"
#include "labels/drawing/pictogram_shapes.h"

/* One number of a path of ours. No strtod(): the locale has no say in a drawing. */
static double read_number(const char **at)
{
    while (**at == ' ')
        (*at)++;
    const bool negative = **at == '-';
    *at += negative;
    double value = 0;
    for (; **at >= '0' && **at <= '9'; (*at)++)
        value = value * 10 + (**at - '0');
    if (**at == '.') {
        double tenth = 0.1;
        for ((*at)++; **at >= '0' && **at <= '9'; (*at)++, tenth /= 10)
            value += (**at - '0') * tenth;
    }
    return negative ? -value : value;
}

static void add_step(cairo_t *cairo, char step, const char **at)
{
    static const int arguments[] = {['M'] = 2, ['L'] = 2, ['C'] = 6, ['O'] = 3, ['Z'] = 0};
    double a[6] = {0};
    for (int i = 0; i < arguments[(unsigned char)step]; i++)
        a[i] = read_number(at);
    switch (step) {
    case 'M':
        cairo_move_to(cairo, a[0], a[1]);
        break;
    case 'L':
        cairo_line_to(cairo, a[0], a[1]);
        break;
    case 'C':
        cairo_curve_to(cairo, a[0], a[1], a[2], a[3], a[4], a[5]);
        break;
    case 'O':
        cairo_new_sub_path(cairo);
        cairo_arc(cairo, a[0], a[1], a[2], 0, 2 * M_PI);
        break;
    default:
        cairo_close_path(cairo);
    }
}

static void paint_path(cairo_t *cairo, const char *path)
{
    const bool white = *path == 'w';
    path += white;
    while (*path) {
        const char step = *path++;
        if (step == ' ')
            continue;
        assert(step == 'M' || step == 'L' || step == 'C' || step == 'O' || step == 'Z'); /* the paths are ours */
        add_step(cairo, step, &path);
    }
    if (white)
        ink_use_paper(cairo);
    cairo_fill(cairo);
    ink_use_black(cairo);
}

void pictogram_paint(cairo_t *cairo, int number, double x, double y, double half)
{
    assert(number >= 1 && number <= PICTOGRAM_KINDS);
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_scale(cairo, half / 100, half / 100);
    ink_use_black(cairo);
    for (const char *const *path = pictogram_shapes[number - 1]; *path; path++)
        paint_path(cairo, *path);
    cairo_restore(cairo);
}

static void add_diamond(cairo_t *cairo, double x, double y, double half)
{
    cairo_move_to(cairo, x, y - half);
    cairo_line_to(cairo, x + half, y);
    cairo_line_to(cairo, x, y + half);
    cairo_line_to(cairo, x - half, y);
    cairo_close_path(cairo);
}

void pictogram_paint_frame(cairo_t *cairo, double x, double y, double half)
{
    cairo_save(cairo);
    ink_use_red(cairo);
    cairo_set_fill_rule(cairo, CAIRO_FILL_RULE_EVEN_ODD);
    add_diamond(cairo, x, y, half);
    add_diamond(cairo, x, y, half * PICTOGRAM_FRAME_INSIDE / 100);
    cairo_fill(cairo);
    cairo_restore(cairo);
}

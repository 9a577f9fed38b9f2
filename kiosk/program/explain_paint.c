#include "kiosk/program/explain_paint.h"

#include <math.h>
#include <stdio.h>

enum {
    GOOD_SIDE = 900,  /* small pictures are enlarged to about this */
    MOST_TIMES = 8,   /* by at most */
    GRID_SIDE = 420,  /* drawn pixels of each half of a grid's picture */
    GRID_MARGIN = 10, /* around each half */
};

static uint32_t grey_colour(int grey, bool faded)
{
    const uint32_t level = (uint32_t)(faded ? 160 + grey * 95 / 255 : grey);
    return level << 16 | level << 8 | level;
}

static void set_colour(struct paint *paint, enum paint_colour colour)
{
    static const double parts[][3] = {
        [PAINT_GREEN] = {0, 0.55, 0.15},   [PAINT_RED] = {0.85, 0.1, 0.1},   [PAINT_BLUE] = {0.1, 0.3, 0.9},
        [PAINT_ORANGE] = {0.95, 0.55, 0},  [PAINT_VIOLET] = {0.6, 0.1, 0.7}, [PAINT_PALE_BLUE] = {0.8, 0.88, 1},
        [PAINT_DARK_BLUE] = {0, 0.1, 0.4},
    };
    cairo_set_source_rgb(paint->cairo, parts[colour][0], parts[colour][1], parts[colour][2]);
}

static double scale_of(int width, int height)
{
    const int longest = width > height ? width : height;
    if (longest > PAINT_SIDE)
        return (double)PAINT_SIDE / longest;
    const int times = GOOD_SIDE / longest;
    return times < 1 ? 1 : times > MOST_TIMES ? MOST_TIMES : times;
}

static bool begin(struct paint *paint, int width, int height)
{
    *paint = (struct paint){.surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height), .scale = 1};
    paint->cairo = cairo_create(paint->surface);
    if (cairo_status(paint->cairo) == CAIRO_STATUS_SUCCESS)
        return true;
    paint_clear(paint);
    return false;
}

void paint_clear(struct paint *paint)
{
    if (paint->cairo)
        cairo_destroy(paint->cairo);
    if (paint->surface)
        cairo_surface_destroy(paint->surface);
    *paint = (struct paint){0};
}

/* What paper shows at a pixel of the picture, as 0xRRGGBB. */
typedef uint32_t colour_function(const void *paper, int x, int y);

static bool begin_paper(struct paint *paint, int width, int height, colour_function *colour_at, const void *paper)
{
    const double scale = scale_of(width, height);
    if (!begin(paint, (int)ceil(width * scale), (int)ceil(height * scale)))
        return false;
    paint->scale = scale;
    const int drawn_width = cairo_image_surface_get_width(paint->surface);
    const int drawn_height = cairo_image_surface_get_height(paint->surface);
    const int stride = cairo_image_surface_get_stride(paint->surface);
    uint8_t *bytes = cairo_image_surface_get_data(paint->surface);
    for (int y = 0; y < drawn_height; y++)
        for (int x = 0; x < drawn_width; x++)
            ((uint32_t *)(void *)(bytes + (size_t)y * (size_t)stride))[x] =
                colour_at(paper, (int)fmin(x / scale, width - 1), (int)fmin(y / scale, height - 1));
    cairo_surface_mark_dirty(paint->surface);
    return true;
}

struct paper {
    const struct grey *grey;
    const struct mask *mask;
    const uint8_t *limits;
    bool faded;
};

static uint32_t grey_at_pixel(const void *paper, int x, int y)
{
    const struct paper *on = paper;
    return grey_colour(on->grey->pixels[(size_t)y * on->grey->stride + (size_t)x], on->faded);
}

static uint32_t mask_at_pixel(const void *paper, int x, int y)
{
    const struct paper *on = paper;
    return grey_colour(mask_bit(on->mask, x, y) ? 0 : 255, on->faded);
}

static uint32_t limit_at_pixel(const void *paper, int x, int y)
{
    const struct paper *on = paper;
    const int columns = (on->mask->width + MASK_TILE - 1) / MASK_TILE;
    const int limit = on->limits[y / MASK_TILE * columns + x / MASK_TILE];
    return limit == 0 ? 0xCCE0FF : limit == 255 ? 0x001A66 : grey_colour(limit, false);
}

bool paint_init_grey(struct paint *paint, const struct grey *picture, bool faded)
{
    const struct paper paper = {.grey = picture, .faded = faded};
    return begin_paper(paint, picture->width, picture->height, grey_at_pixel, &paper);
}

bool paint_init_mask(struct paint *paint, const struct mask *mask, bool faded)
{
    const struct paper paper = {.mask = mask, .faded = faded};
    return begin_paper(paint, mask->width, mask->height, mask_at_pixel, &paper);
}

bool paint_init_limits(struct paint *paint, const struct mask *mask, const uint8_t *limits)
{
    const struct paper paper = {.mask = mask, .limits = limits};
    return begin_paper(paint, mask->width, mask->height, limit_at_pixel, &paper);
}

static double drawn(const struct paint *paint, double place)
{
    return (place + 0.5) * paint->scale;
}

void paint_dot(struct paint *paint, double x, double y, enum paint_colour colour)
{
    if (!paint->cairo)
        return;
    set_colour(paint, colour);
    const double side = fmax(paint->scale, 1);
    cairo_rectangle(paint->cairo, drawn(paint, x) - side / 2, drawn(paint, y) - side / 2, side, side);
    cairo_fill(paint->cairo);
}

void paint_line(struct paint *paint, const double from[2], const double to[2], enum paint_colour colour)
{
    if (!paint->cairo)
        return;
    set_colour(paint, colour);
    cairo_set_line_width(paint->cairo, 2);
    cairo_move_to(paint->cairo, drawn(paint, from[0]), drawn(paint, from[1]));
    cairo_line_to(paint->cairo, drawn(paint, to[0]), drawn(paint, to[1]));
    cairo_stroke(paint->cairo);
}

void paint_quad(struct paint *paint, const double corners[4][2], enum paint_colour colour)
{
    for (int i = 0; i < 4; i++)
        paint_line(paint, corners[i], corners[(i + 1) % 4], colour);
    if (!paint->cairo)
        return;
    cairo_arc(paint->cairo, drawn(paint, corners[0][0]), drawn(paint, corners[0][1]), 5, 0, 2 * M_PI);
    cairo_fill(paint->cairo);
}

void paint_number(struct paint *paint, const double at[2], size_t number, enum paint_colour colour)
{
    char text[24];
    if (!paint->cairo)
        return;
    (void)snprintf(text, sizeof text, "%zu", number);
    set_colour(paint, colour);
    cairo_select_font_face(paint->cairo, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    cairo_set_font_size(paint->cairo, 16);
    cairo_move_to(paint->cairo, drawn(paint, at[0]) + 4, drawn(paint, at[1]) - 4);
    cairo_show_text(paint->cairo, text);
}

/* A grid's left half: what the picture has from a little outside of the symbol on, scaled to GRID_SIDE. */
static void draw_part(struct paint *paint, const struct grey *picture, const struct explain_grid *seen)
{
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY};
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++) {
            low[k] = fmin(low[k], seen->quad->corners[i][k]);
            high[k] = fmax(high[k], seen->quad->corners[i][k]);
        }
    const double size = fmax(high[0] - low[0], high[1] - low[1]), border = 0.08 * size;
    const double scale = GRID_SIDE / (size + 2 * border);
    cairo_save(paint->cairo);
    cairo_rectangle(paint->cairo, GRID_MARGIN, GRID_MARGIN, GRID_SIDE, GRID_SIDE);
    cairo_clip(paint->cairo);
    cairo_translate(paint->cairo, GRID_MARGIN - (low[0] - border) * scale, GRID_MARGIN - (low[1] - border) * scale);
    for (int y = (int)fmax(0, low[1] - border); y < picture->height && y <= high[1] + border; y++)
        for (int x = (int)fmax(0, low[0] - border); x < picture->width && x <= high[0] + border; x++) {
            const double grey = picture->pixels[(size_t)y * picture->stride + (size_t)x] / 255.0;
            cairo_set_source_rgb(paint->cairo, grey, grey, grey);
            cairo_rectangle(paint->cairo, (x - 0.5) * scale, (y - 0.5) * scale, scale + 0.5, scale + 0.5);
            cairo_fill(paint->cairo);
        }
    set_colour(paint, PAINT_ORANGE);
    cairo_set_line_width(paint->cairo, 0.8);
    for (int way = 0; way < 2; way++) {
        const int lines = way ? seen->size->rows : seen->size->columns;
        for (int i = 0; i <= lines; i++) {
            const double t = (double)i / lines;
            double x = 0, y = 0;
            quad_at(seen->quad, way ? 0 : t, way ? t : 0, &x, &y);
            cairo_move_to(paint->cairo, x * scale, y * scale);
            quad_at(seen->quad, way ? 1 : t, way ? t : 1, &x, &y);
            cairo_line_to(paint->cairo, x * scale, y * scale);
        }
    }
    cairo_stroke(paint->cairo);
    cairo_restore(paint->cairo);
}

static void draw_module(struct paint *paint, const struct explain_grid *seen, int row, int column, double side)
{
    const int place = row * seen->size->columns + column;
    const double x = GRID_SIDE + 3 * GRID_MARGIN + column * side, y = GRID_MARGIN + row * side;
    const double grey = fmin(fmax(seen->grid->value[place] / 255, 0), 1);
    cairo_set_source_rgb(paint->cairo, grey, grey, grey);
    cairo_rectangle(paint->cairo, x, y, side, side);
    cairo_fill(paint->cairo);
    if (!seen->modules)
        return;
    set_colour(paint, seen->modules[place] ? PAINT_DARK_BLUE : PAINT_PALE_BLUE);
    cairo_rectangle(paint->cairo, x + side * 0.3, y + side * 0.3, side * 0.4, side * 0.4);
    cairo_fill(paint->cairo);
    const int wanted = symbol_size_finder_at(seen->size, row, column);
    if (wanted < 0 || wanted == seen->modules[place])
        return;
    set_colour(paint, PAINT_RED);
    cairo_set_line_width(paint->cairo, fmax(1, side * 0.12));
    cairo_rectangle(paint->cairo, x + side * 0.1, y + side * 0.1, side * 0.8, side * 0.8);
    cairo_stroke(paint->cairo);
}

bool paint_init_grid(struct paint *paint, const struct grey *picture, const struct explain_grid *seen)
{
    const int rows = seen->size->rows, columns = seen->size->columns;
    if (!begin(paint, 2 * GRID_SIDE + 4 * GRID_MARGIN, GRID_SIDE + 2 * GRID_MARGIN))
        return false;
    cairo_set_source_rgb(paint->cairo, 1, 1, 1);
    cairo_paint(paint->cairo);
    draw_part(paint, picture, seen);
    const double side = (double)GRID_SIDE / (rows > columns ? rows : columns);
    for (int row = 0; row < rows; row++)
        for (int column = 0; column < columns; column++)
            draw_module(paint, seen, row, column, side);
    return true;
}

bool paint_write(const struct paint *paint, const char *path, struct fault *fault)
{
    const cairo_status_t status =
        paint->surface ? cairo_surface_write_to_png(paint->surface, path) : CAIRO_STATUS_NO_MEMORY;
    return status == CAIRO_STATUS_SUCCESS ||
           fault_set(fault, FAULT_STORAGE, "'%s' cannot be written: %s", path, cairo_status_to_string(status));
}

#include "tests/reading/scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "tests/reading/random.h"

enum { SUPER = 3 }; /* samples a pixel, each way */

bool scene_init(struct scene *scene, int width, int height, int ground, uint64_t seed)
{
    *scene = (struct scene){malloc((size_t)width * (size_t)height), width, height, seed};
    if (scene->pixels)
        memset(scene->pixels, ground, (size_t)width * (size_t)height);
    return scene->pixels != NULL;
}

void scene_clear(struct scene *scene)
{
    free(scene->pixels);
    scene->pixels = NULL;
}

struct grey scene_grey(const struct scene *scene)
{
    return (struct grey){scene->pixels, scene->width, scene->height, (size_t)scene->width};
}

/* A made-up letter on a 5 x 7 raster, different for every cell of the page. */
static bool letter_dark(int cell_x, int cell_y, double fx, double fy)
{
    const int column = (int)(fx * 7), row = (int)(fy * 10);
    if (column >= 5 || row >= 7)
        return false;
    uint64_t seed = (uint64_t)(cell_x * 7919 + cell_y * 104729 + 1) * 2654435761u + 1;
    (void)random_next(&seed);
    const uint32_t pattern = random_next(&seed);
    if (pattern % 7 == 0) /* a space */
        return false;
    const bool stem = (pattern >> 3 & 1 && column == 0) || (pattern >> 4 & 1 && column == 4);
    const bool bar = (pattern >> 5 & 1 && row == 0) || (pattern >> 6 & 1 && row == 3) || (pattern >> 7 & 1 && row == 6);
    return stem || bar || (pattern >> 8 & 1 && column == row);
}

/* Grey at a place of the label in modules, the symbol's upper left corner at 0, 0; -1 outside of the label. */
static int label_grey(const struct scene_label *label, double mx, double my)
{
    const int rows = label->size->rows, columns = label->size->columns;
    const double quiet = label->quiet > 0 ? label->quiet : 3, right = columns + quiet + (label->text ? columns : 0);
    if (mx < -quiet || my < -quiet || mx >= right || my >= rows + quiet)
        return -1;
    if (mx >= 0 && my >= 0 && mx < columns && my < rows) {
        const int column = label->mirrored ? columns - 1 - (int)mx : (int)mx;
        return label->modules[(int)my * columns + column] ? label->dark : label->light;
    }
    if (label->text && mx >= columns + quiet && my >= 0 && my < rows) {
        const double cell = rows / 6.0, tx = (mx - columns - quiet) / (cell * 0.7), ty = my / cell;
        if (letter_dark((int)tx, (int)ty, tx - floor(tx), ty - floor(ty)))
            return label->dark;
    }
    return label->light;
}

/* Pixel to module coordinates and back: turned about the label's centre, with a simple perspective. */
static void to_module(const struct scene_label *label, double px, double py, double *mx, double *my)
{
    const double a = label->degrees * M_PI / 180, half = label->size->rows / 2.0;
    const double dx = (px - label->x) / label->pixels_a_module, dy = (py - label->y) / label->pixels_a_module;
    double x = dx * cos(a) + dy * sin(a), y = -dx * sin(a) + dy * cos(a);
    const double depth = 1 - label->tilt / 2 * y / half;
    x /= depth;
    y /= depth;
    *mx = x + label->size->columns / 2.0;
    *my = y + half;
}

static void to_pixel(const struct scene_label *label, double mx, double my, double *px, double *py)
{
    const double a = label->degrees * M_PI / 180, half = label->size->rows / 2.0;
    double x = mx - label->size->columns / 2.0, y = my - half;
    const double depth = 1 / (1 + label->tilt / 2 * y / half);
    x *= depth;
    y *= depth;
    *px = label->x + label->pixels_a_module * (x * cos(a) - y * sin(a));
    *py = label->y + label->pixels_a_module * (x * sin(a) + y * cos(a));
}

void scene_draw(struct scene *scene, const struct scene_label *label, double corners[4][2])
{
    const double reach = label->pixels_a_module * (2.0 * label->size->columns + label->size->rows + 6) * 1.2;
    const int top = label->y > reach ? (int)(label->y - reach) : 0,
              left_edge = label->x > reach ? (int)(label->x - reach) : 0;
    for (int y = top; y < scene->height && y < label->y + reach; y++)
        for (int x = left_edge; x < scene->width && x < label->x + reach; x++) {
            int sum = 0, inside = 0;
            for (int s = 0; s < SUPER * SUPER; s++) {
                const int across = s % SUPER, down = s / SUPER;
                double mx = 0, my = 0;
                to_module(label, x + (across + 0.5) / SUPER - 0.5, y + (down + 0.5) / SUPER - 0.5, &mx, &my);
                const int grey = label_grey(label, mx, my);
                inside += grey >= 0;
                sum += grey >= 0 ? grey : scene->pixels[y * scene->width + x];
            }
            if (inside)
                scene->pixels[y * scene->width + x] = (uint8_t)(sum / (SUPER * SUPER));
        }
    if (!corners)
        return;
    const double left = label->mirrored ? label->size->columns : 0, right = label->size->columns - left;
    const double places[4][2] = {{left, label->size->rows}, {left, 0}, {right, 0}, {right, label->size->rows}};
    for (int i = 0; i < 4; i++) { /* a mirrored one goes the other way round from the L's corner */
        const int k = label->mirrored ? (4 - i) % 4 : i;
        to_pixel(label, places[k][0], places[k][1], &corners[i][0], &corners[i][1]);
    }
}

void scene_fill_text(struct scene *scene, int letter_height, int dark, int light)
{
    for (int y = 0; y < scene->height; y++)
        for (int x = 0; x < scene->width; x++) {
            const double tx = x / (letter_height * 0.7), ty = (double)y / letter_height;
            const bool ink = letter_dark((int)tx, (int)ty, tx - floor(tx), ty - floor(ty));
            scene->pixels[y * scene->width + x] = (uint8_t)(ink ? dark : light);
        }
}

void scene_scratch(struct scene *scene, double x, double y, double degrees, double width, int grey)
{
    const double a = degrees * M_PI / 180;
    for (int py = 0; py < scene->height; py++)
        for (int px = 0; px < scene->width; px++)
            if (fabs((px - x) * sin(a) - (py - y) * cos(a)) <= width / 2)
                scene->pixels[py * scene->width + px] = (uint8_t)grey;
}

static void blur_line(const uint8_t *in, uint8_t *out, int count, size_t step, const double *weights, int radius)
{
    for (int i = 0; i < count; i++) {
        double sum = 0;
        for (int k = -radius; k <= radius; k++) {
            const int j = i + k < 0 ? 0 : i + k >= count ? count - 1 : i + k;
            sum += weights[abs(k)] * in[(size_t)j * step];
        }
        out[(size_t)i * step] = (uint8_t)(sum + 0.5);
    }
}

void scene_blur(struct scene *scene, double sigma)
{
    double weights[16], total = 0;
    const int radius = (int)(3 * sigma) < 15 ? (int)(3 * sigma) + 1 : 15;
    uint8_t *other = malloc((size_t)scene->width * (size_t)scene->height);
    if (!other || sigma <= 0) {
        free(other);
        return;
    }
    for (int k = 0; k <= radius; k++)
        total += (k ? 2 : 1) * (weights[k] = exp(-k * k / (2 * sigma * sigma)));
    for (int k = 0; k <= radius; k++)
        weights[k] /= total;
    for (int y = 0; y < scene->height; y++)
        blur_line(scene->pixels + (size_t)y * (size_t)scene->width, other + (size_t)y * (size_t)scene->width,
                  scene->width, 1, weights, radius);
    for (int x = 0; x < scene->width; x++)
        blur_line(other + x, scene->pixels + x, scene->height, (size_t)scene->width, weights, radius);
    free(other);
}

void scene_noise(struct scene *scene, double sigma)
{
    for (size_t i = 0; i < (size_t)scene->width * (size_t)scene->height; i++) {
        double sum = -6; /* twelve uniform numbers are near enough to a normal one */
        for (int k = 0; k < 12; k++)
            sum += random_next(&scene->seed) / 4294967296.0;
        const double value = scene->pixels[i] + sigma * sum;
        scene->pixels[i] = (uint8_t)(value < 0 ? 0 : value > 255 ? 255 : value + 0.5);
    }
}

void scene_shade(struct scene *scene, double factor)
{
    for (int y = 0; y < scene->height; y++)
        for (int x = 0; x < scene->width; x++) {
            uint8_t *pixel = &scene->pixels[y * scene->width + x];
            *pixel = (uint8_t)(*pixel * (1 - (1 - factor) * x / scene->width));
        }
}

void scene_threshold(struct scene *scene, int level)
{
    for (size_t i = 0; i < (size_t)scene->width * (size_t)scene->height; i++)
        scene->pixels[i] = scene->pixels[i] < level ? 0 : 255;
}

#include "tests/pictures/camera.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <turbojpeg.h>

#include "tests/pictures/exact.h"
#include "tests/reading/random.h"

bool camera_open(struct camera *camera, int width, int height, double focal, int grey, uint64_t seed)
{
    *camera = (struct camera){malloc((size_t)width * (size_t)height), width, height, focal, seed | 1};
    if (camera->pixels)
        memset(camera->pixels, grey, (size_t)width * (size_t)height);
    return camera->pixels != NULL;
}

void camera_close(struct camera *camera)
{
    free(camera->pixels);
    camera->pixels = NULL;
}

struct camera_map camera_aim(const struct camera *camera, const struct panel *panel, const struct camera_pose *pose)
{
    double turn_c, turn_s, tilt_c, tilt_s, to_x, to_y;
    exact_turn(pose->degrees, &turn_c, &turn_s);
    exact_turn(pose->tilt, &tilt_c, &tilt_s);
    exact_turn(pose->tilt_towards, &to_x, &to_y);
    const double texel = pose->module / PANEL_TEXELS, f = camera->focal;
    const double middle_x = (camera->width - 1) / 2.0, middle_y = (camera->height - 1) / 2.0;
    /* columns: what a texel to the right, a texel down, and the panel's origin are in space; z along the axis */
    double space[3][3] = {{texel * turn_c, -texel * turn_s, 0}, {texel * turn_s, texel * turn_c, 0}, {0, 0, 0}};
    for (int k = 0; k < 2; k++) {
        const double along = space[0][k] * to_x + space[1][k] * to_y;
        space[0][k] += (tilt_c - 1) * along * to_x;
        space[1][k] += (tilt_c - 1) * along * to_y;
        space[2][k] = tilt_s * along;
    }
    const double start[3] = {pose->x - middle_x, pose->y - middle_y, f};
    for (int i = 0; i < 3; i++)
        space[i][2] = start[i] - space[i][0] * panel->width / 2.0 - space[i][1] * panel->height / 2.0;
    struct camera_map map;
    for (int k = 0; k < 3; k++) {
        map.at[0][k] = f * space[0][k] + middle_x * space[2][k];
        map.at[1][k] = f * space[1][k] + middle_y * space[2][k];
        map.at[2][k] = space[2][k];
    }
    return map;
}

void camera_point(const struct camera_map *map, double x, double y, double point[2])
{
    const double w = map->at[2][0] * x + map->at[2][1] * y + map->at[2][2];
    point[0] = (map->at[0][0] * x + map->at[0][1] * y + map->at[0][2]) / w;
    point[1] = (map->at[1][0] * x + map->at[1][1] * y + map->at[1][2]) / w;
}

/* The adjugate does: a common factor falls out of the division. */
static struct camera_map turned_round(const struct camera_map *map)
{
    const double(*m)[3] = map->at;
    struct camera_map back;
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            const int a = (k + 1) % 3, b = (k + 2) % 3, c = (i + 1) % 3, d = (i + 2) % 3;
            back.at[i][k] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
        }
    return back;
}

struct span_of_row {
    int from, to; /* to: not itself */
};

/* Pixels of a row that the panel's outline can touch. */
static struct span_of_row row_span(const double corner[4][2], int y, int width)
{
    double least = 1e9, most = -1e9;
    for (int i = 0; i < 4; i++) {
        const double *a = corner[i], *b = corner[(i + 1) % 4];
        for (int edge = 0; edge < 2; edge++) { /* the row's upper and lower edge */
            const double level = y - 0.5 + edge;
            if ((a[1] <= level) != (b[1] <= level)) {
                const double x = a[0] + (level - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                least = fmin(least, x);
                most = fmax(most, x);
            }
        }
        if (fabs(a[1] - y) <= 0.5) {
            least = fmin(least, a[0]);
            most = fmax(most, a[0]);
        }
    }
    if (least > most)
        return (struct span_of_row){0, 0};
    least = fmax(least - 1, 0);
    most = fmin(most + 2, width);
    return (struct span_of_row){(int)least, (int)fmax(most, least)};
}

void camera_draw(struct camera *camera, const struct panel *panel, const struct camera_map *map, int samples)
{
    const struct camera_map back = turned_round(map);
    const double(*m)[3] = back.at;
    double corner[4][2], top = 1e9, bottom = -1e9;
    for (int i = 0; i < 4; i++) {
        camera_point(map, i == 1 || i == 2 ? panel->width : 0, i >= 2 ? panel->height : 0, corner[i]);
        top = fmin(top, corner[i][1]);
        bottom = fmax(bottom, corner[i][1]);
    }
    const int all = samples * samples;
    for (int y = top > 1 ? (int)top - 1 : 0; y < camera->height && y < bottom + 1; y++) {
        uint8_t *row = camera->pixels + (size_t)y * (size_t)camera->width;
        const struct span_of_row span = row_span(corner, y, camera->width);
        for (int x = span.from; x < span.to; x++) {
            int sum = 0;
            for (int s = 0; s < all; s++) {
                const int across = s % samples, down = s / samples;
                const double px = x + (across + 0.5) / samples - 0.5, py = y + (down + 0.5) / samples - 0.5;
                const double share = 1 / (m[2][0] * px + m[2][1] * py + m[2][2]);
                const double u = (m[0][0] * px + m[0][1] * py + m[0][2]) * share;
                const double v = (m[1][0] * px + m[1][1] * py + m[1][2]) * share;
                const bool inside = u >= 0 && v >= 0 && u < panel->width && v < panel->height;
                sum += inside ? panel->texels[(size_t)v * (size_t)panel->width + (size_t)u] : row[x];
            }
            row[x] = (uint8_t)((sum + all / 2) / all);
        }
    }
}

void camera_stroke(struct camera *camera, const double from[2], const double to[2], double width, int grey)
{
    const double dx = to[0] - from[0], dy = to[1] - from[1], square = dx * dx + dy * dy;
    const double left = fmin(from[0], to[0]) - width, right = fmax(from[0], to[0]) + width;
    const double top = fmin(from[1], to[1]) - width, bottom = fmax(from[1], to[1]) + width;
    for (int y = top > 0 ? (int)top : 0; y < camera->height && y < bottom; y++)
        for (int x = left > 0 ? (int)left : 0; x < camera->width && x < right; x++) {
            const double along = square > 0 ? ((x - from[0]) * dx + (y - from[1]) * dy) / square : 0;
            const double t = fmax(0, fmin(1, along));
            const double ax = x - from[0] - t * dx, ay = y - from[1] - t * dy;
            if (4 * (ax * ax + ay * ay) <= width * width)
                camera->pixels[(size_t)y * (size_t)camera->width + (size_t)x] = (uint8_t)grey;
        }
}

enum { LIGHT_STEP = 16, LIGHT_ONE = 1 << 12 };

static int light_at(const struct camera *camera, const struct camera_light *light, double shadow_c, double shadow_s,
                    double x, double y)
{
    const double h = 2 * x / camera->width - 1, v = 2 * y / camera->height - 1;
    double gain = 1 + light->right * h + light->down * v - light->corner * (h * h + v * v) / 2;
    if (light->shadow > 0) {
        const double across = (x - light->shadow_x) * -shadow_s + (y - light->shadow_y) * shadow_c;
        gain *= 1 - light->shadow * fmax(0, fmin(1, 0.5 + across / light->shadow_width));
    }
    return (int)(fmax(gain, 0.05) * LIGHT_ONE + 0.5);
}

/* Worked out at every sixteenth pixel and laid straight between: light has no sharper edges than that here. */
bool camera_light(struct camera *camera, const struct camera_light *light)
{
    const int nodes = camera->width / LIGHT_STEP + 2;
    int *above = calloc((size_t)nodes, sizeof *above), *below = calloc((size_t)nodes, sizeof *below);
    const bool good = above && below;
    double c, s;
    exact_turn(light->shadow_degrees, &c, &s);
    for (int y = 0; good && y < camera->height; y++) {
        uint8_t *row = camera->pixels + (size_t)y * (size_t)camera->width;
        const int part = y % LIGHT_STEP;
        for (int i = 0; part == 0 && i < nodes; i++) {
            above[i] = light_at(camera, light, c, s, i * LIGHT_STEP, y);
            below[i] = light_at(camera, light, c, s, i * LIGHT_STEP, y + LIGHT_STEP);
        }
        for (int i = 0; i * LIGHT_STEP < camera->width; i++) {
            const int from = above[i] * (LIGHT_STEP - part) + below[i] * part;
            const int to = above[i + 1] * (LIGHT_STEP - part) + below[i + 1] * part;
            int gain = from * LIGHT_STEP;
            for (int x = i * LIGHT_STEP; x < camera->width && x < (i + 1) * LIGHT_STEP; x++, gain += to - from) {
                const int grey = (int)(((int64_t)row[x] * gain + (LIGHT_ONE << 7)) / (LIGHT_ONE << 8));
                row[x] = (uint8_t)(grey > 255 ? 255 : grey);
            }
        }
    }
    free(above);
    free(below);
    return good;
}

enum { LENS_REACH = 6, LENS_SIDE = 2 * LENS_REACH + 1, LENS_ONE = 256 };

/* What a point of light becomes, in 256ths: many small Gaussians spread over the disc. */
static void point_spread(double gaussian, double defocus, int weights[LENS_SIDE * LENS_SIDE])
{
    enum { PARTS = 9 };
    double exact[LENS_SIDE * LENS_SIDE] = {0}, sum = 0;
    const double sigma = fmax(gaussian, 0.05);
    for (int part = 0; part < PARTS * PARTS; part++) {
        const int across = part % PARTS, down = part / PARTS;
        const double px = (2.0 * across / (PARTS - 1) - 1) * defocus, py = (2.0 * down / (PARTS - 1) - 1) * defocus;
        if (px * px + py * py > defocus * defocus + 1e-9)
            continue;
        for (int i = 0; i < LENS_SIDE * LENS_SIDE; i++) {
            const int column = i % LENS_SIDE - LENS_REACH, row = i / LENS_SIDE - LENS_REACH;
            const double dx = column - px, dy = row - py;
            const double power = (dx * dx + dy * dy) / (2 * sigma * sigma);
            exact[i] += power < 20 ? exact_decay(power) : 0;
        }
    }
    for (int i = 0; i < LENS_SIDE * LENS_SIDE; i++)
        sum += exact[i];
    int given = 0;
    for (int i = 0; i < LENS_SIDE * LENS_SIDE; i++)
        given += weights[i] = (int)(exact[i] / sum * LENS_ONE + 0.5);
    weights[LENS_SIDE * LENS_SIDE / 2] += LENS_ONE - given; /* what rounding left stays in the middle */
}

bool camera_lens(struct camera *camera, double gaussian, double defocus)
{
    int weights[LENS_SIDE * LENS_SIDE];
    point_spread(gaussian, defocus, weights);
    const size_t width = (size_t)camera->width, wide = width + 2 * LENS_REACH;
    const int height = camera->height;
    uint8_t *lines = calloc(wide, (size_t)height + 2 * LENS_REACH); /* with the edge pixels repeated outwards */
    uint16_t *sums = malloc(sizeof *sums * width);
    const bool good = lines && sums;
    for (int y = -LENS_REACH; good && y < height + LENS_REACH; y++) {
        const int from = y < 0 ? 0 : y >= height ? height - 1 : y;
        const uint8_t *row = camera->pixels + (size_t)from * width;
        uint8_t *line = lines + (size_t)(y + LENS_REACH) * wide;
        memset(line, row[0], LENS_REACH);
        memcpy(line + LENS_REACH, row, width);
        memset(line + LENS_REACH + width, row[width - 1], LENS_REACH);
    }
    for (int y = 0; good && y < height; y++) {
        for (size_t x = 0; x < width; x++)
            sums[x] = LENS_ONE / 2;
        for (int i = 0; i < LENS_SIDE * LENS_SIDE; i++) {
            const uint16_t weight = (uint16_t)weights[i]; /* all of them make 256: 255 * 256 + 128 still fits */
            const uint8_t *line = lines + (size_t)(y + i / LENS_SIDE) * wide + i % LENS_SIDE;
            for (size_t x = 0; weight && x < width; x++)
                sums[x] = (uint16_t)(sums[x] + weight * line[x]);
        }
        for (size_t x = 0; x < width; x++)
            camera->pixels[(size_t)y * width + x] = (uint8_t)(sums[x] / LENS_ONE);
    }
    free(lines);
    free(sums);
    return good;
}

void camera_sensor(struct camera *camera, double read, double shot)
{
    int scale[256]; /* the sum of four random bytes less its mean has a standard deviation of 147.8 */
    for (int grey = 0; grey < 256; grey++)
        scale[grey] = (int)(sqrt(read * read + shot * grey) / 147.8 * 65536 + 0.5);
    const size_t count = (size_t)camera->width * (size_t)camera->height;
    for (size_t i = 0; i < count; i++) {
        const uint32_t random = random_next(&camera->random);
        const int four = (int)((random & 255) + (random >> 8 & 255) + (random >> 16 & 255) + (random >> 24)) - 510;
        const int grey = (camera->pixels[i] * 65536 + 32768 + four * scale[camera->pixels[i]]) >> 16;
        camera->pixels[i] = (uint8_t)(grey < 0 ? 0 : grey > 255 ? 255 : grey);
    }
}

bool camera_jpeg(struct camera *camera, int quality)
{
    unsigned char *bytes = NULL;
    unsigned long length = 0;
    tjhandle squeeze = tjInitCompress(), unfold = tjInitDecompress();
    const bool good = squeeze && unfold &&
                      tjCompress2(squeeze, camera->pixels, camera->width, 0, camera->height, TJPF_GRAY, &bytes, &length,
                                  TJSAMP_GRAY, quality, TJFLAG_ACCURATEDCT) == 0 &&
                      tjDecompress2(unfold, bytes, length, camera->pixels, camera->width, 0, camera->height, TJPF_GRAY,
                                    TJFLAG_ACCURATEDCT) == 0;
    tjFree(bytes);
    if (squeeze)
        tjDestroy(squeeze);
    if (unfold)
        tjDestroy(unfold);
    return good;
}

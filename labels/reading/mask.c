#include "labels/reading/mask.h"

#include <string.h>

enum { LEAST_CONTRAST = 24 }; /* grey levels: below it is noise or shade */

static int tiles_along(int pixels)
{
    return (pixels + MASK_TILE - 1) / MASK_TILE;
}

size_t mask_cells_size(int width, int height)
{
    return ((size_t)width + 2) * ((size_t)height + 2);
}

size_t mask_tiles_size(int width, int height)
{
    return 4 * (size_t)tiles_along(width) * (size_t)tiles_along(height);
}

static void measure_tile(const struct grey *picture, int tx, int ty, uint8_t *least, uint8_t *most)
{
    const int right = (tx + 1) * MASK_TILE < picture->width ? (tx + 1) * MASK_TILE : picture->width;
    const int bottom = (ty + 1) * MASK_TILE < picture->height ? (ty + 1) * MASK_TILE : picture->height;
    uint8_t low = 255, high = 0;
    for (int y = ty * MASK_TILE; y + 1 < bottom; y += 2) { /* means of four, against noise */
        const uint8_t *row = picture->pixels + (size_t)y * picture->stride, *next = row + picture->stride;
        for (int x = tx * MASK_TILE; x + 1 < right; x += 2) {
            const uint8_t mean = (uint8_t)((row[x] + row[x + 1] + next[x] + next[x + 1]) / 4);
            low = mean < low ? mean : low;
            high = mean > high ? mean : high;
        }
    }
    *least = low;
    *most = high;
}

struct tiles {
    int columns, rows;
    uint8_t *least, *most;     /* of the tile itself */
    uint8_t *threshold, *flat; /* of the 3 x 3 around */
};

static void judge_tile(const struct tiles *tiles, int tx, int ty)
{
    int low = 255, high = 0;
    for (int y = ty > 0 ? ty - 1 : 0; y <= ty + 1 && y < tiles->rows; y++)
        for (int x = tx > 0 ? tx - 1 : 0; x <= tx + 1 && x < tiles->columns; x++) {
            const int i = y * tiles->columns + x;
            low = tiles->least[i] < low ? tiles->least[i] : low;
            high = tiles->most[i] > high ? tiles->most[i] : high;
        }
    tiles->threshold[ty * tiles->columns + tx] = (uint8_t)((low + high) / 2);
    tiles->flat[ty * tiles->columns + tx] = high - low < LEAST_CONTRAST /* also without a single mean */;
}

static struct tiles measure_tiles(const struct grey *picture, uint8_t *memory)
{
    const int columns = tiles_along(picture->width), rows = tiles_along(picture->height);
    const size_t count = (size_t)columns * (size_t)rows;
    const struct tiles tiles = {columns, rows, memory, memory + count, memory + 2 * count, memory + 3 * count};
    for (int ty = 0; ty < rows; ty++)
        for (int tx = 0; tx < columns; tx++)
            measure_tile(picture, tx, ty, &tiles.least[ty * columns + tx], &tiles.most[ty * columns + tx]);
    for (int ty = 0; ty < rows; ty++)
        for (int tx = 0; tx < columns; tx++)
            judge_tile(&tiles, tx, ty);
    return tiles;
}

/* Two neighbouring tile centres and how far between them a pixel lies, in 1/(2 * MASK_TILE). */
struct between {
    int first, second, part;
};

static struct between find_between(int pixel, int tiles)
{
    const int twice = 2 * pixel + 1 - MASK_TILE; /* from the first tile's centre */
    if (twice < 0)
        return (struct between){0, 0, 0};
    const int first = twice / (2 * MASK_TILE);
    if (first + 1 >= tiles)
        return (struct between){tiles - 1, tiles - 1, 0};
    return (struct between){first, first + 1, twice % (2 * MASK_TILE)};
}

static void fill_row(const struct grey *picture, const struct tiles *tiles, int y, bool light_ink, uint8_t *cells)
{
    enum { WHOLE = 2 * MASK_TILE };
    const struct between v = find_between(y, tiles->rows);
    const uint8_t *row = picture->pixels + (size_t)y * picture->stride;
    const uint8_t *above = tiles->threshold + (size_t)v.first * (size_t)tiles->columns;
    const uint8_t *below = tiles->threshold + (size_t)v.second * (size_t)tiles->columns;
    const uint8_t *flat = tiles->flat + (size_t)(y / MASK_TILE) * (size_t)tiles->columns;
    for (int x = 0; x < picture->width; x++) {
        const struct between h = find_between(x, tiles->columns);
        const int first = above[h.first] * (WHOLE - v.part) + below[h.first] * v.part;
        const int second = above[h.second] * (WHOLE - v.part) + below[h.second] * v.part;
        const int threshold = first * (WHOLE - h.part) + second * h.part, grey = row[x] * WHOLE * WHOLE;
        const bool ink = light_ink ? grey > threshold : grey < threshold;
        cells[x] = ink && !flat[x / MASK_TILE] ? MASK_INK : MASK_GROUND;
    }
}

struct mask mask_make(const struct grey *picture, bool light_ink, uint8_t *cells, uint8_t *memory)
{
    const struct mask mask = {cells, picture->width, picture->height, (size_t)picture->width + 2};
    const struct tiles tiles = measure_tiles(picture, memory);
    memset(cells, MASK_GROUND, mask.stride);
    memset(cells + mask.stride * ((size_t)mask.height + 1), MASK_GROUND, mask.stride);
    for (int y = 0; y < picture->height; y++) {
        uint8_t *row = cells + ((size_t)y + 1) * mask.stride;
        row[0] = row[mask.stride - 1] = MASK_GROUND;
        fill_row(picture, &tiles, y, light_ink, row + 1);
    }
    return mask;
}

bool mask_at(const struct mask *mask, double x, double y)
{
    if (!(x > -0.5 && y > -0.5 && x < mask->width - 0.5 && y < mask->height - 0.5))
        return false;
    return mask->cells[((size_t)(y + 0.5) + 1) * mask->stride + (size_t)(x + 0.5) + 1] & MASK_INK;
}

#include "labels/reading/mask.h"

#include <assert.h>
#include <string.h>

#include "labels/reading/mask_ways.h"

static int tiles_along(int pixels)
{
    return (pixels + MASK_TILE - 1) / MASK_TILE;
}

static size_t stride_of(int width)
{
    return ((size_t)tiles_along(width) + 7) / 8 * 8 + 2 * (size_t)MASK_PAD;
}

size_t mask_bytes_size(int width, int height)
{
    return stride_of(width) * ((size_t)height + 2 * MASK_ROWS);
}

/* Per row of tiles: least and most of the last three rows, both over three rows, both over three tiles, and limits. */
enum { TILE_ROWS = 3 + 3 + 2 + 2 + 1, TILE_FRAME = 1 };

size_t mask_tiles_size(int width)
{
    return TILE_ROWS * ((size_t)tiles_along(width) + 2 * TILE_FRAME) + 2 * stride_of(width);
}

bool mask_way_runs(enum mask_way way)
{
#if defined __x86_64__ || defined __i386__
    if (way == MASK_SSE2)
        return __builtin_cpu_supports("sse2");
    if (way == MASK_AVX2)
        return __builtin_cpu_supports("avx2");
#endif
    return way == MASK_PORTABLE || way == MASK_BEST;
}

static const struct mask_loops *loops_of(enum mask_way way)
{
    if (way == MASK_AVX2 || (way == MASK_BEST && mask_way_runs(MASK_AVX2)))
        return &mask_loops_avx2;
    if (way == MASK_SSE2 || (way == MASK_BEST && mask_way_runs(MASK_SSE2)))
        return &mask_loops_sse2;
    return &mask_loops_portable;
}

struct tiles {
    const struct mask_loops *loops;
    int columns, rows;
    uint8_t *least[3], *most[3]; /* of tile row i at i % 3; a tile more on either side repeats the outermost */
    uint8_t *low, *high;         /* over three rows */
    uint8_t *lowest, *highest;   /* and three columns */
    uint8_t *limits;
    uint8_t carried;    /* limit of the last tile that had one */
    int least_contrast; /* of tiles that have one */
};

static void measure_row(const struct grey *picture, const struct tiles *tiles, int row)
{
    uint8_t *least = tiles->least[row % 3] + TILE_FRAME, *most = tiles->most[row % 3] + TILE_FRAME;
    const uint8_t *pixels = picture->pixels + (size_t)row * MASK_TILE * picture->stride;
    const int height = picture->height - row * MASK_TILE < MASK_TILE ? picture->height - row * MASK_TILE : MASK_TILE;
    int done = 0;
    if (height == MASK_TILE) {
        const int whole = picture->width / MASK_TILE;
        done = tiles->loops->measure(pixels, picture->stride, whole, least, most);
        done += mask_loops_portable.measure(pixels + (size_t)done * MASK_TILE, picture->stride, whole - done,
                                            least + done, most + done);
    }
    for (; done < tiles->columns; done++) {
        const int width = picture->width - done * MASK_TILE < MASK_TILE ? picture->width - done * MASK_TILE : MASK_TILE;
        mask_measure_tile(pixels + (size_t)done * MASK_TILE, picture->stride, width, height, &least[done], &most[done]);
    }
    least[-1] = least[0];
    most[-1] = most[0];
    least[tiles->columns] = least[tiles->columns - 1];
    most[tiles->columns] = most[tiles->columns - 1];
}

/* Loops over bytes as the compiler turns into vector instructions by itself, told to. */
#if defined __GNUC__ && !defined __clang__
#define VECTORS __attribute__((optimize("O3")))
#else
#define VECTORS
#endif

VECTORS static void least_of_three(const uint8_t *a, const uint8_t *b, const uint8_t *c, int count,
                                   uint8_t *restrict least)
{
    for (int i = 0; i < count; i++) {
        const uint8_t two = a[i] < b[i] ? a[i] : b[i];
        least[i] = two < c[i] ? two : c[i];
    }
}

VECTORS static void most_of_three(const uint8_t *a, const uint8_t *b, const uint8_t *c, int count,
                                  uint8_t *restrict most)
{
    for (int i = 0; i < count; i++) {
        const uint8_t two = a[i] > b[i] ? a[i] : b[i];
        most[i] = two > c[i] ? two : c[i];
    }
}

static void find_limits(struct tiles *tiles, int row)
{
    const int above = row > 0 ? row - 1 : 0, below = row + 1 < tiles->rows ? row + 1 : row;
    const uint8_t *least = tiles->least[row % 3], *most = tiles->most[row % 3];
    const int columns = tiles->columns;
    least_of_three(tiles->least[above % 3], least, tiles->least[below % 3], columns + 2 * TILE_FRAME, tiles->low);
    most_of_three(tiles->most[above % 3], most, tiles->most[below % 3], columns + 2 * TILE_FRAME, tiles->high);
    least_of_three(tiles->low, tiles->low + 1, tiles->low + 2, columns, tiles->lowest);
    most_of_three(tiles->high, tiles->high + 1, tiles->high + 2, columns, tiles->highest);
    for (int i = 0; i < columns; i++) {
        const int low = tiles->lowest[i], high = tiles->highest[i];
        if (high - low >= tiles->least_contrast) {
            tiles->carried = tiles->limits[i] = (uint8_t)((low + high) / 2);
            continue;
        }
        const int middle = (least[i + TILE_FRAME] + most[i + TILE_FRAME]) / 2;
        tiles->limits[i] = middle < tiles->carried ? 255 : 0; /* 255: no pixel of an even dark tile is that light */
    }
}

static int at_part(const int *counts, int part)
{
    int level = 0;
    for (int seen = counts[0]; seen <= part && level < 255; seen += counts[level])
        level++;
    return level;
}

/* Twice the contrast within the even fifth of the tiles, which is noise; but no more than half of that within the
 * liveliest, for a symbol may fill the whole picture. From every eighth row of tiles. */
static int find_least_contrast(const struct grey *picture, const struct tiles *tiles)
{
    enum { EVERY = 8 };
    int counts[256] = {0}, all = 0;
    for (int row = 0; row < tiles->rows; row += EVERY) {
        measure_row(picture, tiles, row);
        for (int i = 0; i < tiles->columns; i++, all++)
            counts[tiles->most[row % 3][i + TILE_FRAME] - tiles->least[row % 3][i + TILE_FRAME]]++;
    }
    const int even = at_part(counts, all / 5), lively = at_part(counts, all - all / 20 - 1) / 2;
    const int least = 2 * even < lively ? 2 * even : lively;
    return least > MASK_LEAST_CONTRAST ? least : MASK_LEAST_CONTRAST;
}

static void mark_row(const struct grey *picture, const struct tiles *tiles, int y, uint8_t *bits)
{
    const uint8_t *pixels = picture->pixels + (size_t)y * picture->stride;
    const int whole = picture->width / MASK_TILE;
    int done = tiles->loops->mark(pixels, whole, tiles->limits, bits);
    done +=
        mask_loops_portable.mark(pixels + (size_t)done * MASK_TILE, whole - done, tiles->limits + done, bits + done);
    if (done == tiles->columns)
        return;
    uint8_t rest[MASK_TILE];
    memset(rest, 255, sizeof rest);
    memcpy(rest, pixels + (size_t)done * MASK_TILE, (size_t)(picture->width - done * MASK_TILE));
    (void)mask_loops_portable.mark(rest, 1, tiles->limits + done, bits + done);
}

size_t mask_limits_size(int width, int height)
{
    return (size_t)tiles_along(width) * (size_t)tiles_along(height);
}

struct mask mask_make(const struct grey *picture, enum mask_way way, uint8_t *bytes, uint8_t *memory)
{
    return mask_make_with_limits(picture, way, bytes, memory, NULL);
}

struct mask mask_make_with_limits(const struct grey *picture, enum mask_way way, uint8_t *bytes, uint8_t *memory,
                                  uint8_t *limits)
{
    assert(mask_way_runs(way));
    struct mask mask = {bytes, stride_of(picture->width), picture->width, picture->height, false};
    struct tiles tiles = {.loops = loops_of(way),
                          .columns = tiles_along(picture->width),
                          .rows = tiles_along(picture->height),
                          .carried = 128};
    const size_t line = (size_t)tiles.columns + 2 * TILE_FRAME;
    for (int i = 0; i < 3; i++) {
        tiles.least[i] = memory + (size_t)i * line;
        tiles.most[i] = memory + (size_t)(3 + i) * line;
    }
    tiles.low = memory + 6 * line;
    tiles.high = memory + 7 * line;
    tiles.lowest = memory + 8 * line;
    tiles.highest = memory + 9 * line;
    tiles.limits = memory + 10 * line;
    memset(bytes, 0, MASK_ROWS * mask.stride);
    memset(bytes + mask.stride * ((size_t)mask.height + MASK_ROWS), 0, MASK_ROWS * mask.stride);
    tiles.least_contrast = find_least_contrast(picture, &tiles);
    measure_row(picture, &tiles, 0);
    for (int row = 0; row < tiles.rows; row++) {
        if (row + 1 < tiles.rows)
            measure_row(picture, &tiles, row + 1);
        find_limits(&tiles, row);
        if (limits)
            memcpy(limits + (size_t)row * (size_t)tiles.columns, tiles.limits, (size_t)tiles.columns);
        for (int y = row * MASK_TILE; y < (row + 1) * MASK_TILE && y < picture->height; y++) {
            uint8_t *out = bytes + (size_t)(y + MASK_ROWS) * mask.stride;
            memset(out, 0, MASK_PAD);
            mark_row(picture, &tiles, y, out + MASK_PAD);
            memset(out + MASK_PAD + tiles.columns, 0, mask.stride - MASK_PAD - (size_t)tiles.columns);
        }
    }
    mask.smoothed = mask_is_speckled(&mask);
    if (mask.smoothed)
        mask_smooth(&mask, memory + TILE_ROWS * line);
    return mask;
}

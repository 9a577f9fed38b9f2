#include "labels/reading/mask.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* The mask against its header's words, computed slowly, and each set of vector instructions against the portable code,
 * bit by bit. Pictures and results lie in blocks of exactly their size, so that the sanitizer sees a byte too many. */

enum { MOST = 70, TILES = (MOST + MASK_TILE - 1) / MASK_TILE };

struct picture_block {
    uint8_t *memory;
    struct grey grey;
};

/* What a picture may hold: noise, noise too weak to count, even regions, a ramp. */
static uint8_t grey_of(uint64_t *seed, int kind, int x, int y)
{
    switch (kind) {
    case 0:
        return (uint8_t)random_below(seed, 256);
    case 1:
        return (uint8_t)(100 + random_below(seed, MASK_LEAST_CONTRAST + 4));
    case 2:
        return (x / 13 + y / 17) % 2 ? 250 : (uint8_t)random_below(seed, 5);
    case 3:
        return (uint8_t)(x * 3 + random_below(seed, 8));
    default:
        return random_below(seed, 2) ? 255 : 0;
    }
}

static struct picture_block picture_of(uint64_t *seed, int kind, int width, int height, size_t stride)
{
    const size_t size = stride * (size_t)(height - 1) + (size_t)width; /* nothing behind the last row's pixels */
    uint8_t *pixels = malloc(size);
    if (!pixels)
        abort();
    memset(pixels, 7, size);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
            pixels[(size_t)y * stride + (size_t)x] = grey_of(seed, kind, x, y);
    return (struct picture_block){pixels, {pixels, width, height, stride}};
}

static uint8_t *make(const struct grey *picture, enum mask_way way, struct mask *mask)
{
    uint8_t *bytes = malloc(mask_bytes_size(picture->width, picture->height));
    uint8_t *tiles = malloc(mask_tiles_size(picture->width));
    if (!bytes || !tiles)
        abort();
    memset(bytes, 0xA5, mask_bytes_size(picture->width, picture->height));
    *mask = mask_make(picture, way, bytes, tiles);
    free(tiles);
    return bytes;
}

static int mean(int a, int b)
{
    return (a + b + 1) / 2;
}

static int at(const struct grey *picture, int x, int y)
{
    x = x < picture->width ? x : picture->width - 1;
    y = y < picture->height ? y : picture->height - 1;
    return picture->pixels[(size_t)y * picture->stride + (size_t)x];
}

/* Darkest and lightest mean of 2 x 2 pixels in a tile; a pixel at the picture's edge stands for the missing one. */
static void range_of(const struct grey *picture, int column, int row, int *low, int *high)
{
    *low = 255;
    *high = 0;
    for (int y = row * MASK_TILE; y < (row + 1) * MASK_TILE && y < picture->height; y += 2)
        for (int x = column * MASK_TILE; x < (column + 1) * MASK_TILE && x < picture->width; x += 2) {
            const int four = mean(mean(at(picture, x, y), at(picture, x, y + 1)),
                                  mean(at(picture, x + 1, y), at(picture, x + 1, y + 1)));
            *low = four < *low ? four : *low;
            *high = four > *high ? four : *high;
        }
}

/* By the header. limit[row][column]: pixels below it are dark. */
static void find_limits(const struct grey *picture, int limit[TILES][TILES])
{
    static int low[TILES][TILES], high[TILES][TILES];
    const int columns = (picture->width + 7) / 8, rows = (picture->height + 7) / 8;
    int last = 128;
    for (int i = 0; i < rows * columns; i++)
        range_of(picture, i % columns, i / columns, &low[i / columns][i % columns], &high[i / columns][i % columns]);
    for (int i = 0; i < rows * columns; i++) {
        const int row = i / columns, column = i % columns;
        int darkest = 255, lightest = 0;
        for (int k = 0; k < 9; k++) {
            const int r = row + k / 3 - 1, c = column + k % 3 - 1;
            if (r < 0 || c < 0 || r >= rows || c >= columns)
                continue;
            darkest = low[r][c] < darkest ? low[r][c] : darkest;
            lightest = high[r][c] > lightest ? high[r][c] : lightest;
        }
        if (lightest - darkest >= MASK_LEAST_CONTRAST)
            last = limit[row][column] = (darkest + lightest) / 2;
        else
            limit[row][column] = (low[row][column] + high[row][column]) / 2 < last ? 255 : 0;
    }
}

/* 1 dark; a frame of light around. */
typedef uint8_t bitmap[MOST + 2][MOST + 2];

static int dark_around(const bitmap from, int x, int y, int reach)
{
    int dark = 0;
    for (int dy = -1; dy <= 1; dy++)
        for (int dx = -1; dx <= 1; dx++)
            dark += abs(dx) + abs(dy) <= reach && from[y + 1 + dy][x + 1 + dx];
    return dark;
}

static bool is_speckled(const bitmap from, int width, int height)
{
    int specks = 0, seen = 0;
    for (int y = 0; y < height; y += 8)
        for (int x = 0; x < width; x++, seen++) {
            const int dark = dark_around(from, x, y, 1);
            specks += from[y + 1][x + 1] ? dark == 1 : dark == 4;
        }
    return specks * MASK_SPECKLED > seen;
}

static bool check_mask(const struct grey *picture, const struct mask *mask)
{
    static int limit[TILES][TILES];
    static bitmap wanted, smooth;
    find_limits(picture, limit);
    assert_int_equal(mask->width, picture->width);
    assert_int_equal(mask->height, picture->height);
    assert_int_equal(mask->stride % 8, 0);
    memset(wanted, 0, sizeof wanted);
    memset(smooth, 0, sizeof smooth);
    for (int y = 0; y < picture->height; y++)
        for (int x = 0; x < picture->width; x++)
            wanted[y + 1][x + 1] = at(picture, x, y) < limit[y / MASK_TILE][x / MASK_TILE];
    for (int y = 0; y < picture->height; y++)
        for (int x = 0; x < picture->width; x++)
            smooth[y + 1][x + 1] = dark_around(wanted, x, y, 2) >= 5;
    const bool speckled = is_speckled(wanted, picture->width, picture->height);
    assert_int_equal(mask->smoothed, speckled);
    for (int y = -1; y <= picture->height; y++)
        for (int x = -8 * MASK_PAD; x < picture->width + 8 * MASK_PAD; x++) {
            const bool inside = x >= 0 && y >= 0 && x < picture->width && y < picture->height;
            const bool dark = inside && (speckled ? smooth : wanted)[y + 1][x + 1];
            if (mask_bit(mask, x, y) != dark)
                fail_msg("%d x %d: %d, %d is %s", picture->width, picture->height, x, y, dark ? "light" : "dark");
        }
    return speckled;
}

static void the_mask_is_what_its_header_says(void **state)
{
    uint64_t seed = 88;
    int speckled = 0;
    (void)state;
    for (int round = 0; round < 500; round++) {
        const int width = 1 + random_below(&seed, MOST), height = 1 + random_below(&seed, MOST);
        const struct picture_block block = picture_of(&seed, round % 5, width, height, (size_t)width + round % 7);
        struct mask mask;
        uint8_t *bytes = make(&block.grey, MASK_PORTABLE, &mask);
        speckled += check_mask(&block.grey, &mask);
        free(bytes);
        free(block.memory);
    }
    assert_in_range(speckled, 50, 450); /* both kinds were there */
}

static void check_way(void **state, enum mask_way way)
{
    uint64_t seed = 4096 + (uint64_t)way;
    (void)state;
    if (!mask_way_runs(way))
        skip();
    for (int width = 1; width <= MOST; width++)
        for (int height = 1; height <= MOST; height++) {
            const int beyond = (width + height) % 3 ? random_below(&seed, MOST - width + 1) : 0;
            const struct picture_block block =
                picture_of(&seed, random_below(&seed, 5), width, height, (size_t)width + (size_t)beyond);
            struct mask plain, other;
            uint8_t *wanted = make(&block.grey, MASK_PORTABLE, &plain), *bytes = make(&block.grey, way, &other);
            assert_int_equal(plain.stride, other.stride);
            if (memcmp(wanted, bytes, mask_bytes_size(width, height)) != 0)
                fail_msg("%d x %d, rows %d apart", width, height, width + beyond);
            free(wanted);
            free(bytes);
            free(block.memory);
        }
}

static void sse2_gives_the_same_bits(void **state)
{
    check_way(state, MASK_SSE2);
}

static void avx2_gives_the_same_bits(void **state)
{
    check_way(state, MASK_AVX2);
}

static void the_best_way_is_one_of_them(void **state)
{
    check_way(state, MASK_BEST);
}

/* As wide as a picture may be: no tile is lost on the way. */
static void a_very_wide_and_a_very_high_picture_come_out_the_same(void **state)
{
    uint64_t seed = 16384;
    (void)state;
    for (int i = 0; i < 2; i++) {
        const int width = i ? 9 : 16384, height = i ? 16384 : 9;
        const struct picture_block block = picture_of(&seed, 0, width, height, (size_t)width);
        struct mask plain, best;
        uint8_t *wanted = make(&block.grey, MASK_PORTABLE, &plain), *bytes = make(&block.grey, MASK_BEST, &best);
        assert_memory_equal(wanted, bytes, mask_bytes_size(width, height));
        free(wanted);
        free(bytes);
        free(block.memory);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_mask_is_what_its_header_says),
        cmocka_unit_test(sse2_gives_the_same_bits),
        cmocka_unit_test(avx2_gives_the_same_bits),
        cmocka_unit_test(the_best_way_is_one_of_them),
        cmocka_unit_test(a_very_wide_and_a_very_high_picture_come_out_the_same),
    };
    return cmocka_run_group_tests_name("reading/mask", tests, NULL, NULL);
}

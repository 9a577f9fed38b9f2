#include "labels/reading/outline.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { WIDTH = 120, HEIGHT = 100 };

struct bench {
    uint8_t pixels[WIDTH * HEIGHT], *bits, *tiles;
    struct border_table table;
    struct border_walk walk;
    struct border_point *points;
    struct outline_store store;
};

static void bench_init(struct bench *bench)
{
    memset(bench->pixels, 230, sizeof bench->pixels);
    bench->bits = malloc(2 * mask_bytes_size(WIDTH, HEIGHT));
    bench->tiles = malloc(mask_tiles_size(WIDTH));
    bench->points = malloc(BORDER_POINTS * sizeof *bench->points);
    border_table_fill(&bench->table);
    bench->store = (struct outline_store){.rows = malloc((2 * HEIGHT + 2) * sizeof(uint32_t)),
                                          .order = malloc(OUTLINE_CORNERS * sizeof(uint32_t)),
                                          .corners = malloc(OUTLINE_CORNERS * sizeof(struct outline_corner))};
}

static void bench_clear(struct bench *bench)
{
    free(bench->bits);
    free(bench->tiles);
    free(bench->points);
    free(bench->store.rows);
    free(bench->store.order);
    free(bench->store.corners);
}

static void fill(struct bench *bench, int left, int top, int right, int bottom)
{
    for (int y = top; y < bottom; y++)
        memset(bench->pixels + y * WIDTH + left, 20, (size_t)(right - left));
}

static void search(struct bench *bench)
{
    const struct grey grey = {bench->pixels, WIDTH, HEIGHT, WIDTH};
    const size_t size = mask_bytes_size(WIDTH, HEIGHT);
    const struct mask mask = mask_make(&grey, MASK_BEST, bench->bits, bench->tiles);
    int64_t steps = 0;
    border_begin(&bench->walk, &bench->table, &mask, bench->bits + size, bench->points, OUTLINE_LEAST_POINTS);
    outline_find_corners(&bench->walk, &bench->store, &steps);
    assert_true(steps >= WIDTH * HEIGHT);
    assert_true(steps <= 5 * WIDTH * HEIGHT);
}

static void finds_the_corner_of_an_l_on_its_outer_edge(void **state)
{
    struct bench bench;
    (void)state;
    bench_init(&bench);
    fill(&bench, 30, 20, 35, 80); /* the left leg, 60 high, 5 thick */
    fill(&bench, 30, 75, 90, 80); /* the bottom leg */
    search(&bench);
    assert_int_equal(bench.store.count, 1);
    const struct outline_corner *corner = bench.store.corners;
    const double wanted[6] = {89.5, 79.5, 29.5, 79.5, 29.5, 19.5}; /* clockwise: right end, corner, top end */
    const double found[6] = {corner->before[0], corner->before[1], corner->corner[0],
                             corner->corner[1], corner->after[0],  corner->after[1]};
    for (int i = 0; i < 6; i++)
        assert_true(fabs(found[i] - wanted[i]) < 0.6);
    assert_true(fabs(corner->module - 5) < 1);
    assert_true(corner->score > 40); /* solid legs of 60 pixels */
    assert_false(bench.store.full);
    bench_clear(&bench);
}

static void finds_a_light_l_on_dark_too(void **state)
{
    struct bench bench;
    (void)state;
    bench_init(&bench);
    fill(&bench, 30, 20, 35, 80);
    fill(&bench, 30, 75, 90, 80);
    for (int i = 0; i < WIDTH * HEIGHT; i++)
        bench.pixels[i] = (uint8_t)(250 - bench.pixels[i]);
    search(&bench);
    int light = 0; /* the dark ground has corners too */
    for (size_t i = 0; i < bench.store.count; i++)
        light += bench.store.corners[i].light && fabs(bench.store.corners[i].corner[0] - 29.5) < 0.6 &&
                 fabs(bench.store.corners[i].corner[1] - 79.5) < 0.6;
    assert_int_equal(light, 1);
    bench_clear(&bench);
}

static void finds_nothing_in_an_even_picture_or_in_specks(void **state)
{
    struct bench bench;
    (void)state;
    bench_init(&bench);
    search(&bench);
    assert_int_equal(bench.store.count, 0);
    for (int i = 0; i < 10; i++)
        fill(&bench, 10 * i + 5, 40, 10 * i + 9, 44);
    search(&bench);
    assert_int_equal(bench.store.count, 0);
    bench_clear(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_the_corner_of_an_l_on_its_outer_edge),
        cmocka_unit_test(finds_a_light_l_on_dark_too),
        cmocka_unit_test(finds_nothing_in_an_even_picture_or_in_specks),
    };
    return cmocka_run_group_tests_name("reading/outline", tests, NULL, NULL);
}

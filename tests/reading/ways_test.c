#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "labels/reading/mask.h"
#include "labels/reading/reader.h"
#include "tests/reading/random.h"
#include "tests/reading/scene.h"
#include "tests/reading/zint_modules.h"

/* The whole reader gives the same answer whatever instructions it works with: rendered pictures, good and bad, read in
 * each way that runs here; everything reported must be equal to the last bit. */

enum { PICTURES = 60 };

static void draw_some(struct scene *scene, int labels)
{
    static struct zint_modules made;
    uint64_t *seed = &scene->seed;
    for (int i = 0; i < labels; i++) {
        char text[40];
        (void)snprintf(text, sizeof text, "S%06d/%d", random_below(seed, 1000000), random_below(seed, 100000));
        const int size = random_below(seed, 3) ? 0 : 4 + random_below(seed, 6);
        assert_true(zint_modules_make(&(struct zint_wish){.text = text, .mode = DATA_MODE, .size = size}, &made));
        const bool light = random_below(seed, 4) == 0;
        scene_draw(scene,
                   &(struct scene_label){.size = made.size,
                                         .modules = made.modules,
                                         .pixels_a_module = 2 + random_below(seed, 40) / 10.0,
                                         .x = 20 + random_below(seed, scene->width - 40),
                                         .y = 20 + random_below(seed, scene->height - 40),
                                         .degrees = random_below(seed, 360),
                                         .tilt = random_below(seed, 20) / 100.0,
                                         .dark = light ? 210 : 50,
                                         .light = light ? 50 : 210,
                                         .text = random_below(seed, 2),
                                         .mirrored = random_below(seed, 5) == 0},
                   NULL);
    }
}

static void draw_picture(struct scene *scene, int round)
{
    const uint64_t start = 0x9E3779B97F4A7C15U * (uint64_t)(round + 1);
    assert_true(scene_init(scene, 180 + round * 7, 170 + round * 5 % 131, 90 + round, start));
    if (round % 9 == 8)
        scene_fill_text(scene, 9 + round % 13, 40, 220);
    draw_some(scene, 1 + round % 6);
    if (round % 4 == 3)
        scene_scratch(scene, scene->width / 2.0, scene->height / 2.0, round * 11, 2, 200);
    scene_shade(scene, 1 - (round % 7) / 10.0);
    scene_blur(scene, (round % 5) * 0.3);
    scene_noise(scene, round % 6 * 4);
}

static void check_symbol(const struct reader_symbol *a, const struct reader_symbol *b)
{
    assert_int_equal(a->length, b->length);
    assert_memory_equal(a->bytes, b->bytes, a->length);
    assert_string_equal(a->symbology, b->symbology);
    assert_int_equal(a->rows, b->rows);
    assert_int_equal(a->columns, b->columns);
    assert_memory_equal(a->corners, b->corners, sizeof a->corners);
    assert_int_equal(a->corrected, b->corrected);
    assert_int_equal(a->codeword_count, b->codeword_count);
    assert_memory_equal(a->codewords, b->codewords, a->codeword_count);
    assert_int_equal(a->mirrored, b->mirrored);
    assert_int_equal(a->inverted, b->inverted);
    assert_int_equal(a->eci, b->eci);
}

/* Returns how many symbols were compared. */
static size_t compare(struct reader *readers[MASK_BEST], const struct grey *picture)
{
    struct reader_result results[MASK_BEST] = {0};
    for (int way = 0; way < MASK_BEST; way++) {
        struct fault fault = {0};
        if (!reader_read(readers[way], picture, &results[way], &fault))
            fail_msg("%s", fault.text);
        assert_int_equal(results[way].count, results[0].count);
        assert_int_equal(results[way].cut_short, results[0].cut_short);
        for (size_t i = 0; i < results[0].count; i++)
            check_symbol(&results[way].symbols[i], &results[0].symbols[i]);
    }
    return results[0].count;
}

static void all_ways_report_the_same_symbols(void **state)
{
    struct reader *readers[MASK_BEST] = {0};
    size_t symbols = 0;
    int ways = 0;
    (void)state;
    for (int way = 0; way < MASK_BEST; way++) {
        readers[way] = reader_create();
        assert_non_null(readers[way]);
        if (mask_way_runs((enum mask_way)way)) {
            reader_set_way(readers[way], (enum mask_way)way);
            ways++;
        }
    }
    for (int round = 0; round < PICTURES; round++) {
        struct scene scene;
        draw_picture(&scene, round);
        const struct grey whole = scene_grey(&scene);
        symbols += compare(readers, &whole);
        const struct grey part = {scene.pixels + 3, whole.width - 5, whole.height, whole.stride}; /* at odd addresses */
        symbols += compare(readers, &part);
        scene_clear(&scene);
    }
    for (int way = 0; way < MASK_BEST; way++)
        reader_destroy(readers[way]);
    printf("%d ways, %d pictures, %zu symbols\n", ways, 2 * PICTURES, symbols);
    assert_true(symbols > PICTURES); /* most labels lie over each other or off the edge; a good part is read */
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(all_ways_report_the_same_symbols)};
    return cmocka_run_group_tests_name("reading/ways", tests, NULL, NULL);
}

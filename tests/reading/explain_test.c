#include "labels/reading/explain.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "tests/reading/scene.h"
#include "tests/reading/zint_modules.h"

enum { MODULE = 6, SIDE = 320 };

/* What was told, in order of the stages that explain.h promises. */
struct told {
    int levels, borders, corners, begun, tracks, sizes, grids, ended;
    int read;
    double best_finder;
    bool pending, orderly, codewords;
    size_t level_corners;
    int factor;
};

static void on_level(void *context, const struct explain_level *level)
{
    struct told *told = context;
    told->orderly &=
        !told->pending && level->factor == 1 << told->levels && level->mask->width == level->picture->width;
    told->levels++;
    told->factor = level->factor;
    /* a pixel of an even tile is dark or light by the tile; each other tile has a limit between */
    const int columns = (level->picture->width + MASK_TILE - 1) / MASK_TILE;
    for (int y = 0; y < level->picture->height; y++)
        for (int x = 0; x < level->picture->width; x++) {
            const int limit = level->limits[y / MASK_TILE * columns + x / MASK_TILE];
            const bool dark = level->picture->pixels[(size_t)y * level->picture->stride + (size_t)x] < limit;
            told->orderly &= mask_bit(level->mask, x, y) == dark;
        }
}

static void on_border(void *context, const struct border *border, bool has_corner)
{
    struct told *told = context;
    (void)has_corner;
    told->orderly &= border->count >= OUTLINE_LEAST_POINTS;
    told->borders++;
}

static void on_corners(void *context, const struct outline_corner *corners, size_t count)
{
    struct told *told = context;
    for (size_t i = 1; i < count; i++)
        told->orderly &= corners[i - 1].score >= corners[i].score;
    told->level_corners = count;
    told->corners += (int)count;
}

static void on_corner(void *context, size_t index)
{
    struct told *told = context;
    told->orderly &= !told->pending && index < told->level_corners;
    told->pending = true;
    told->begun++;
}

static void on_track(void *context, const struct track_way *way, const struct track *track)
{
    struct told *told = context;
    (void)track;
    told->orderly &= told->pending && way >= track_ways && way < track_ways + TRACK_WAYS;
    told->tracks++;
}

static void on_size(void *context, const struct explain_size *size)
{
    struct told *told = context;
    told->orderly &= told->pending && size->clock > 0;
    told->sizes++;
}

static void on_grid(void *context, const struct explain_grid *seen)
{
    struct told *told = context;
    told->orderly &= told->pending && (seen->modules != NULL) == (seen->end != EXPLAIN_PALE);
    told->grids++;
    told->codewords |= seen->end == EXPLAIN_CODEWORDS;
    told->best_finder = fmax(told->best_finder, seen->finder);
}

static void on_end(void *context, enum explain_end end, const struct reader_symbol *symbol)
{
    struct told *told = context;
    told->orderly &= told->pending && (symbol != NULL) == (end == EXPLAIN_READ || end == EXPLAIN_AGAIN);
    told->pending = false;
    told->ended++;
    told->read += end == EXPLAIN_READ;
}

static const struct explain listener = {NULL,     on_level, on_border, on_corners, on_corner,
                                        on_track, on_size,  on_grid,   on_end};

static void draw(struct scene *scene, int blank_rows)
{
    struct zint_modules made;
    assert_true(zint_modules_make(&(struct zint_wish){.text = "SC004217T-L24117", .mode = DATA_MODE}, &made));
    for (int row = 2; row < 2 + blank_rows; row++) /* data modules painted over, the finder left */
        for (int column = 1; column < made.size->columns - 1; column++)
            made.modules[row * made.size->columns + column] = 0;
    assert_true(scene_init(scene, SIDE, SIDE, 130, 3));
    scene_draw(scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = MODULE,
                                     .x = SIDE / 2.0,
                                     .y = SIDE / 2.0,
                                     .degrees = 11,
                                     .dark = 40,
                                     .light = 220,
                                     .text = true},
               NULL);
    scene_blur(scene, 0.7);
}

static struct reader_result read_with(struct reader *reader, const struct scene *scene, struct told *told)
{
    const struct grey grey = scene_grey(scene);
    struct reader_result result = {0};
    struct fault fault = {0};
    struct explain explain = listener;
    explain.context = told;
    if (told)
        *told = (struct told){.orderly = true};
    reader_set_explain(reader, told ? &explain : NULL);
    if (!reader_read(reader, &grey, &result, &fault))
        fail_msg("%s", fault.text);
    reader_set_explain(reader, NULL);
    return result;
}

static void a_listener_hears_the_stages_in_order_and_changes_nothing(void **state)
{
    static struct reader_symbol alone;
    struct reader *reader = reader_create();
    struct scene scene;
    struct told told;
    (void)state;
    draw(&scene, 0);
    struct reader_result result = read_with(reader, &scene, NULL);
    assert_int_equal(result.count, 1);
    alone = result.symbols[0];
    result = read_with(reader, &scene, &told);
    assert_int_equal(result.count, 1);
    assert_int_equal(result.symbols[0].length, alone.length);
    assert_memory_equal(result.symbols[0].bytes, alone.bytes, alone.length);
    assert_memory_equal(result.symbols[0].corners, alone.corners, sizeof alone.corners);
    assert_true(told.orderly);
    assert_false(told.pending);
    assert_int_equal(told.levels, 3);
    assert_true(told.borders > 0);
    assert_true(told.corners > 0 && told.begun == told.corners && told.ended == told.corners);
    assert_int_equal(told.read, 1);
    assert_true(told.best_finder == 1);
    scene_clear(&scene);
    reader_destroy(reader);
}

static void a_symbol_beyond_correction_is_told_to_have_a_right_finder_and_wrong_codewords(void **state)
{
    struct reader *reader = reader_create();
    struct scene scene;
    struct told told;
    (void)state;
    draw(&scene, 9);
    const struct reader_result result = read_with(reader, &scene, &told);
    assert_int_equal(result.count, 0);
    assert_true(told.orderly && told.codewords);
    assert_int_equal(told.read, 0);
    assert_true(told.best_finder == 1);
    scene_clear(&scene);
    reader_destroy(reader);
}

static void nobody_hears_of_an_empty_picture_more_than_its_levels(void **state)
{
    struct reader *reader = reader_create();
    struct scene scene;
    struct told told;
    (void)state;
    assert_true(scene_init(&scene, 64, 64, 200, 1));
    assert_int_equal(read_with(reader, &scene, &told).count, 0);
    assert_true(told.orderly);
    assert_int_equal(told.levels, 3);
    assert_int_equal(told.borders + told.corners + told.tracks + told.sizes + told.grids, 0);
    scene_clear(&scene);
    reader_destroy(reader);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_listener_hears_the_stages_in_order_and_changes_nothing),
        cmocka_unit_test(a_symbol_beyond_correction_is_told_to_have_a_right_finder_and_wrong_codewords),
        cmocka_unit_test(nobody_hears_of_an_empty_picture_more_than_its_levels),
    };
    return cmocka_run_group_tests_name("reading/explain", tests, NULL, NULL);
}

#include "labels/reading/reader.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "tests/reading/random.h"
#include "tests/reading/scene.h"
#include "tests/reading/zint_modules.h"

/* The text of a vat case's label: format 06, ISO/IEC 15434 and ANSI MH10.8.2. 22x22 in zint's encoding. */
static const char vat_case[] = "[)>\x1E"
                               "06\x1D"
                               "SV0001236\x1D"
                               "1TRS24117B\x1D"
                               "16D20260214\x1D"
                               "14D20260814\x1E\x04";
static const char cartridge[] = "[)>\x1E"
                                "06\x1D"
                                "SC004217T\x1D"
                                "1TL24117\x1D"
                                "16D20260131\x1D"
                                "14D20270131\x1D"
                                "7Q1000ML\x1E\x04";

static struct reader *the_reader(void **state)
{
    return *state;
}

static int set_up(void **state)
{
    *state = reader_create();
    return *state == NULL;
}

static int tear_down(void **state)
{
    reader_destroy(*state);
    return 0;
}

static struct zint_modules make(const char *text, int size)
{
    struct zint_modules made;
    if (!zint_modules_make(&(struct zint_wish){.text = text, .mode = DATA_MODE, .size = size}, &made))
        fail_msg("zint refuses %s", text);
    return made;
}

static struct reader_result read_scene(void **state, const struct scene *scene)
{
    const struct grey grey = scene_grey(scene);
    struct reader_result result = {0};
    struct fault fault = {0};
    if (!reader_read(the_reader(state), &grey, &result, &fault))
        fail_msg("%s", fault.text);
    return result;
}

static bool says(const struct reader_symbol *symbol, const char *text)
{
    return symbol->length == strlen(text) && memcmp(symbol->bytes, text, symbol->length) == 0;
}

static void check_corners(const struct reader_symbol *symbol, const double wanted[4][2], double allowed)
{
    for (int i = 0; i < 4; i++)
        if (hypot(symbol->corners[i][0] - wanted[i][0], symbol->corners[i][1] - wanted[i][1]) > allowed)
            fail_msg("corner %d at %.1f, %.1f, not %.1f, %.1f", i, symbol->corners[i][0], symbol->corners[i][1],
                     wanted[i][0], wanted[i][1]);
}

struct printed {
    double pixels_a_module, degrees, blur, noise, tilt;
};

/* One label with text beside the symbol must read, with its corners to a third of a module. */
static void check_printed(void **state, const char *text, const struct printed *printed, uint64_t seed)
{
    const struct zint_modules made = make(text, 0);
    const double side = printed->pixels_a_module * made.size->rows;
    struct scene scene;
    double corners[4][2];
    assert_true(scene_init(&scene, (int)(3.4 * side), (int)(3.4 * side), 120, seed));
    scene_draw(&scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .x = 1.7 * side + 0.3,
                                     .y = 1.7 * side - 0.2,
                                     .pixels_a_module = printed->pixels_a_module,
                                     .degrees = printed->degrees,
                                     .tilt = printed->tilt,
                                     .dark = 30,
                                     .light = 230,
                                     .text = true},
               corners);
    scene_blur(&scene, printed->blur);
    scene_noise(&scene, printed->noise);
    const struct reader_result result = read_scene(state, &scene);
    if (result.count != 1 || !says(&result.symbols[0], text))
        fail_msg("%g px a module, %g degrees, blur %g, noise %g, tilt %g: %zu symbols", printed->pixels_a_module,
                 printed->degrees, printed->blur, printed->noise, printed->tilt, result.count);
    check_corners(&result.symbols[0], corners, 0.34 * printed->pixels_a_module);
    assert_false(result.symbols[0].mirrored || result.symbols[0].inverted);
    assert_true(result.cpu_ns > 0);
    scene_clear(&scene);
}

/* Each module's grey is that of the module that was printed there, turned, seen from behind or light on dark. */
static void gives_the_grey_of_every_module(void **state)
{
    const struct zint_modules made = make(vat_case, 0);
    for (int way = 0; way < 4; way++) {
        const bool mirrored = way & 1, inverted = way & 2;
        struct scene scene;
        float values[SYMBOL_MODULES];
        assert_true(scene_init(&scene, 500, 500, 120, 5));
        scene_draw(&scene,
                   &(struct scene_label){.size = made.size,
                                         .modules = made.modules,
                                         .x = 250,
                                         .y = 250,
                                         .pixels_a_module = 8,
                                         .degrees = 33 + 90 * way,
                                         .dark = inverted ? 230 : 30,
                                         .light = inverted ? 30 : 230,
                                         .mirrored = mirrored},
                   NULL);
        const struct reader_result result = read_scene(state, &scene);
        const struct grey grey = scene_grey(&scene);
        assert_int_equal(result.count, 1);
        assert_int_equal(result.symbols[0].mirrored, mirrored);
        assert_int_equal(result.symbols[0].inverted, inverted);
        assert_true(reader_reflectances(&grey, &result.symbols[0], values));
        for (int i = 0; i < made.size->rows * made.size->columns; i++)
            if (fabsf(values[i] - (made.modules[i] != inverted ? 30.0F : 230.0F)) > 40)
                fail_msg("way %d: module %d has grey %.0f", way, i, (double)values[i]);
        scene_clear(&scene);
    }
}

static void reads_a_printed_label_at_any_angle(void **state)
{
    static const double angles[] = {0, 7, 45, 90, 133, 181, 270, 359};
    for (size_t i = 0; i < sizeof angles / sizeof *angles; i++)
        for (int px = 4; px <= 8; px += 2)
            check_printed(state, i % 2 ? vat_case : cartridge,
                          &(struct printed){px, angles[i], .blur = 0.7, .noise = 5}, i + 1);
}

static void reads_blurred_noisy_and_tilted_labels(void **state)
{
    static const struct printed hard[] = {
        {4, 20, 1.2, 5, 0},    {5, 200, 1.6, 5, 0},   {6, 77, 1.6, 8, 0},   {4, 310, 0.5, 15, 0}, {6, 33, 0.8, 5, 0.2},
        {7, 160, 0.8, 5, 0.3}, {6, 250, 0.8, 5, 0.3}, {8, 95, 1.6, 5, 0.2}, {3, 12, 0, 5, 0},
    };
    for (size_t i = 0; i < sizeof hard / sizeof *hard; i++)
        check_printed(state, vat_case, &hard[i], 100 + i);
}

static void reads_a_pure_black_and_white_raster(void **state)
{
    const struct zint_modules made = make(vat_case, 0);
    for (int px = 2; px <= 8; px++) { /* as it leaves the label printer's raster: whole dots, no grey */
        struct scene scene;
        double corners[4][2];
        assert_true(scene_init(&scene, 400, 240, 255, 1));
        const double x = 20 + px * 11 - 0.5, y = 24 + px * 11 - 0.5;
        scene_draw(&scene,
                   &(struct scene_label){.size = made.size,
                                         .modules = made.modules,
                                         .pixels_a_module = px,
                                         .x = x,
                                         .y = y,
                                         .light = 255,
                                         .text = true},
                   corners);
        scene_threshold(&scene, 128);
        const struct reader_result result = read_scene(state, &scene);
        if (result.count != 1 || !says(&result.symbols[0], vat_case))
            fail_msg("%d dots a module: %zu symbols", px, result.count);
        assert_int_equal(result.symbols[0].corrected, 0);
        check_corners(&result.symbols[0], corners, 0.34 * px);
        scene_clear(&scene);
    }
}

static void reads_a_camera_frame_and_says_what_it_saw(void **state)
{
    const struct zint_modules made = make(vat_case, 0);
    struct scene scene;
    assert_true(scene_init(&scene, 1280, 720, 100, 5));
    scene_draw(&scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = 5,
                                     .x = 800,
                                     .y = 400,
                                     .degrees = 17,
                                     .tilt = 0.1,
                                     .dark = 40,
                                     .light = 210,
                                     .text = true},
               NULL);
    scene_shade(&scene, 0.4);
    scene_blur(&scene, 0.8);
    scene_noise(&scene, 6);
    const struct reader_result result = read_scene(state, &scene);
    assert_int_equal(result.count, 1);
    const struct reader_symbol *symbol = &result.symbols[0];
    assert_true(says(symbol, vat_case));
    assert_string_equal(symbol->symbology, "]d1");
    assert_int_equal(symbol->rows, 22);
    assert_int_equal(symbol->columns, 22);
    assert_int_equal(symbol->codeword_count, 30);
    assert_int_equal(symbol->codewords[0], 237);
    assert_int_equal(symbol->eci, -1);
    assert_false(result.cut_short);
    scene_clear(&scene);
}

static void reads_a_whole_shelf_from_top_to_bottom(void **state)
{
    enum { ACROSS = 4, DOWN = 3 };
    struct scene scene;
    uint64_t seed = 12;
    char texts[ACROSS * DOWN][64];
    assert_true(scene_init(&scene, 1280, 900, 90, 3));
    for (int i = 0; i < ACROSS * DOWN; i++) {
        const int across = i % ACROSS, down = i / ACROSS;
        (void)snprintf(texts[i], sizeof texts[i],
                       "[)>\x1E"
                       "06\x1D"
                       "SV0001%03d\x1D"
                       "1TL%05d\x1D"
                       "14D20270131\x1E\x04",
                       i, 4711 * i);
        const struct zint_modules made = make(texts[i], 7);
        scene_draw(&scene,
                   &(struct scene_label){.size = made.size,
                                         .modules = made.modules,
                                         .pixels_a_module = 5,
                                         .x = 130 + across * 310,
                                         .y = 150 + down * 300,
                                         .degrees = random_below(&seed, 40) - 20,
                                         .dark = 40,
                                         .light = 210,
                                         .tilt = random_below(&seed, 15) / 100.0,
                                         .text = true},
                   NULL);
    }
    scene_shade(&scene, 0.5);
    scene_blur(&scene, 0.7);
    scene_noise(&scene, 5);
    const struct reader_result result = read_scene(state, &scene);
    assert_int_equal(result.count, ACROSS * DOWN);
    double before = -1;
    for (size_t i = 0; i < result.count; i++) {
        int found = 0;
        for (int k = 0; k < ACROSS * DOWN; k++)
            found += says(&result.symbols[i], texts[k]);
        assert_int_equal(found, 1);
        double middle = 0;
        for (int k = 0; k < 4; k++)
            middle += result.symbols[i].corners[k][1] / 4;
        assert_true(middle >= before);
        before = middle;
    }
    scene_clear(&scene);
}

/* Every size of ISO/IEC 16022 and the squarer ones of ISO/IEC 21471; long thin DMRE are read less surely from a
 * picture and are covered as modules. */
static void reads_every_size_upright_mirrored_and_light_on_dark(void **state)
{
    for (int size = 1; size <= 48; size++) {
        const struct symbol_size *wanted = symbol_size_at((size_t)size - 1);
        if (wanted->columns > 4 * wanted->rows || (wanted->rows > 64 && wanted->rows != 144))
            continue; /* the large ones differ only in number: one is enough */
        char text[SYMBOL_DATA] = {0};
        memset(text, 'R', (size_t)(wanted->data * 3 / 5));
        for (int i = 0; i < wanted->data * 3 / 5; i++)
            text[i] = (char)('A' + (i * 7 + size) % 26);
        const struct zint_modules made = make(text, size);
        for (int kind = 0; kind < 3; kind++) {
            const int side = (int)(4.5 * hypot(made.size->rows + 8, made.size->columns + 8));
            struct scene scene;
            double corners[4][2];
            assert_true(scene_init(&scene, side, side, 128, (uint64_t)size));
            scene_draw(&scene,
                       &(struct scene_label){.size = made.size,
                                             .modules = made.modules,
                                             .pixels_a_module = 4.5,
                                             .x = side / 2.0,
                                             .y = side / 2.0,
                                             .degrees = 23 * size + 90 * kind,
                                             .dark = kind == 2 ? 220 : 40,
                                             .light = kind == 2 ? 40 : 220,
                                             .mirrored = kind == 1},
                       corners);
            scene_blur(&scene, 0.6);
            scene_noise(&scene, 4);
            const struct reader_result result = read_scene(state, &scene);
            if (result.count != 1 || !says(&result.symbols[0], text))
                fail_msg("%dx%d of kind %d: %zu symbols", made.size->rows, made.size->columns, kind, result.count);
            assert_int_equal(result.symbols[0].mirrored, kind == 1);
            assert_int_equal(result.symbols[0].inverted, kind == 2);
            assert_int_equal(result.symbols[0].rows, made.size->rows);
            check_corners(&result.symbols[0], corners, 2);
            scene_clear(&scene);
        }
    }
}

static void corrects_a_scratched_symbol_and_counts_it(void **state)
{
    const struct zint_modules made = make(vat_case, 0);
    struct scene scene;
    assert_true(scene_init(&scene, 300, 300, 120, 8));
    scene_draw(&scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = 6,
                                     .x = 150,
                                     .y = 150,
                                     .degrees = 10,
                                     .dark = 30,
                                     .light = 230},
               NULL);
    for (int y = 130; y < 148; y++) /* a blot inside the symbol */
        memset(scene.pixels + y * 300 + 150, 30, 20);
    const struct reader_result result = read_scene(state, &scene);
    assert_int_equal(result.count, 1);
    assert_true(says(&result.symbols[0], vat_case));
    assert_in_range(result.symbols[0].corrected, 1, 10);
    scene_clear(&scene);
}

static void text_noise_and_emptiness_hold_no_symbol(void **state)
{
    for (int kind = 0; kind < 6; kind++) {
        struct scene scene;
        assert_true(scene_init(&scene, 640, 480, 200, (uint64_t)kind + 1));
        if (kind >= 1 && kind <= 3)
            scene_fill_text(&scene, 6 << kind, 30, 230);
        scene_noise(&scene, kind == 4 ? 50 : kind == 5 ? 120 : kind ? 5 : 0);
        const struct reader_result result = read_scene(state, &scene);
        if (result.count != 0)
            fail_msg("kind %d: %zu symbols", kind, result.count);
        scene_clear(&scene);
    }
}

/* Finders drawn right, random modules inside: what a wrong read would come from. */
static void random_modules_in_a_right_finder_are_not_read(void **state)
{
    uint64_t seed = 99;
    for (int round = 0; round < 60; round++) {
        const struct symbol_size *size = symbol_size_at((size_t)(round % 4));
        uint8_t modules[SYMBOL_MODULES];
        for (int i = 0; i < size->rows * size->columns; i++) {
            const int wanted = symbol_size_finder_at(size, i / size->columns, i % size->columns);
            modules[i] = (uint8_t)(wanted >= 0 ? wanted : random_below(&seed, 2));
        }
        struct scene scene;
        assert_true(scene_init(&scene, 140, 140, 120, seed));
        scene_draw(&scene,
                   &(struct scene_label){.size = size,
                                         .modules = modules,
                                         .pixels_a_module = 5,
                                         .x = 70,
                                         .y = 70,
                                         .degrees = round * 6,
                                         .dark = 30,
                                         .light = 230},
                   NULL);
        assert_int_equal(read_scene(state, &scene).count, 0);
        scene_clear(&scene);
    }
}

static void the_same_picture_gives_the_same_answer(void **state)
{
    const struct zint_modules made = make(vat_case, 0);
    struct scene scene;
    assert_true(scene_init(&scene, 400, 400, 120, 8));
    scene_draw(&scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = 5,
                                     .x = 200,
                                     .y = 200,
                                     .degrees = 61,
                                     .dark = 30,
                                     .light = 230,
                                     .text = true},
               NULL);
    const struct reader_result one = read_scene(state, &scene);
    assert_int_equal(one.count, 1);
    const struct reader_symbol kept = one.symbols[0];
    const struct reader_result two = read_scene(state, &scene);
    assert_int_equal(two.count, 1);
    assert_memory_equal(kept.corners, two.symbols[0].corners, sizeof kept.corners);
    assert_memory_equal(kept.bytes, two.symbols[0].bytes, kept.length);
    scene_clear(&scene);
}

static void rows_may_be_farther_apart_than_the_picture_is_wide(void **state)
{
    const struct zint_modules made = make(vat_case, 0);
    struct scene scene;
    assert_true(scene_init(&scene, 400, 300, 120, 8));
    scene_draw(&scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = 5,
                                     .x = 250,
                                     .y = 150,
                                     .degrees = 61,
                                     .dark = 30,
                                     .light = 230},
               NULL);
    const struct grey part = {scene.pixels + 100, 300, 300, 400};
    struct reader_result result = {0};
    assert_true(reader_read(the_reader(state), &part, &result, NULL));
    assert_int_equal(result.count, 1);
    scene_clear(&scene);
}

static void sizes_that_make_no_sense_are_refused(void **state)
{
    static const uint8_t pixels[64] = {0};
    static const struct grey wrong[] = {{pixels, 1, 1, 1}, {pixels, 65535, 1, 65535}, {pixels, 8, 8, 7},
                                        {pixels, 0, 0, 0}, {pixels, -8, 8, 8},        {pixels, 16384, 16384, 16384},
                                        {NULL, 8, 8, 8}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct reader_result result = {.count = 77};
        struct fault fault = {0};
        assert_false(reader_read(the_reader(state), &wrong[i], &result, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(result.count, 77);
    }
    struct reader_result result = {.count = 77};
    assert_true(reader_read(the_reader(state), &(struct grey){pixels, 8, 8, 8}, &result, NULL));
    assert_int_equal(result.count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gives_the_grey_of_every_module),
        cmocka_unit_test(reads_a_printed_label_at_any_angle),
        cmocka_unit_test(reads_blurred_noisy_and_tilted_labels),
        cmocka_unit_test(reads_a_pure_black_and_white_raster),
        cmocka_unit_test(reads_a_camera_frame_and_says_what_it_saw),
        cmocka_unit_test(reads_a_whole_shelf_from_top_to_bottom),
        cmocka_unit_test(reads_every_size_upright_mirrored_and_light_on_dark),
        cmocka_unit_test(corrects_a_scratched_symbol_and_counts_it),
        cmocka_unit_test(text_noise_and_emptiness_hold_no_symbol),
        cmocka_unit_test(random_modules_in_a_right_finder_are_not_read),
        cmocka_unit_test(the_same_picture_gives_the_same_answer),
        cmocka_unit_test(rows_may_be_farther_apart_than_the_picture_is_wide),
        cmocka_unit_test(sizes_that_make_no_sense_are_refused),
    };
    return cmocka_run_group_tests_name("reading/reader", tests, set_up, tear_down);
}

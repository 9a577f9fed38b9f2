#include "labels/reading/carton.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "labels/basics/text.h"
#include "tests/reading/scene.h"
#include "tests/reading/zint_modules.h"

enum { WIDTH = 900, HEIGHT = 360, BARS = 90 /* height of a linear code, pixels */ };

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

static void begin_scene(struct scene *scene)
{
    assert_true(scene_init(scene, WIDTH, HEIGHT, 215, 5));
}

struct printed {
    int symbology; /* zint's */
    const char *text;
    int mode; /* zint's */
    int x, y, times;
    int turns; /* by 90 degrees, clockwise */
};

/* Draws what libzint encodes, its upper left corner at x, y, and returns its corners as reader.h orders them. */
static void print(struct scene *scene, const struct printed *wish, double corners[4][2])
{
    struct zint_symbol *made = ZBarcode_Create();
    assert_non_null(made);
    made->symbology = wish->symbology;
    made->input_mode = wish->mode;
    if (ZBarcode_Encode(made, (const unsigned char *)wish->text, 0) >= ZINT_ERROR)
        fail_msg("zint: %s", made->errtxt);
    const bool square = wish->symbology == BARCODE_QRCODE;
    const int across = made->width * wish->times, down = square ? made->rows * wish->times : BARS;
    const bool upright = wish->turns % 2 == 0;
    const int width = upright ? across : down, height = upright ? down : across;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            const int u[4] = {x, y, width - 1 - x, height - 1 - y}, v[4] = {y, width - 1 - x, height - 1 - y, x};
            const int column = u[wish->turns] / wish->times, row = square ? v[wish->turns] / wish->times : 0;
            if (made->encoded_data[row][column / 8] >> (column % 8) & 1)
                scene->pixels[(wish->y + y) * scene->width + wish->x + x] = 40;
        }
    const double left = wish->x - 0.5, top = wish->y - 0.5, right = left + width, bottom = top + height;
    const double box[4][2] = {{left, bottom}, {left, top}, {right, top}, {right, bottom}};
    for (int i = 0; i < 4; i++)
        memcpy(corners[i], box[(wish->turns + i) % 4], sizeof corners[i]);
    ZBarcode_Delete(made);
}

static struct reader_result read_scene(void **state, const struct scene *scene, bool cartons)
{
    const struct grey grey = scene_grey(scene);
    struct reader_result result = {0};
    struct fault fault = {0};
    if (!reader_set_cartons(the_reader(state), cartons, &fault) ||
        !reader_read(the_reader(state), &grey, &result, &fault))
        fail_msg("%s", fault.text);
    return result;
}

static const struct reader_symbol *the_one(const struct reader_result *result, const char *text)
{
    if (result->count != 1)
        fail_msg("%s: %zu symbols", text, result->count);
    return result->symbols;
}

static bool says(const struct reader_symbol *symbol, const char *text, const char *symbology)
{
    return symbol && symbol->length == strlen(text) && memcmp(symbol->bytes, text, symbol->length) == 0 &&
           strcmp(symbol->symbology, symbology) == 0;
}

/* zint writes them; the identifiers: GS1 General Specifications, "symbology identifiers", and for Code 39, interleaved
 * 2 of 5 and plain QR ISO/IEC 15424 (from memory). 950… is the range that GS1 keeps for examples. */
static const struct {
    struct printed printed;
    const char *bytes, *symbology;
} cases[] = {
    {{BARCODE_CODE128, "Carton 42/b", 0, 60, 60, 2}, "Carton 42/b", "]C0"},
    {{BARCODE_GS1_128, "[01]09506000134352[10]AB12[21]C7", GS1_MODE, 40, 60, 2},
     "010950600013435210AB12\x1D"
     "21C7",
     "]C1"},
    {{BARCODE_EANX, "950600013435", 0, 60, 60, 3}, "9506000134352", "]E0"},
    {{BARCODE_EANX, "9501101", 0, 60, 60, 3}, "95011011", "]E4"},
    {{BARCODE_UPCA, "72527270270", 0, 60, 60, 3}, "0725272702703", "]E0"},
    {{BARCODE_UPCE, "123456", 0, 60, 60, 3}, "0012345000065", "]E0"},
    {{BARCODE_C25INTER, "19506000134359", 0, 60, 60, 3}, "19506000134359", "]I1"},
    {{BARCODE_CODE39, "CARTON-7", 0, 60, 60, 2}, "CARTON-7", "]A0"},
    {{BARCODE_DBAR_OMN, "0950600013435", 0, 60, 60, 3}, "0109506000134352", "]e0"},
    {{BARCODE_DBAR_EXP, "[01]09506000134352[10]L24117", GS1_MODE, 60, 60, 2}, "010950600013435210L24117", "]e0"},
    {{BARCODE_QRCODE, "K\xC3\xB6rnung 5 \xC2\xB5m", UNICODE_MODE, 60, 60, 4}, "K\xF6rnung 5 \xB5m", "]Q1"},
    {{BARCODE_QRCODE, "[01]09506000134352[10]L24117[21]C7", GS1_MODE, 60, 60, 4},
     "010950600013435210L24117\x1D"
     "21C7",
     "]Q3"},
};

static void what_zint_prints_on_a_carton_is_read_to_the_byte(void **state)
{
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct scene scene;
        double corners[4][2];
        char shown[200];
        begin_scene(&scene);
        print(&scene, &cases[i].printed, corners);
        scene_blur(&scene, 0.6);
        scene_noise(&scene, cases[i].printed.symbology == BARCODE_C25INTER ? 1 : 4); /* libzbar's weakest */
        const struct reader_result result = read_scene(state, &scene, true);
        const struct reader_symbol *symbol = the_one(&result, cases[i].printed.text);
        if (!says(symbol, cases[i].bytes, cases[i].symbology))
            fail_msg("%s: read as %s %s", cases[i].printed.text, symbol->symbology,
                     text_show((struct span){(const char *)symbol->bytes, symbol->length}, shown, sizeof shown));
        assert_int_equal(symbol->rows + symbol->columns, 0);
        assert_int_equal(symbol->corrected, -1);
        assert_int_equal(symbol->eci, -1);
        scene_clear(&scene);
    }
}

/* QR to a pixel; bars as far as scan lines met them: within their ends, short of them by a few modules at most. */
static void corners_begin_lower_left_as_the_code_is_read(void **state)
{
    static const struct printed printed[] = {{BARCODE_CODE128, "C42", 0, 70, 50, 2, 0},
                                             {BARCODE_QRCODE, "C42", 0, 70, 50, 4, 0}};
    for (size_t i = 0; i < 2; i++)
        for (int turns = 0; turns < 4; turns++) {
            struct scene scene;
            struct printed wish = printed[i];
            double corners[4][2];
            const double allowed = i == 0 ? 12 * wish.times : 1.5;
            begin_scene(&scene);
            wish.turns = turns;
            print(&scene, &wish, corners);
            const struct reader_result result = read_scene(state, &scene, true);
            const struct reader_symbol *symbol = the_one(&result, wish.text);
            for (int k = 0; k < 4; k++)
                if (hypot(symbol->corners[k][0] - corners[k][0], symbol->corners[k][1] - corners[k][1]) > allowed)
                    fail_msg("%s, %d turns, corner %d at %.1f, %.1f, not %.1f, %.1f", symbol->symbology, turns, k,
                             symbol->corners[k][0], symbol->corners[k][1], corners[k][0], corners[k][1]);
            scene_clear(&scene);
        }
}

static void draw_both(struct scene *scene)
{
    struct zint_modules made;
    double corners[4][2];
    assert_true(zint_modules_make(&(struct zint_wish){.text = "SC004217T", .mode = DATA_MODE}, &made));
    begin_scene(scene);
    scene_draw(scene,
               &(struct scene_label){.size = made.size,
                                     .modules = made.modules,
                                     .pixels_a_module = 5,
                                     .x = 700,
                                     .y = 260,
                                     .degrees = 4,
                                     .dark = 40,
                                     .light = 230,
                                     .text = true},
               NULL);
    print(scene, &cases[1].printed, corners);
    scene_blur(scene, 0.6);
}

static void a_carton_with_both_gives_both_when_asked_and_the_label_alone_when_not(void **state)
{
    struct scene scene;
    draw_both(&scene);
    struct reader_result result = read_scene(state, &scene, true);
    assert_int_equal(result.count, 2);
    assert_true(says(result.symbols, cases[1].bytes, "]C1")); /* the upper one */
    assert_true(says(&result.symbols[1], "SC004217T", "]d1"));
    assert_false(result.cut_short);
    result = read_scene(state, &scene, false);
    assert_int_equal(result.count, 1);
    assert_true(says(&result.symbols[0], "SC004217T", "]d1"));
    scene_clear(&scene);
}

static void rows_may_be_farther_apart_than_the_picture_is_wide(void **state)
{
    enum { STRIDE = WIDTH + 77 };
    struct scene scene;
    struct reader_result result = {0};
    struct fault fault = {0};
    uint8_t *apart = malloc((size_t)STRIDE * HEIGHT);
    assert_non_null(apart);
    draw_both(&scene);
    memset(apart, 0x11, (size_t)STRIDE * HEIGHT);
    for (int y = 0; y < HEIGHT; y++)
        memcpy(apart + (size_t)y * STRIDE, scene.pixels + (size_t)y * WIDTH, WIDTH);
    assert_true(reader_set_cartons(the_reader(state), true, &fault));
    const struct grey grey = {apart, WIDTH, HEIGHT, STRIDE};
    assert_true(reader_read(the_reader(state), &grey, &result, &fault));
    assert_int_equal(result.count, 2);
    free(apart);
    scene_clear(&scene);
}

/* Code 39 of two rows of pixels: libzbar alone would take it. */
static void bars_that_two_scan_lines_read_are_none(void **state)
{
    for (int rows = 2; rows <= 8; rows += 6) {
        struct scene scene;
        double corners[4][2];
        begin_scene(&scene);
        print(&scene, &cases[7].printed, corners);
        for (int y = cases[7].printed.y + rows; y < HEIGHT; y++)
            memset(scene.pixels + (size_t)y * WIDTH, 215, WIDTH);
        assert_int_equal(read_scene(state, &scene, true).count, rows >= CARTON_LEAST_LINES);
        scene_clear(&scene);
    }
}

/* Where there is no check digit, or a wrong one, a part of a longer code looks like a whole one. */
static void two_of_five_without_fourteen_digits_and_their_check_digit_is_none(void **state)
{
    static const char *const texts[] = {"19506000134358", "123456", "1234567890123456"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct scene scene;
        double corners[4][2];
        begin_scene(&scene);
        print(&scene, &(struct printed){BARCODE_C25INTER, texts[i], 0, 60, 60, 3}, corners);
        if (read_scene(state, &scene, true).count != 0)
            fail_msg("%s was read", texts[i]);
        scene_clear(&scene);
    }
}

static void text_noise_and_labels_hold_no_code_of_a_carton(void **state)
{
    for (int kind = 0; kind < 4; kind++) {
        struct scene scene;
        struct zint_modules made;
        assert_true(scene_init(&scene, WIDTH, HEIGHT, 200, (uint64_t)kind + 1));
        if (kind < 2)
            scene_fill_text(&scene, 12 + 10 * kind, 30, 225);
        else if (kind == 2)
            scene_noise(&scene, 60);
        assert_true(zint_modules_make(&(struct zint_wish){.text = "SC004217T", .mode = DATA_MODE}, &made));
        for (int i = 0; kind == 3 && i < 6; i++)
            scene_draw(&scene,
                       &(struct scene_label){.size = made.size,
                                             .modules = made.modules,
                                             .pixels_a_module = 5,
                                             .x = 90 + 140 * i,
                                             .y = 180,
                                             .degrees = 15 * i,
                                             .dark = 40,
                                             .light = 230},
                       NULL);
        const struct reader_result result = read_scene(state, &scene, true);
        for (size_t i = 0; i < result.count; i++)
            if (result.symbols[i].symbology[1] != 'd')
                fail_msg("kind %d: %s read", kind, result.symbols[i].symbology);
        scene_clear(&scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_zint_prints_on_a_carton_is_read_to_the_byte),
        cmocka_unit_test(corners_begin_lower_left_as_the_code_is_read),
        cmocka_unit_test(a_carton_with_both_gives_both_when_asked_and_the_label_alone_when_not),
        cmocka_unit_test(rows_may_be_farther_apart_than_the_picture_is_wide),
        cmocka_unit_test(bars_that_two_scan_lines_read_are_none),
        cmocka_unit_test(two_of_five_without_fourteen_digits_and_their_check_digit_is_none),
        cmocka_unit_test(text_noise_and_labels_hold_no_code_of_a_carton),
    };
    return cmocka_run_group_tests_name("reading/carton", tests, set_up, tear_down);
}

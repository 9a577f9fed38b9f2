#include "kiosk/web/symbol_json.h"

#include <assert.h>
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

#include "kiosk/devices/eye/eye.h"
#include "kiosk/devices/eye/eye_worker.h"
#include "labels/content/unit_label.h"
#include "labels/drawing/label.h"
#include "labels/drawing/matrix.h"
#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

/* Pictures of symbols that zint made, posted to a server whose eye is a real worker process: this very program, called
 * again as "PROGRAM eye". */

enum { SIDE = 700, DOTS = 5, WORKER_SOCKET = 3 };

static struct web_fixture fixture; /* one server for all tests of this program */
static uint8_t picture[SIDE * SIDE + 32];
static size_t picture_length;

static int open_fixture(void **state)
{
    struct fault fault = {0};
    struct eye *eye = NULL;
    (void)state;
    web_fixture_open(&fixture);
    if (!eye_create("/proc/self/exe", &eye, &fault))
        fail_msg("eye: %s", fault.text);
    fixture.eye = eye;
    web_fixture_serve(&fixture, 0);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_destroy(fixture.web);
    fixture.web = NULL;
    eye_destroy(fixture.eye);
    web_fixture_close(&fixture);
    return 0;
}

/* A white PGM (netpbm pgm(5)). */
static void picture_clear_white(void)
{
    const int head = snprintf((char *)picture, 32, "P5\n%d %d\n255\n", SIDE, SIDE);
    assert_true(head > 0);
    picture_length = (size_t)head + (size_t)SIDE * SIDE;
    memset(picture + head, 255, (size_t)SIDE * SIDE);
}

static void picture_add(struct span content, int left, int top)
{
    struct matrix matrix;
    struct fault fault = {0};
    uint8_t *pixels = picture + picture_length - (size_t)SIDE * SIDE;
    if (!matrix_encode(content, false, &matrix, &fault))
        fail_msg("%s", fault.text);
    for (int y = 0; y < matrix.rows * DOTS; y++)
        for (int x = 0; x < matrix.columns * DOTS; x++)
            if (matrix_get(&matrix, y / DOTS, x / DOTS))
                pixels[(size_t)(top + y) * SIDE + (size_t)(left + x)] = 0;
}

static void add_unit(char letter, int left, int top, char serial[SERIAL_SIZE])
{
    struct unit_label label = {.content = 0};
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    long number = 17;
    while (!serial_write(letter, number, label.serial))
        number++;
    assert_true(unit_label_write(&label, text, &length, NULL));
    snprintf(serial, SERIAL_SIZE, "%s", label.serial);
    picture_add((struct span){text, length}, left, top);
}

static void add_card(const char *word, int left, int top)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(card_label_write(word, text, &length, NULL));
    picture_add((struct span){text, length}, left, top);
}

/* GS1-128 as a supplier's carton carries it; written by libzint. */
static void add_carton(const char *element_strings, int left, int top)
{
    enum { DOTS_A_BAR = 2, HEIGHT = 90 };
    struct zint_symbol *made = ZBarcode_Create();
    uint8_t *pixels = picture + picture_length - (size_t)SIDE * SIDE;
    assert_non_null(made);
    made->symbology = BARCODE_GS1_128;
    made->input_mode = GS1_MODE;
    assert_int_equal(ZBarcode_Encode(made, (const unsigned char *)element_strings, 0), 0);
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < made->width * DOTS_A_BAR; x++) {
            const int column = x / DOTS_A_BAR;
            if (made->encoded_data[0][column / 8] >> (column % 8) & 1)
                pixels[(size_t)(top + y) * SIDE + (size_t)(left + x)] = 0;
        }
    ZBarcode_Delete(made);
}

static json_t *post(const char *path)
{
    struct http_answer answer;
    http_request(fixture.port, "POST", path, "Content-Type: image/x-portable-graymap\r\n", picture, picture_length,
                 &answer);
    json_t *body = json_loadb(answer.body, answer.length, 0, NULL);
    if (answer.status != 200 || !body)
        fail_msg("%s: status %d, %s", path, answer.status, answer.body);
    http_clear(&answer);
    return body;
}

static const char *text_at(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    if (!text)
        fail_msg("no text '%s'", key);
    return text;
}

static void every_symbol_comes_with_its_corners_and_its_meaning(void **state)
{
    char serial[SERIAL_SIZE], sentence[64];
    (void)state;
    picture_clear_white();
    add_unit('C', 60, 50, serial);
    add_card("YES", 400, 420);
    json_t *body = post("/api/pictures"), *symbols = json_object_get(body, "symbols");
    assert_int_equal(json_integer_value(json_object_get(body, "width")), SIDE);
    assert_int_equal(json_integer_value(json_object_get(body, "height")), SIDE);
    assert_int_equal(json_array_size(symbols), 2);
    const json_t *unit = json_array_get(symbols, 0), *card = json_array_get(symbols, 1);
    assert_string_equal(text_at(unit, "kind"), "unit");
    snprintf(sentence, sizeof sentence, "unit %s", serial);
    assert_string_equal(text_at(unit, "sentence"), sentence);
    assert_string_equal(text_at(unit, "symbology"), "]d1");
    assert_non_null(strstr(text_at(unit, "text"), serial));
    const json_t *corner = json_array_get(json_object_get(unit, "corners"), 0);
    assert_true(abs((int)json_real_value(json_array_get(corner, 0)) - 60) <= 2);
    assert_string_equal(text_at(card, "kind"), "card");
    assert_non_null(strstr(text_at(card, "sentence"), "never from a photograph"));
    assert_true(json_is_null(json_object_get(body, "act")));
    assert_non_null(strstr(text_at(body, "note"), "never count from a photograph"));
    json_decref(body);
}

static void one_label_in_the_picture_is_scanned_when_asked(void **state)
{
    char serial[SERIAL_SIZE];
    (void)state;
    picture_clear_white();
    add_unit('V', 200, 200, serial);
    add_card("YES", 480, 480); /* beside it, and left out */
    json_t *body = post("/api/pictures?counter=desk&act=scan");
    const json_t *content = json_object_get(json_object_get(body, "act"), "content");
    assert_string_equal(text_at(content, "source"), "picture");
    assert_string_equal(text_at(content, "symbology"), "]d1");
    assert_string_equal(text_at(content, "bytes"), text_at(json_array_get(json_object_get(body, "symbols"), 0), "hex"));
    json_decref(body);
}

static void a_cartons_code_is_read_when_the_query_asks_for_it(void **state)
{
    (void)state;
    picture_clear_white();
    add_carton("[01]09506000134352[17]270131[10]L24117", 60, 80);
    json_t *body = post("/api/pictures");
    assert_int_equal(json_array_size(json_object_get(body, "symbols")), 0);
    json_decref(body);
    body = post("/api/pictures?cartons=yes&counter=desk&act=scan");
    const json_t *symbol = json_array_get(json_object_get(body, "symbols"), 0);
    assert_string_equal(text_at(symbol, "symbology"), "]C1");
    assert_string_equal(text_at(symbol, "text"), "01095060001343521727013110L24117");
    assert_string_equal(text_at(symbol, "kind"), "supplier");
    assert_non_null(strstr(text_at(symbol, "sentence"), "lot L24117"));
    assert_int_equal(json_integer_value(json_object_get(symbol, "corrected")), -1);
    const json_t *content = json_object_get(json_object_get(body, "act"), "content"); /* and scanned as such */
    assert_string_equal(text_at(content, "symbology"), "]C1");
    json_decref(body);
}

static void the_codes_of_one_carton_are_one_scan(void **state)
{
    char serial[SERIAL_SIZE];
    (void)state;
    picture_clear_white();
    add_carton("[01]09506000134352", 60, 80);
    add_carton("[01]09506000134352[10]L24117", 60, 300);
    json_t *body = post("/api/pictures?cartons=yes&counter=desk&act=scan");
    const json_t *content = json_object_get(json_object_get(body, "act"), "content");
    const json_t *more = json_object_get(content, "more");
    assert_string_equal(text_at(content, "source"), "picture");
    assert_int_equal(json_array_size(more), 1);
    assert_string_equal(text_at(json_array_get(more, 0), "symbology"), "]C1");
    assert_string_not_equal(text_at(json_array_get(more, 0), "bytes"), text_at(content, "bytes"));
    assert_true(json_is_null(json_object_get(body, "note")));
    json_decref(body);
    add_unit('C', 420, 460, serial); /* with a label of ours among them, who knows what is meant? */
    body = post("/api/pictures?cartons=yes&counter=desk&act=scan");
    assert_true(json_is_null(json_object_get(body, "act")));
    assert_non_null(strstr(text_at(body, "note"), "scan the one you mean"));
    json_decref(body);
}

static void two_labels_are_not_guessed_between(void **state)
{
    char serial[SERIAL_SIZE];
    (void)state;
    picture_clear_white();
    add_unit('V', 60, 60, serial);
    add_unit('C', 420, 420, serial);
    json_t *body = post("/api/pictures?counter=desk&act=scan");
    assert_true(json_is_null(json_object_get(body, "act")));
    assert_non_null(strstr(text_at(body, "note"), "scan the one you mean"));
    json_decref(body);
}

static void cards_and_badges_alone_are_never_scanned_from_a_picture(void **state)
{
    char serial[SERIAL_SIZE];
    (void)state;
    picture_clear_white();
    add_card("YES", 60, 60);
    add_unit('H', 420, 420, serial);
    json_t *body = post("/api/pictures?counter=desk&act=scan");
    assert_int_equal(json_array_size(json_object_get(body, "symbols")), 2);
    assert_true(json_is_null(json_object_get(body, "act")));
    assert_non_null(strstr(text_at(body, "note"), "scan them with the hand scanner"));
    json_decref(body);
}

static void an_empty_picture_has_no_symbols(void **state)
{
    (void)state;
    picture_clear_white();
    json_t *body = post("/api/pictures");
    assert_int_equal(json_array_size(json_object_get(body, "symbols")), 0);
    assert_true(json_is_null(json_object_get(body, "note")));
    json_decref(body);
}

static void bytes_that_are_no_picture_are_a_400_with_the_reason(void **state)
{
    struct http_answer answer;
    (void)state;
    http_request(fixture.port, "POST", "/api/pictures", "", "hello", 5, &answer);
    assert_int_equal(answer.status, 400);
    assert_non_null(strstr(answer.body, "\"code\":\"input\""));
    http_clear(&answer);
    http_request(fixture.port, "POST", "/api/pictures", "", "", 0, &answer);
    assert_int_equal(answer.status, 400);
    assert_non_null(strstr(answer.body, "JPEG, PNG or PGM"));
    http_clear(&answer);
}

static void pictures_and_symbols_are_counted(void **state)
{
    struct http_answer answer;
    unsigned long pictures = 0, symbols = 0;
    (void)state;
    http_get(fixture.port, "/metrics", &answer);
    assert_int_equal(
        sscanf(strstr(answer.body, "\nambershelf_pictures_total "), " ambershelf_pictures_total %lu", &pictures), 1);
    assert_int_equal(sscanf(strstr(answer.body, "\nambershelf_picture_symbols_total "),
                            " ambershelf_picture_symbols_total %lu", &symbols),
                     1);
    assert_int_equal(pictures, 5); /* of the tests before this one */
    assert_int_equal(symbols, 8);
    http_clear(&answer);
}

/* ISO/IEC 16022: without an ECI, bytes above 127 are ISO/IEC 8859-1. */
static void bytes_that_are_not_utf8_are_shown_as_latin_1_and_kept_as_hex(void **state)
{
    static struct reader_symbol symbol = {.bytes = {'K', 0xF6, 'l', 'n'}, .length = 4, .symbology = "]d1"};
    struct scan scan;
    bool readable = false;
    (void)state;
    json_t *json = symbol_json_write(&symbol, calendar_day(2026, 2, 14), &scan, &readable);
    assert_non_null(json);
    assert_string_equal(text_at(json, "hex"), "4BF66C6E");
    assert_string_equal(text_at(json, "text"), "K\xc3\xb6ln");
    json_decref(json);
}

static void the_text_is_in_the_set_that_the_symbols_eci_says(void **state)
{
    static struct reader_symbol symbol = {
        .bytes = {0xC1, 'x'}, .length = 2, .symbology = "]d4", .eci = 7, .segments = {{0, 7}}, .segment_count = 1};
    struct scan scan;
    bool readable = false;
    (void)state;
    json_t *row = symbol_json_write(&symbol, (struct day){0}, &scan, &readable);
    assert_string_equal(text_at(row, "text"), "\xD0\xA1x"); /* ISO/IEC 8859-5: 0xC1 is U+0421 */
    json_decref(row);
}

static void a_nul_in_a_symbol_is_kept(void **state)
{
    static struct reader_symbol symbol = {.bytes = {'A', 0, 'B'}, .length = 3, .symbology = "]d1"};
    struct scan scan;
    bool readable = false;
    (void)state;
    json_t *json = symbol_json_write(&symbol, calendar_day(2026, 2, 14), &scan, &readable);
    assert_non_null(json);
    assert_int_equal(json_string_length(json_object_get(json, "text")), 3);
    char *text = json_dumps(json, JSON_COMPACT);
    assert_non_null(strstr(text, "A\\u0000B"));
    free(text);
    json_decref(json);
}

static void only_units_places_and_makers_codes_count_from_a_picture(void **state)
{
    (void)state;
    for (int kind = 0; kind < SCAN_KINDS; kind++)
        assert_int_equal(symbol_json_counts((enum scan_kind)kind),
                         kind == SCAN_UNIT || kind == SCAN_PLACE || kind == SCAN_SUPPLIER);
}

static void add_size(const char *text, int left, int top)
{
    picture_add(span_of(text), left, top);
}

/* The sizes say themselves which they are; 2 is missing, so 3 is the smallest that can be relied on; 5 without 4 would
 * make 5 the smallest. */
static void a_calibration_labels_symbols_say_the_smallest_size_that_reads(void **state)
{
    (void)state;
    picture_clear_white();
    add_size("X203D3", 60, 60);
    add_size("X203D4", 260, 60);
    add_size("X203D5", 460, 60);
    json_t *body = post("/api/pictures");
    const json_t *calibration = json_object_get(body, "calibration");
    assert_int_equal(json_integer_value(json_object_get(calibration, "dpi")), 203);
    assert_int_equal(json_integer_value(json_object_get(calibration, "smallest")), 3);
    assert_int_equal(json_array_size(json_object_get(calibration, "read")), 3);
    json_decref(body);
    picture_clear_white();
    add_size("X203D3", 60, 60);
    add_size("X203D5", 460, 60);
    body = post("/api/pictures");
    assert_int_equal(json_integer_value(json_object_get(json_object_get(body, "calibration"), "smallest")), 5);
    json_decref(body);
}

/* A label from before symbols said how large it is cannot be measured, and its sizes still count. */
static void with_grade_a_calibration_label_is_measured_or_says_why_not(void **state)
{
    (void)state;
    picture_clear_white();
    add_size("X203D3", 60, 60);
    add_size("X203D4", 260, 60);
    json_t *body = post("/api/pictures");
    const json_t *calibration = json_object_get(body, "calibration");
    assert_true(json_is_null(json_object_get(calibration, "trouble"))); /* nobody asked */
    assert_true(json_is_null(json_object_get(calibration, "measured")));
    json_decref(body);
    body = post("/api/pictures?grade=yes");
    calibration = json_object_get(body, "calibration");
    assert_non_null(strstr(text_at(calibration, "trouble"), "none of the symbols that were read says how large"));
    assert_true(json_is_null(json_object_get(calibration, "measured")));
    assert_int_equal(json_integer_value(json_object_get(calibration, "smallest")), 3);
    json_decref(body);
    picture_clear_white(); /* as bright as its ground */
    add_size("X203D3S5025", 60, 60);
    body = post("/api/pictures?grade=yes");
    assert_non_null(strstr(text_at(json_object_get(body, "calibration"), "trouble"), "label's "));
    json_decref(body);
}

/* Drawn without a fault, so everything is at its best; the numbers are those of ISO/IEC 15415 as docs/quality.md says.
 */
static void with_grade_each_symbol_says_how_it_is_printed(void **state)
{
    char serial[SERIAL_SIZE];
    (void)state;
    picture_clear_white();
    add_unit('C', 60, 50, serial);
    json_t *body = post("/api/pictures?grade=yes");
    const json_t *symbol = json_array_get(json_object_get(body, "symbols"), 0);
    const json_t *quality = json_object_get(symbol, "quality");
    assert_string_equal(text_at(symbol, "unit"), serial);
    assert_string_equal(text_at(quality, "standing"), "process-control estimate, ISO/IEC 15415-style, uncalibrated");
    assert_true(json_real_value(json_object_get(quality, "unused")) == 1);
    assert_int_equal(json_integer_value(json_object_get(quality, "fixed_level")), 4);
    assert_int_equal(json_array_size(json_object_get(quality, "pale")), 0);
    assert_int_equal(json_array_size(json_object_get(body, "looks")), 0); /* this unit had no label from here */
    json_decref(body);
    body = post("/api/pictures");
    assert_null(json_object_get(json_array_get(json_object_get(body, "symbols"), 0), "quality"));
    json_decref(body);
}

/* The cartridge's label 1 came from the printer "front" (label_rows.h), which moves labels by 8 dots of 203 dpi. Where
 * the symbol stands is taken from the drawing of such a label, dot by dot: its first black column is the L's. */
static void a_look_at_our_label_is_kept_with_its_place_across_the_head(void **state)
{
    static struct template template;
    char serial[SERIAL_SIZE];
    struct fault fault = {0};
    (void)state;
    web_fixture_run(&fixture, "label-rows");
    picture_clear_white();
    add_unit('C', 60, 50, serial);
    json_t *body = post("/api/pictures?grade=yes&source=desk-camera");
    const json_t *look = json_array_get(json_object_get(body, "looks"), 0);
    assert_string_equal(text_at(look, "unit"), serial);
    assert_int_equal(json_integer_value(json_object_get(look, "unused")), 1000);
    struct drawer *drawer = drawer_create(&fault);
    const struct label_field field = {"serial", serial};
    const char *folder = SOURCE_ROOT "/labels/drawing/templates";
    assert_non_null(drawer);
    assert_true(template_load(folder, "cartridge", &template, &fault));
    const struct layout *layout = label_layout(drawer, &template, &field, 1, 203, &fault);
    if (!layout)
        fail_msg("%s", fault.text);
    assert(layout);
    const struct layout_piece *piece = layout->pieces;
    while (piece->element->kind != TEMPLATE_SYMBOL)
        piece++;
    const double dot_um = 25400.0 / 203;
    assert_true(llabs(json_integer_value(json_object_get(look, "from_um")) - lround((piece->ink.x + 8) * dot_um)) <= 1);
    assert_true(llabs(json_integer_value(json_object_get(look, "to_um")) -
                      lround((piece->ink.x + 8 + piece->ink.width) * dot_um)) <= 1);
    drawer_destroy(drawer);
    assert_int_equal(json_integer_value(json_object_get(body, "looks_kept")), 1);
    json_decref(body);
}

int main(int count, char **arguments)
{
    if (count == 2 && strcmp(arguments[1], "eye") == 0)
        return eye_worker_main(WORKER_SOCKET);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_symbol_comes_with_its_corners_and_its_meaning),
        cmocka_unit_test(one_label_in_the_picture_is_scanned_when_asked),
        cmocka_unit_test(two_labels_are_not_guessed_between),
        cmocka_unit_test(cards_and_badges_alone_are_never_scanned_from_a_picture),
        cmocka_unit_test(an_empty_picture_has_no_symbols),
        cmocka_unit_test(bytes_that_are_no_picture_are_a_400_with_the_reason),
        cmocka_unit_test(pictures_and_symbols_are_counted),
        cmocka_unit_test(the_codes_of_one_carton_are_one_scan),
        cmocka_unit_test(a_cartons_code_is_read_when_the_query_asks_for_it),
        cmocka_unit_test(bytes_that_are_not_utf8_are_shown_as_latin_1_and_kept_as_hex),
        cmocka_unit_test(the_text_is_in_the_set_that_the_symbols_eci_says),
        cmocka_unit_test(a_nul_in_a_symbol_is_kept),
        cmocka_unit_test(only_units_places_and_makers_codes_count_from_a_picture),
        cmocka_unit_test(a_calibration_labels_symbols_say_the_smallest_size_that_reads),
        cmocka_unit_test(with_grade_a_calibration_label_is_measured_or_says_why_not),
        cmocka_unit_test(with_grade_each_symbol_says_how_it_is_printed),
        cmocka_unit_test(a_look_at_our_label_is_kept_with_its_place_across_the_head),
    };
    return cmocka_run_group_tests_name("web/route_pictures", tests, open_fixture, close_fixture);
}

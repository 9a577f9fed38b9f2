#include "kiosk/devices/eye/eye.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "kiosk/devices/eye/eye_worker.h"
#include "tests/devices/eye_help.h"

/* libzbar inside the worker's cage, which opens no file: it must not need one. */

enum { WIDTH = 700, HEIGHT = 400, BARS = 80 };

static uint8_t file[WIDTH * HEIGHT + 32];
static uint8_t *pixels;
static size_t file_length;

static void begin_picture(void)
{
    const int head = snprintf((char *)file, sizeof file, "P5 %d %d 255\n", WIDTH, HEIGHT);
    pixels = file + head;
    file_length = (size_t)head + (size_t)WIDTH * HEIGHT;
    memset(pixels, 235, (size_t)WIDTH * HEIGHT);
}

/* What libzint encodes, three pixels a module for bars and five for squares. */
static void add(int symbology, int mode, const char *text, int left, int top)
{
    struct zint_symbol *made = ZBarcode_Create();
    assert_non_null(made);
    made->symbology = symbology;
    made->input_mode = mode;
    if (ZBarcode_Encode(made, (const unsigned char *)text, 0) >= ZINT_ERROR)
        fail_msg("zint: %s", made->errtxt);
    const int times = made->rows > 1 ? 5 : 2, height = made->rows > 1 ? made->rows * times : BARS;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < made->width * times; x++) {
            const int column = x / times, row = made->rows > 1 ? y / times : 0;
            if (made->encoded_data[row][column / 8] >> (column % 8) & 1)
                pixels[(top + y) * WIDTH + left + x] = 30;
        }
    ZBarcode_Delete(made);
}

static const struct reader_symbol *find(const struct eye_answer *answer, const char *symbology)
{
    for (size_t i = 0; i < answer->count; i++)
        if (strcmp(answer->symbols[i].symbology, symbology) == 0)
            return &answer->symbols[i];
    return NULL;
}

static void expect(const struct eye_answer *answer, const char *symbology, const char *bytes)
{
    const struct reader_symbol *symbol = find(answer, symbology);
    if (!symbol || symbol->length != strlen(bytes) || memcmp(symbol->bytes, bytes, symbol->length) != 0)
        fail_msg("%s among %zu symbols: %s", symbology, answer->count, symbol ? "other bytes" : "none");
}

static void a_carton_is_read_in_the_cage_when_asked_and_only_then(void **state)
{
    static struct reader_symbol symbols[READER_SYMBOLS];
    struct eye_answer answer = {0};
    struct fault fault = {0};
    (void)state;
    begin_picture();
    add(BARCODE_GS1_128, GS1_MODE, "[01]09506000134352[10]L24117", 40, 40);
    add(BARCODE_DATAMATRIX, DATA_MODE, "SC004217T", 60, 200);
    add(BARCODE_QRCODE, UNICODE_MODE, "\xE6\xA8\xB9\xE8\x84\x82", 300, 200); /* kanji mode: Shift JIS */
    struct eye *eye = eye_help_open(eye_help_own_program);
    for (int round = 0; round < 3; round++) { /* asked or not, the same worker answers */
        const bool cartons = round != 1;
        if (!eye_read(eye, file, file_length, cartons, symbols, READER_SYMBOLS, &answer, &fault))
            fail_msg("%s", fault.text);
        assert_int_equal(answer.count, cartons ? 3 : 1);
        expect(&answer, "]d1", "SC004217T");
        if (!cartons)
            continue;
        expect(&answer, "]C1", "010950600013435210L24117");
        expect(&answer, "]Q1", "\x8E\xF7\x8E\x89"); /* JIS X 0208: as Python's shift_jis has it */
    }
    assert_int_equal(eye_counts(eye).started, 1);
    assert_int_equal(eye_counts(eye).died, 0);
    eye_destroy(eye);
}

static void the_text_of_an_eci_comes_through_the_eye(void **state)
{
    static struct reader_symbol symbols[READER_SYMBOLS];
    static char text[READER_TEXT + 1];
    size_t length = 0;
    struct eye_answer answer = {0};
    struct fault fault = {0};
    (void)state;
    begin_picture();
    add(BARCODE_DATAMATRIX, UNICODE_MODE, "\xD0\xA1\xD0\xBC\xD0\xBE\xD0\xBB\xD0\xB0", 60, 60); /* zint takes ECI 7 */
    struct eye *eye = eye_help_open(eye_help_own_program);
    if (!eye_read(eye, file, file_length, false, symbols, READER_SYMBOLS, &answer, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(answer.count, 1);
    assert_int_equal(symbols[0].eci, 7);
    assert_true(reader_symbol_text(&symbols[0], text, &length));
    assert_string_equal(text, "\xD0\xA1\xD0\xBC\xD0\xBE\xD0\xBB\xD0\xB0");
    eye_destroy(eye);
}

int main(int argc, char **argv)
{
    if (argc == 2 && strcmp(argv[1], "eye") == 0)
        return eye_worker_main(3);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_carton_is_read_in_the_cage_when_asked_and_only_then),
        cmocka_unit_test(the_text_of_an_eci_comes_through_the_eye),
    };
    return cmocka_run_group_tests_name("devices/eye_carton", tests, NULL, NULL);
}

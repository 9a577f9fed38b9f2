#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#include <cmocka.h>
#include <zint.h>

#include "labels/basics/text.h"
#include "labels/reading/module_matrix.h"
#include "labels/reading/reader.h"
#include "labels/reading/reed_solomon.h"
#include "tests/reading/random.h"
#include "tests/reading/zint_modules.h"

/* What others write is read byte for byte, twice: from the modules, and from a picture of them. Writers are libzint
 * (Debian, 2.11.1), bwip-js (npm, 4.11.4) and our own check words and placement, all of them in every size and with
 * every encodation they know. Texts are random and the same in every run. */

struct written {
    const struct symbol_size *size;
    uint8_t modules[SYMBOL_MODULES];
    uint8_t bytes[READER_BYTES];
    size_t length;
    char symbology[4];
    int eci;
};

/* Eight rows and up to eighteen times as many columns (ISO/IEC 21471): the end of the long L is where a picture's
 * corners are found least surely. There words may need correction, and a picture in a hundred may give none. */
static bool is_thin(const struct symbol_size *size)
{
    return size->columns > 6 * size->rows;
}

static struct {
    int pictures, unread;
} thin;

static void check_symbol(const struct written *written, const struct reader_symbol *symbol, const char *from)
{
    char wanted[400], found[400];
    if (symbol->length != written->length || memcmp(symbol->bytes, written->bytes, written->length) != 0)
        fail_msg("%dx%d from %s: '%s' read as '%s'", written->size->rows, written->size->columns, from,
                 text_show((struct span){(const char *)written->bytes, written->length}, wanted, sizeof wanted),
                 text_show((struct span){(const char *)symbol->bytes, symbol->length}, found, sizeof found));
    assert_string_equal(symbol->symbology, written->symbology);
    assert_int_equal(symbol->eci, written->eci);
    assert_int_equal(symbol->rows, written->size->rows);
    assert_int_equal(symbol->columns, written->size->columns);
    if (!is_thin(written->size))
        assert_int_equal(symbol->corrected, 0);
}

static void check_modules(const struct written *written)
{
    static struct reader_symbol symbol;
    double finder = 0;
    if (!module_matrix_accept(written->size, written->modules, NULL, NULL, &finder, &symbol))
        fail_msg("%dx%d of %zu bytes: no read from modules", written->size->rows, written->size->columns,
                 written->length);
    assert_true(finder == 1);
    check_symbol(written, &symbol, "modules");
}

/* A raster of `scale` pixels a module with `quiet` modules around: what a printer puts on a label. The caller frees. */
static uint8_t *draw(const struct written *written, int scale, int quiet, struct grey *picture)
{
    const int width = (written->size->columns + 2 * quiet) * scale, height = (written->size->rows + 2 * quiet) * scale;
    uint8_t *pixels = malloc((size_t)width * (size_t)height);
    if (!pixels)
        abort();
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            const int row = y / scale - quiet, column = x / scale - quiet;
            const bool inside = row >= 0 && column >= 0 && row < written->size->rows && column < written->size->columns;
            const bool dark = inside && written->modules[row * written->size->columns + column];
            pixels[(size_t)y * (size_t)width + (size_t)x] = dark ? 30 : 230;
        }
    *picture = (struct grey){pixels, width, height, (size_t)width};
    return pixels;
}

static void check_picture(struct reader *reader, const struct written *written, int scale)
{
    struct grey picture;
    uint8_t *pixels = draw(written, scale, 3, &picture);
    struct reader_result result = {0};
    assert_true(reader_read(reader, &picture, &result, NULL));
    free(pixels);
    thin.pictures += is_thin(written->size);
    if (is_thin(written->size) && result.count == 0) {
        thin.unread++;
        return;
    }
    if (result.count != 1)
        fail_msg("%dx%d of %zu bytes at %d pixels a module: %zu symbols", written->size->rows, written->size->columns,
                 written->length, scale, result.count);
    check_symbol(written, &result.symbols[0], "a picture");
}

static void check_written(void **state, const struct written *written)
{
    check_modules(written);
    check_picture(*state, written, written->length % 2 ? 4 : 5);
}

static bool zint_writes(const struct zint_wish *wish, struct written *written)
{
    static struct zint_modules made;
    if (!zint_modules_make(wish, &made))
        return false;
    written->size = made.size;
    memcpy(written->modules, made.modules, sizeof made.modules);
    return true;
}

static void set_text(struct written *written, const char *bytes, size_t length, const char *symbology, int eci)
{
    assert_in_range(length, 1, sizeof written->bytes);
    memcpy(written->bytes, bytes, length);
    written->length = length;
    (void)snprintf(written->symbology, sizeof written->symbology, "%s", symbology);
    written->eci = eci;
}

static void zint_in_every_size_and_encodation(void **state)
{
    static const char *const alphabets[] = {
        "0123456789",                                   /* digit pairs */
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 ",        /* C40 */
        "abcdefghijklmnopqrstuvwxyz0123456789 ",        /* Text */
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789*>\r ",    /* X12 */
        "ABC.,-/:;<=>?@[]^!#$%&'()*+0123456789",        /* EDIFACT */
        "\xE4\xF6\xFC\xDF\xC4\xD6\xDC\xB5\xB0\xE9\xFF", /* base 256, upper shift */
        "Ab1!\x1D\x02~}z_`\xE4",                        /* changes */
    };
    static struct written written;
    uint64_t seed = 16022;
    for (int size = 1; size <= SYMBOL_SIZES; size++)
        for (size_t a = 0; a < sizeof alphabets / sizeof *alphabets; a++) {
            char text[SYMBOL_DATA];
            size_t length = 1 + (size_t)random_below(&seed, symbol_size_at((size_t)size - 1)->data);
            for (size_t i = 0; i < length; i++)
                text[i] = alphabets[a][random_below(&seed, (int)strlen(alphabets[a]))];
            while (!zint_writes(&(struct zint_wish){.text = text, .length = length, .mode = DATA_MODE, .size = size},
                                &written)) {
                assert_true(length > 1); /* a single character fits everywhere */
                length /= 2;
            }
            assert_ptr_equal(written.size, symbol_size_at((size_t)size - 1));
            set_text(&written, text, length, "]d1", -1);
            check_written(state, &written);
        }
}

static void zint_with_fnc1_macros_eci_and_structured_append(void **state)
{
    static struct written written;
    static const struct {
        struct zint_wish wish;
        const char *bytes, *symbology;
        int eci;
    } cases[] = {
        /* GS1 General Specifications: brackets are not encoded, FNC1 first, FNC1 as separator comes as GS */
        {{.text = "[01]09506000134352[10]L24117[21]C004217T", .mode = GS1_MODE},
         "010950600013435210L24117\x1D"
         "21C004217T",
         "]d2",
         -1},
        /* ISO/IEC 15434, formats 05 and 06: macro codewords 236 and 237 */
        {{.text = "[)>\x1E"
                  "05\x1D"
                  "S4711\x1E\x04",
          .mode = DATA_MODE},
         "[)>\x1E"
         "05\x1D"
         "S4711\x1E\x04",
         "]d1",
         -1},
        {{.text = "[)>\x1E"
                  "06\x1D"
                  "S4711\x1E\x04",
          .mode = DATA_MODE},
         "[)>\x1E"
         "06\x1D"
         "S4711\x1E\x04",
         "]d1",
         -1},
        {{.text = "ABC", .mode = DATA_MODE, .eci = 3}, "ABC", "]d4", 3},
        {{.text = "ABC", .mode = DATA_MODE, .eci = 899}, "ABC", "]d4", 899},
        {{.text = "ABC", .mode = DATA_MODE, .eci = 999999}, "ABC", "]d4", 999999},
        {{.text = "PART", .mode = DATA_MODE, .structured_index = 2, .structured_total = 5, .structured_id = "001002"},
         "PART",
         "]d1",
         -1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_true(zint_writes(&cases[i].wish, &written));
        set_text(&written, cases[i].bytes, strlen(cases[i].bytes), cases[i].symbology, cases[i].eci);
        check_written(state, &written);
    }
}

/* Every size filled to its last codeword, which no encoder's choice of encodation hides: letters in ASCII. */
static void our_own_placement_in_every_size(void **state)
{
    static struct written written;
    uint64_t seed = 21471;
    for (size_t s = 0; s < SYMBOL_SIZES; s++) {
        uint8_t words[SYMBOL_CODEWORDS];
        char text[SYMBOL_DATA];
        written.size = symbol_size_at(s);
        for (int i = 0; i < written.size->data; i++) {
            text[i] = (char)(1 + random_below(&seed, 127));
            words[i] = (uint8_t)(text[i] + 1);
        }
        reed_solomon_extend(written.size, words);
        module_matrix_write(written.size, words, written.modules);
        set_text(&written, text, (size_t)written.size->data, "]d1", -1);
        check_written(state, &written);
    }
}

/* One line of tests/reading/bwip/symbols. */
static bool parse(char *line, struct written *written)
{
    enum { FIELDS = 6 };
    char *fields[FIELDS] = {0}, *rest = NULL;
    for (int i = 0; i < FIELDS; i++)
        if (!(fields[i] = strtok_r(i ? NULL : line, " \n", &rest)))
            return false;
    written->size = symbol_size_find((int)strtol(fields[0], NULL, 10), (int)strtol(fields[1], NULL, 10));
    (void)snprintf(written->symbology, sizeof written->symbology, "%s", fields[2]);
    written->eci = (int)strtol(fields[3], NULL, 10);
    written->length = strlen(fields[4]) / 2;
    if (!written->size || written->length > sizeof written->bytes ||
        strlen(fields[5]) != (size_t)written->size->rows * (size_t)written->size->columns)
        return false;
    for (size_t i = 0; i < written->length; i++) {
        const char digits[3] = {fields[4][2 * i], fields[4][2 * i + 1], '\0'};
        written->bytes[i] = (uint8_t)strtol(digits, NULL, 16);
    }
    for (size_t i = 0; fields[5][i]; i++)
        written->modules[i] = fields[5][i] == '1';
    return true;
}

static void bwip_js_in_every_size_and_encodation(void **state)
{
    static struct written written;
    char *line = NULL;
    size_t room = 0;
    int symbols = 0;
    bool sizes[SYMBOL_SIZES] = {0};
    FILE *lines = popen(SOURCE_ROOT "/tests/reading/bwip/symbols", "r");
    assert_non_null(lines);
    while (getline(&line, &room, lines) > 0) {
        assert_true(parse(line, &written));
        sizes[written.size - symbol_size_at(0)] = true;
        check_written(state, &written);
        symbols++;
    }
    free(line);
    const int status = pclose(lines);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
    for (size_t i = 0; i < SYMBOL_SIZES; i++)
        assert_true(sizes[i]);
    printf("%d symbols of bwip-js\n", symbols);
}

/* Behind the others: it looks at what they counted. */
static void thin_symbols_are_read_but_for_a_few(void **state)
{
    (void)state;
    printf("thin symbols: %d of %d pictures not read\n", thin.unread, thin.pictures);
    assert_true(thin.unread <= 1 + thin.pictures / 100);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(zint_in_every_size_and_encodation),
        cmocka_unit_test(zint_with_fnc1_macros_eci_and_structured_append),
        cmocka_unit_test(our_own_placement_in_every_size),
        cmocka_unit_test(bwip_js_in_every_size_and_encodation),
        cmocka_unit_test(thin_symbols_are_read_but_for_a_few),
    };
    return cmocka_run_group_tests_name("reading/written", tests, set_up, tear_down);
}

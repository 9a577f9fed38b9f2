#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "labels/picture/picture.h"
#include "labels/reading/reader.h"

/* The files of fixtures/pictures, as `ambershelf read` and the picture worker take them: bytes to picture to symbols.
 */

enum { MOST_BYTES = 1 << 20 };

static bool load(const char *name, struct picture *picture, struct fault *fault)
{
    static uint8_t bytes[MOST_BYTES];
    char path[512];
    (void)snprintf(path, sizeof path, "%s/pictures/%s", FIXTURES, name);
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s is not there", path);
    const size_t length = fread(bytes, 1, sizeof bytes, file);
    (void)fclose(file);
    return picture_read(bytes, length, &picture_default_limits, picture, fault);
}

static void symbols_of_the_pictures_are_read(void **state)
{
    static const struct {
        const char *name;
        size_t count;
        const char *first; /* text of the uppermost symbol, NULL: any */
        const char *symbology;
    } cases[] = {
        {"vat-case-raster.png", 1,
         "[)>\x1E"
         "06\x1D"
         "SV0001236\x1D"
         "1TRS24117B\x1D"
         "16D20260214\x1D"
         "14D20260814\x1E\x04",
         "]d1"},
        {"cartridge-tilted.jpg", 1,
         "[)>\x1E"
         "06\x1D"
         "SC004217T\x1D"
         "1TL24117\x1D"
         "16D20260131\x1D"
         "14D20270131\x1D"
         "7Q1000ML\x1E\x04",
         "]d1"},
        {"place.pgm", 1,
         "[)>\x1E"
         "06\x1D"
         "LA03-12\x1E\x04",
         "]d1"},
        {"supplier-gs1.jpg", 1,
         "0109506000134352"
         "17270131"
         "10L24117\x1D"
         "21C004217T",
         "]d2"},
        {"shelf-of-six.jpg", 6, NULL, "]d1"},
    };
    struct reader *reader = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct picture picture = {0};
        struct fault fault = {0};
        struct reader_result result = {0};
        if (!load(cases[i].name, &picture, &fault) || !reader_read(reader, &picture.grey, &result, &fault))
            fail_msg("%s: %s", cases[i].name, fault.text);
        if (result.count != cases[i].count || !result.symbols) {
            fail_msg("%s: %zu symbols, not %zu", cases[i].name, result.count, cases[i].count);
            return;
        }
        assert_string_equal(result.symbols[0].symbology, cases[i].symbology);
        if (cases[i].first) {
            assert_int_equal(result.symbols[0].length, strlen(cases[i].first));
            assert_memory_equal(result.symbols[0].bytes, cases[i].first, result.symbols[0].length);
        }
        picture_clear(&picture);
    }
}

static void broken_files_are_refused_with_a_sentence(void **state)
{
    struct picture picture = {0};
    struct fault fault = {0};
    (void)state;
    assert_false(load("cut.jpg", &picture, &fault));
    assert_non_null(strstr(fault.text, "cut off or damaged"));
    assert_false(load("text-named.png", &picture, &fault));
    assert_non_null(strstr(fault.text, "no picture"));
    assert_null(picture.memory);
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
        cmocka_unit_test(symbols_of_the_pictures_are_read),
        cmocka_unit_test(broken_files_are_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("reading/pictures", tests, set_up, tear_down);
}

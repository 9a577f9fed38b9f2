#include "labels/drawing/label_png.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <png.h>

#include "drawing_help.h"

static void draw_sample(struct drawer *drawer, int dpi, struct dots *dots)
{
    static struct template template;
    struct label_field fields[LABEL_FIELD_IDS];
    struct fault fault = {0};
    const size_t count = sample_fields("vat-case", true, fields);
    load_shipped("vat-case", &template);
    if (!label_draw(drawer, &template, fields, count, dpi, dots, &fault))
        fail_msg("%s", fault.text);
}

static void libpng_reads_back_every_dot(void **state)
{
    struct dots dots = {0};
    struct fault fault = {0};
    const int file = memory_file();
    draw_sample(*state, 203, &dots);
    if (!label_png_write(file, &dots, &fault))
        fail_msg("%s", fault.text);
    size_t length = 0;
    uint8_t *bytes = file_bytes(file, &length);
    png_image image = {.version = PNG_IMAGE_VERSION};
    assert_true(png_image_begin_read_from_memory(&image, bytes, length));
    assert_int_equal(image.width, 400);
    assert_int_equal(image.height, 200);
    image.format = PNG_FORMAT_GRAY;
    uint8_t *pixels = malloc(PNG_IMAGE_SIZE(image));
    assert_non_null(pixels);
    assert_true(png_image_finish_read(&image, NULL, pixels, 0, NULL));
    for (int y = 0; y < 200; y++)
        for (int x = 0; x < 400; x++)
            assert_int_equal(pixels[y * 400 + x], dots_get(&dots, x, y) ? 0 : 255);
    free(pixels);
    free(bytes);
    dots_clear(&dots);
    close(file);
}

static void the_file_is_one_bit_deep_and_carries_its_resolution(void **state)
{
    /* PNG, 3rd edition, 11.2.1 IHDR: byte 24 is the bit depth, 25 the colour type; 11.3.4.3 pHYs: dots per metre */
    static const int cases[][2] = {{203, 7992}, {300, 11811}, {600, 23622}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct dots dots = {0};
        size_t length = 0;
        const int file = memory_file();
        draw_sample(*state, cases[i][0], &dots);
        assert_true(label_png_write(file, &dots, NULL));
        uint8_t *bytes = file_bytes(file, &length);
        assert_int_equal(bytes[24], 1);
        assert_int_equal(bytes[25], 0);
        const uint8_t *chunk = memmem(bytes, length, "pHYs", 4);
        assert_non_null(chunk);
        assert_int_equal(chunk[4] << 24 | chunk[5] << 16 | chunk[6] << 8 | chunk[7], cases[i][1]);
        assert_int_equal(chunk[12], 1);
        free(bytes);
        dots_clear(&dots);
        close(file);
    }
}

static void a_full_disk_is_a_fault(void **state)
{
    struct dots dots = {0};
    struct fault fault = {0};
    const int file = open("/dev/full", O_WRONLY | O_CLOEXEC);
    assert_true(file >= 0);
    draw_sample(*state, 203, &dots);
    assert_false(label_png_write(file, &dots, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "No space left"));
    dots_clear(&dots);
    close(file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(libpng_reads_back_every_dot),
        cmocka_unit_test(the_file_is_one_bit_deep_and_carries_its_resolution),
        cmocka_unit_test(a_full_disk_is_a_fault),
    };
    return cmocka_run_group_tests_name("drawing/label_png", tests, create_drawer, destroy_drawer);
}

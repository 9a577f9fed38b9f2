#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cmocka.h>
#include <png.h>

#include "labels/picture/picture.h"

/* Small PNG files that unpack to much: pixels behind what the header promises, a comment of a hundred megabytes, and
 * the largest picture allowed. Each is read in the memory that its picture needs, which is enforced where no sanitizer
 * has memory of its own. */

enum { WIDTH = 64, HEIGHT = 48, LONG = 1000 * 1000, COMMENT = 100 * 1000 * 1000, SPARE = 24 * 1000 * 1000 };

struct file {
    uint8_t *bytes;
    size_t length, room;
};

static void append(png_structp png, png_bytep bytes, png_size_t length)
{
    struct file *file = png_get_io_ptr(png);
    if (file->length + length > file->room) {
        file->room = 2 * (file->length + length);
        file->bytes = realloc(file->bytes, file->room);
        if (!file->bytes)
            abort();
    }
    memcpy(file->bytes + file->length, bytes, length);
    file->length += length;
}

static void flush(png_structp png)
{
    (void)png;
}

/* Light grey everywhere; `comment`: NULL, or a text that goes compressed before the pixels. */
static struct file write_png(int width, int height, char *comment)
{
    struct file file = {0};
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    uint8_t *row = malloc((size_t)width);
    if (!png || !info || !row)
        abort();
    memset(row, 200, (size_t)width);
    png_set_write_fn(png, &file, append, flush);
    png_set_IHDR(png, info, (png_uint_32)width, (png_uint_32)height, 8, PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    char key[] = "Comment"; /* libpng's field is not const */
    if (comment) {
        png_text text = {.compression = PNG_TEXT_COMPRESSION_zTXt, .key = key, .text = comment};
        png_set_text(png, info, &text, 1);
    }
    png_write_info(png, info);
    for (int y = 0; y < height; y++)
        png_write_row(png, row);
    png_write_end(png, NULL);
    png_destroy_write_struct(&png, &info);
    free(row);
    return file;
}

/* The check sum of a chunk: ISO/IEC 15948 (PNG), Annex D, bit by bit. */
static uint32_t crc_of(const uint8_t *bytes, size_t length)
{
    uint32_t crc = 0xFFFFFFFF;
    for (size_t i = 0; i < length; i++) {
        crc ^= bytes[i];
        for (int k = 0; k < 8; k++)
            crc = crc & 1 ? 0xEDB88320 ^ crc >> 1 : crc >> 1;
    }
    return crc ^ 0xFFFFFFFF;
}

static void put_32(uint8_t *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (uint8_t)(value >> (24 - 8 * i));
}

static bool read_within(const struct file *file, size_t memory, struct picture *picture, struct fault *fault)
{
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_AS, &before), 0);
    FILE *statm = fopen("/proc/self/statm", "r");
    unsigned long pages = 0;
    assert_non_null(statm);
    assert_int_equal(fscanf(statm, "%lu", &pages), 1);
    (void)fclose(statm);
#ifndef __SANITIZE_ADDRESS__
    const struct rlimit tight = {pages * (rlim_t)sysconf(_SC_PAGESIZE) + memory, before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_AS, &tight), 0);
#else
    (void)memory;
#endif
    const bool read = picture_read(file->bytes, file->length, &picture_default_limits, picture, fault);
    assert_int_equal(setrlimit(RLIMIT_AS, &before), 0);
    return read;
}

static void check_read(const struct file *file, int width, int height)
{
    struct picture picture = {0};
    struct fault fault = {0};
    if (!read_within(file, (size_t)width * (size_t)height + SPARE, &picture, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(picture.grey.width, width);
    assert_int_equal(picture.grey.height, height);
    assert_int_equal(picture.grey.pixels[(size_t)(height - 1) * picture.grey.stride + (size_t)width - 1], 200);
    picture_clear(&picture);
}

static void pixels_behind_the_promised_ones_are_not_unpacked(void **state)
{
    struct file file = write_png(WIDTH, LONG, NULL);
    (void)state;
    put_32(file.bytes + 20, HEIGHT); /* the header's height, and the header's check sum */
    put_32(file.bytes + 29, crc_of(file.bytes + 12, 17));
    assert_true(file.length < WIDTH * LONG / 100);
    struct picture picture = {0};
    struct fault fault = {0};
    if (read_within(&file, WIDTH * HEIGHT + SPARE, &picture, &fault)) {
        assert_int_equal(picture.grey.height, HEIGHT);
        assert_int_equal(picture.grey.pixels[0], 200);
        picture_clear(&picture);
    } else {
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_non_null(strstr(fault.text, "PNG"));
    }
    free(file.bytes);
}

static void a_comment_of_a_hundred_megabytes_costs_nothing(void **state)
{
    char *comment = malloc(COMMENT + 1);
    (void)state;
    assert_non_null(comment);
    memset(comment, 'x', COMMENT);
    comment[COMMENT] = '\0';
    struct file file = write_png(WIDTH, HEIGHT, comment);
    free(comment);
    assert_true(file.length < COMMENT / 100);
    check_read(&file, WIDTH, HEIGHT);
    free(file.bytes);
}

static void the_largest_picture_takes_its_pixels_and_little_more(void **state)
{
    struct file file = write_png(8000, 8000, NULL);
    (void)state;
    assert_true(file.length < 8000 * 8000 / 100);
    check_read(&file, 8000, 8000);
    free(file.bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pixels_behind_the_promised_ones_are_not_unpacked),
        cmocka_unit_test(a_comment_of_a_hundred_megabytes_costs_nothing),
        cmocka_unit_test(the_largest_picture_takes_its_pixels_and_little_more),
    };
    return cmocka_run_group_tests_name("picture/bomb", tests, NULL, NULL);
}

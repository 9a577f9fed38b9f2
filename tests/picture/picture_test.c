#include "labels/picture/picture.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <png.h>
#include <turbojpeg.h>

enum { MOST_BYTES = 1 << 20 };

struct file {
    uint8_t bytes[MOST_BYTES];
    size_t length;
};

static bool read_file(const struct file *file, struct picture *picture, struct fault *fault)
{
    *picture = (struct picture){0};
    *fault = (struct fault){0};
    return picture_read(file->bytes, file->length, &picture_default_limits, picture, fault);
}

/* A file that must be refused with a sentence holding `words`, and nothing allocated or set. */
static void check_refused(const struct file *file, const char *words)
{
    struct picture picture = {.memory = (uint8_t *)8};
    struct fault fault = {0};
    if (picture_read(file->bytes, file->length, &picture_default_limits, &picture, &fault))
        fail_msg("taken, but should say: %s", words);
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_ptr_equal(picture.memory, (uint8_t *)8);
    if (!strstr(fault.text, words))
        fail_msg("\"%s\" does not say \"%s\"", fault.text, words);
}

static void check_text(const char *text, const char *words)
{
    static struct file file;
    file.length = strlen(text);
    memcpy(file.bytes, text, file.length);
    check_refused(&file, words);
}

static void write_png(struct file *file, uint32_t format, int width, int height, const void *pixels)
{
    png_image image = {
        .version = PNG_IMAGE_VERSION, .width = (png_uint_32)width, .height = (png_uint_32)height, .format = format};
    png_alloc_size_t size = sizeof file->bytes;
    assert_true(png_image_write_to_memory(&image, file->bytes, &size, 0, pixels, 0, NULL));
    file->length = size;
}

static void write_jpeg(struct file *file, int width, int height, const uint8_t *grey, int flags)
{
    tjhandle handle = tjInitCompress();
    uint8_t *out = file->bytes;
    unsigned long size = sizeof file->bytes;
    assert_int_equal(
        tjCompress2(handle, grey, width, 0, height, TJPF_GRAY, &out, &size, TJSAMP_GRAY, 95, flags | TJFLAG_NOREALLOC),
        0);
    file->length = size;
    tjDestroy(handle);
}

/* A slope with a dark square: something of every kind. */
static void draw(uint8_t *grey, int width, int height)
{
    for (int i = 0; i < width * height; i++)
        grey[i] = (uint8_t)(i % width / 8 % 2 && i / width > height / 2 ? 20 : 100 + 150 * (i % width) / width);
}

static void reads_grey_png_exactly(void **state)
{
    static struct file file;
    uint8_t grey[40 * 30];
    struct picture picture;
    struct fault fault;
    (void)state;
    draw(grey, 40, 30);
    write_png(&file, PNG_FORMAT_GRAY, 40, 30, grey);
    assert_true(read_file(&file, &picture, &fault));
    assert_int_equal(picture.grey.width, 40);
    assert_int_equal(picture.grey.height, 30);
    assert_ptr_equal(picture.grey.pixels, picture.memory);
    for (int y = 0; y < 30; y++)
        assert_memory_equal(picture.grey.pixels + (size_t)y * picture.grey.stride, grey + 40 * y, 40);
    picture_clear(&picture);
    assert_null(picture.memory);
    picture_clear(&picture);
}

static void reads_colour_and_alpha_png_with_alpha_on_white(void **state)
{
    static struct file file;
    static const uint8_t rgba[4 * 4] = {0, 0, 0, 255, 255, 255, 255, 255, 0, 0, 0, 0, 255, 0, 0, 255};
    struct picture picture;
    struct fault fault;
    (void)state;
    write_png(&file, PNG_FORMAT_RGBA, 4, 1, rgba);
    assert_true(read_file(&file, &picture, &fault));
    assert_int_equal(picture.grey.pixels[0], 0);
    assert_int_equal(picture.grey.pixels[1], 255);
    assert_int_equal(picture.grey.pixels[2], 255); /* see-through black lies on white */
    assert_in_range(picture.grey.pixels[3], 40, 160);
    picture_clear(&picture);
}

static void reads_sixteen_bit_png(void **state)
{
    static struct file file;
    static const uint16_t linear[3] = {0, 65535, 65535}; /* libpng's 16-bit format is linear light */
    struct picture picture;
    struct fault fault;
    (void)state;
    write_png(&file, PNG_FORMAT_LINEAR_Y, 3, 1, linear);
    assert_true(read_file(&file, &picture, &fault));
    assert_int_equal(picture.grey.pixels[0], 0);
    assert_int_equal(picture.grey.pixels[1], 255);
    picture_clear(&picture);
}

static void reads_plain_and_progressive_jpeg_closely(void **state)
{
    static struct file file;
    uint8_t grey[64 * 48];
    (void)state;
    draw(grey, 64, 48);
    for (int flags = 0; flags <= TJFLAG_PROGRESSIVE; flags += TJFLAG_PROGRESSIVE) {
        struct picture picture;
        struct fault fault;
        write_jpeg(&file, 64, 48, grey, flags);
        assert_true(read_file(&file, &picture, &fault));
        assert_int_equal(picture.grey.width, 64);
        for (int i = 0; i < 64 * 48; i++)
            assert_true(abs(picture.grey.pixels[i] - grey[i]) < 40);
        picture_clear(&picture);
    }
}

static void reads_both_kinds_of_pgm(void **state)
{
    static const struct {
        const char *bytes;
        size_t length;
        uint8_t wanted[4];
    } cases[] = {
        {"P2\n# a comment\n2 2 # another\n255\n0 255\n7 9\n", 43, {0, 255, 7, 9}},
        {"P2 2 2 3 0 1 2 3", 16, {0, 85, 170, 255}},
        {"P5 2 2 255\n\0\xFF\x0A\x20", 15, {0, 255, 10, 32}}, /* pixel bytes that look like white space */
        {"P5\n2\n2\n65535\n\0\0\xFF\xFF\x80\0\x40\0", 21, {0, 255, 128, 64}},
    };
    (void)state; /* netpbm, pgm(5) */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct picture picture = {0};
        struct fault fault = {0};
        if (!picture_read((const uint8_t *)cases[i].bytes, cases[i].length, &picture_default_limits, &picture, &fault))
            fail_msg("case %zu: %s", i, fault.text);
        assert_memory_equal(picture.grey.pixels, cases[i].wanted, 4);
        picture_clear(&picture);
    }
}

static void what_is_no_picture_is_said_in_one_sentence(void **state)
{
    (void)state;
    check_text("", "empty");
    check_text("Dear storekeeper, this is a text named label.png.", "no picture");
    check_text("GIF89a...", "GIF");
    check_text("%PDF-1.7", "PDF");
    check_text("RIFF....WEBPVP8 ", "WebP");
    check_text("....ftypheic", "HEIC");
    check_text("P6 2 2 255\n............", "PPM");
    check_text("\x89PNG\r\n\x1A\n", "cut off or damaged");
    check_text("\xFF\xD8\xFF\xE0", "cut off or damaged");
}

static void broken_pgm_is_said_in_one_sentence(void **state)
{
    (void)state;
    check_text("P2", "header");
    check_text("P5x2 2 255\n....", "header");
    check_text("P2 2 2 0 0 0 0 0", "greatest value");
    check_text("P2 2 2 65536 0 0 0 0", "greatest value");
    check_text("P2 -2 2 255 0 0 0 0", "width");
    check_text("P2 0 2 255", "no picture");
    check_text("P2 2 2 255 0 0 0", "pixel 4 of 4 is missing");
    check_text("P2 2 2 7 0 0 8 0", "pixel 3 of 4");
    check_text("P5 2 2 255\n...", "3 of 4 pixels");
    check_text("P5 2 2 7\n\1\2\x9\3", "pixel 3 is 9, above");
    check_text("P5 20000 2 255\n", "20000 x 2 pixels, more than 16384");
    check_text("P2 99999999999999999999 2 255\n", "width");
}

static void a_file_cut_anywhere_is_refused(void **state)
{
    static struct file file;
    uint8_t grey[64 * 48];
    (void)state;
    draw(grey, 64, 48);
    for (int kind = 0; kind < 3; kind++) {
        if (kind == 0)
            write_png(&file, PNG_FORMAT_GRAY, 64, 48, grey);
        else
            write_jpeg(&file, 64, 48, grey, kind == 1 ? 0 : TJFLAG_PROGRESSIVE);
        /* the last chunk of a PNG (12 bytes) and the end mark of a JPEG hold no picture */
        for (size_t length = 1; length + (kind ? 3 : 13) < file.length; length++) {
            uint8_t *part = malloc(length); /* its own block, so that a read beyond the end is seen */
            struct picture picture = {0};
            struct fault fault = {0};
            assert_non_null(part);
            memcpy(part, file.bytes, length);
            if (picture_read(part, length, &picture_default_limits, &picture, &fault))
                fail_msg("kind %d cut at %zu of %zu is taken", kind, length, file.length);
            assert_int_equal(fault.code, FAULT_INPUT);
            free(part);
        }
    }
}

static void a_wrong_check_sum_in_png_is_refused(void **state)
{
    static struct file file;
    uint8_t grey[64 * 48];
    (void)state;
    draw(grey, 64, 48);
    write_png(&file, PNG_FORMAT_GRAY, 64, 48, grey);
    file.bytes[file.length - 14] ^= 1; /* in the check sum of the pixels' chunk */
    check_refused(&file, "PNG");
}

static void sizes_beyond_the_limits_are_refused_before_a_pixel_is_decoded(void **state)
{
    static struct file file;
    uint8_t grey[64 * 48];
    (void)state;
    draw(grey, 64, 48);
    write_jpeg(&file, 64, 48, grey, 0);
    uint8_t *frame = NULL;
    for (size_t i = 0; i + 1 < file.length && !frame; i++)
        if (file.bytes[i] == 0xFF && file.bytes[i + 1] == 0xC0)
            frame = file.bytes + i + 5; /* height and width, two bytes each (ITU-T T.81, B.2.2) */
    if (!frame) {
        fail_msg("libjpeg-turbo wrote no frame header");
        return;
    }
    memcpy(frame, (const uint8_t[]){0x80, 0, 0x80, 0}, 4);
    check_refused(&file, "32768 x 32768 pixels, more than");
    memcpy(frame, (const uint8_t[]){0x1F, 0x40, 0x1F, 0x40}, 4);
    check_refused(&file, "8000 x 8000 pixels but has only");

    static const uint8_t png[] = {0x89, 'P',  'N',  'G', '\r', '\n', 0x1A, '\n', 0, 0, 0, 13, 'I',  'H',  'D',  'R', 0,
                                  0,    0x3E, 0x80, 0,   0,    0x3E, 0x80, 8,    0, 0, 0, 0,  0xF1, 0xCF, 0x76, 0x2C};
    file.length = sizeof png; /* 16000 x 16000: a right check sum or not, it ends here */
    memcpy(file.bytes, png, sizeof png);
    struct picture picture;
    struct fault fault;
    assert_false(read_file(&file, &picture, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);

    const struct picture_limits small = {.file_bytes = 100, .side = 63, .pixels = 64 * 48};
    write_png(&file, PNG_FORMAT_GRAY, 64, 48, grey);
    assert_false(picture_read(file.bytes, 101, &small, &picture, &fault));
    assert_non_null(strstr(fault.text, "101 bytes, more than 100"));
    const struct picture_limits narrow = {.file_bytes = MOST_BYTES, .side = 63, .pixels = 64 * 48};
    assert_false(picture_read(file.bytes, file.length, &narrow, &picture, &fault));
    assert_non_null(strstr(fault.text, "64 x 48 pixels, more than 63"));
    const struct picture_limits few = {.file_bytes = MOST_BYTES, .side = 64, .pixels = 64 * 48 - 1};
    assert_false(picture_read(file.bytes, file.length, &few, &picture, &fault));
}

static void a_file_of_forty_megabytes_is_refused(void **state)
{
    const size_t length = (size_t)40 << 20;
    uint8_t *bytes = calloc(1, length);
    struct picture picture = {0};
    struct fault fault = {0};
    (void)state;
    assert_non_null(bytes);
    memcpy(bytes, (const uint8_t[]){0xFF, 0xD8, 0xFF}, 3);
    assert_false(picture_read(bytes, length, &picture_default_limits, &picture, &fault));
    assert_non_null(strstr(fault.text, "make it smaller"));
    free(bytes);
}

/* Each scan of a progressive JPEG walks over the whole picture: a small file could keep a reader busy for hours. */
static void a_jpeg_of_endless_scans_is_refused(void **state)
{
    static struct file file, bomb;
    uint8_t grey[64 * 48];
    (void)state;
    draw(grey, 64, 48);
    write_jpeg(&file, 64, 48, grey, TJFLAG_PROGRESSIVE);
    size_t last = 0;
    for (size_t i = 0; i + 1 < file.length; i++)
        if (file.bytes[i] == 0xFF && file.bytes[i + 1] == 0xDA)
            last = i;
    const size_t scan = file.length - 2 - last;
    memcpy(bomb.bytes, file.bytes, last);
    bomb.length = last;
    for (int i = 0; i < 80; i++, bomb.length += scan)
        memcpy(bomb.bytes + bomb.length, file.bytes + last, scan);
    memcpy(bomb.bytes + bomb.length, (const uint8_t[]){0xFF, 0xD9}, 2);
    bomb.length += 2;
    check_refused(&bomb, "scans");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_grey_png_exactly),
        cmocka_unit_test(reads_colour_and_alpha_png_with_alpha_on_white),
        cmocka_unit_test(reads_sixteen_bit_png),
        cmocka_unit_test(reads_plain_and_progressive_jpeg_closely),
        cmocka_unit_test(reads_both_kinds_of_pgm),
        cmocka_unit_test(what_is_no_picture_is_said_in_one_sentence),
        cmocka_unit_test(broken_pgm_is_said_in_one_sentence),
        cmocka_unit_test(a_file_cut_anywhere_is_refused),
        cmocka_unit_test(a_wrong_check_sum_in_png_is_refused),
        cmocka_unit_test(sizes_beyond_the_limits_are_refused_before_a_pixel_is_decoded),
        cmocka_unit_test(a_file_of_forty_megabytes_is_refused),
        cmocka_unit_test(a_jpeg_of_endless_scans_is_refused),
    };
    return cmocka_run_group_tests_name("picture/picture", tests, NULL, NULL);
}

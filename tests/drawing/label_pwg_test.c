#include "labels/drawing/label_pwg.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <cups/raster.h>

#include "drawing_help.h"

static const struct label_pwg_media shelf_label = {"oe_shelf-label_50x25mm", 50000, 25000};

static void draw_sample(struct drawer *drawer, int dpi, struct dots *dots)
{
    static struct template template;
    struct label_field fields[LABEL_FIELD_IDS];
    struct fault fault = {0};
    const size_t count = sample_fields("cartridge", true, fields);
    load_shipped("cartridge", &template);
    if (!label_draw(drawer, &template, fields, count, dpi, dots, &fault))
        fail_msg("%s", fault.text);
}

static void assert_page(cups_raster_t *raster, const struct dots *dots)
{
    cups_page_header2_t header;
    uint8_t row[256];
    assert_true(cupsRasterReadHeader2(raster, &header));
    assert_string_equal(header.MediaClass, "PwgRaster");
    assert_string_equal(header.cupsPageSizeName, "oe_shelf-label_50x25mm");
    assert_int_equal(header.cupsWidth, dots->width);
    assert_int_equal(header.cupsHeight, dots->height);
    assert_int_equal(header.HWResolution[0], dots->dpi);
    assert_int_equal(header.HWResolution[1], dots->dpi);
    assert_int_equal(header.cupsBitsPerPixel, 1);
    assert_int_equal(header.cupsBitsPerColor, 1);
    assert_int_equal(header.cupsNumColors, 1);
    assert_int_equal(header.cupsColorSpace, 3); /* PWG 5102.4 table 6: black */
    assert_int_equal(header.PageSize[0], 142);  /* 50 mm in points, 141.73 */
    assert_int_equal(header.PageSize[1], 71);
    assert_true(header.cupsBytesPerLine <= sizeof row);
    for (int y = 0; y < dots->height; y++) {
        assert_int_equal(cupsRasterReadPixels(raster, row, header.cupsBytesPerLine), header.cupsBytesPerLine);
        assert_memory_equal(row, dots->rows + (size_t)y * dots->stride, header.cupsBytesPerLine);
    }
}

static void cups_reads_back_the_same_bits_page_for_page(void **state)
{
    static const int resolutions[] = {203, 300};
    for (size_t i = 0; i < 2; i++) {
        struct dots dots = {0};
        struct fault fault = {0};
        const int file = memory_file();
        draw_sample(*state, resolutions[i], &dots);
        if (!label_pwg_write(file, &dots, &shelf_label, 2, &fault))
            fail_msg("%s", fault.text);
        assert_int_equal(lseek(file, 0, SEEK_SET), 0);
        cups_raster_t *raster = cupsRasterOpen(file, CUPS_RASTER_READ);
        assert_non_null(raster);
        assert_page(raster, &dots);
        assert_page(raster, &dots);
        cups_page_header2_t more;
        assert_false(cupsRasterReadHeader2(raster, &more));
        cupsRasterClose(raster);
        dots_clear(&dots);
        close(file);
    }
}

static void the_header_lies_where_the_standard_says(void **state)
{
    /* PWG 5102.4-2012, 4.3: "RaS2", then a 1796-byte header, big-endian: resolution at 276, width at 372, height at
     * 376, colour space at 400 */
    struct dots dots = {0};
    size_t length = 0;
    const int file = memory_file();
    draw_sample(*state, 203, &dots);
    assert_true(label_pwg_write(file, &dots, &shelf_label, 1, NULL));
    uint8_t *bytes = file_bytes(file, &length);
    const uint8_t *header = bytes + 4;
    assert_memory_equal(bytes, "RaS2", 4);
    assert_true(length > 4 + 1796);
    assert_int_equal(header[278] << 8 | header[279], 203);
    assert_int_equal(header[374] << 8 | header[375], 400);
    assert_int_equal(header[378] << 8 | header[379], 200);
    assert_int_equal(header[403], 3);
    free(bytes);
    dots_clear(&dots);
    close(file);
}

static void refuses_media_of_another_size(void **state)
{
    static const struct {
        struct label_pwg_media media;
        int copies;
        const char *says;
    } cases[] = {
        {{"oe_other_50x30mm", 50000, 30000}, 1, "400 x 200 dots and the media 'oe_other_50x30mm' 400 x 240"},
        {{"oe_other_40x25mm", 40000, 25000}, 1, "320 x 200"},
        {{"", 50000, 25000}, 1, "name is empty"},
        {{"oe_a-name-that-is-far-too-long-for-the-header-of-a-page-of-raster_50x25mm", 50000, 25000}, 1, "over 63"},
        {{"oe_shelf-label_50x25mm", 50000, 25000}, 0, "0 copies"},
        {{"oe_shelf-label_50x25mm", 50000, 25000}, 101, "101 copies"},
    };
    struct dots dots = {0};
    draw_sample(*state, 203, &dots);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {0};
        size_t length = 1;
        const int file = memory_file();
        if (label_pwg_write(file, &dots, &cases[i].media, cases[i].copies, &fault) ||
            !strstr(fault.text, cases[i].says))
            fail_msg("expected '%s', got '%s'", cases[i].says, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        free(file_bytes(file, &length));
        assert_int_equal(length, 0);
        close(file);
    }
    dots_clear(&dots);
}

static void takes_media_that_a_printer_counts_a_dot_smaller(void **state)
{
    /* 50 x 25 mm at 203 dpi cut down, not rounded, is 399 x 199 dots; 49.875 mm is 398.6 */
    const struct label_pwg_media media = {"oe_shelf-label_50x25mm", 49900, 24900};
    struct dots dots = {0};
    const int file = memory_file();
    draw_sample(*state, 203, &dots);
    assert_true(label_pwg_write(file, &dots, &media, 1, NULL));
    dots_clear(&dots);
    close(file);
}

static void a_full_disk_is_a_fault(void **state)
{
    struct dots dots = {0};
    struct fault fault = {0};
    const int file = open("/dev/full", O_WRONLY | O_CLOEXEC);
    assert_true(file >= 0);
    draw_sample(*state, 203, &dots);
    assert_false(label_pwg_write(file, &dots, &shelf_label, 1, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "No space left"));
    dots_clear(&dots);
    close(file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cups_reads_back_the_same_bits_page_for_page),
        cmocka_unit_test(the_header_lies_where_the_standard_says),
        cmocka_unit_test(refuses_media_of_another_size),
        cmocka_unit_test(takes_media_that_a_printer_counts_a_dot_smaller),
        cmocka_unit_test(a_full_disk_is_a_fault),
    };
    return cmocka_run_group_tests_name("drawing/label_pwg", tests, create_drawer, destroy_drawer);
}

#include "labels/drawing/label_pdf.h"

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

#include "drawing_help.h"
#include "labels/reading/reader.h"

static uint8_t *write_sample(struct drawer *drawer, const char *name, size_t *length)
{
    static struct template template;
    struct label_field fields[LABEL_FIELD_IDS];
    struct fault fault = {0};
    const size_t count = sample_fields(name, true, fields);
    const int file = memory_file();
    load_shipped(name, &template);
    if (!label_pdf_write(file, drawer, &template, fields, count, 300, &fault))
        fail_msg("%s", fault.text);
    uint8_t *bytes = file_bytes(file, length);
    close(file);
    return bytes;
}

static void the_page_has_the_templates_exact_size(void **state)
{
    /* ISO 32000-1, 7.7.3.3: MediaBox in 1/72 inch; computed with bc: 50 mm 141.732, 25 mm 70.866, A4 841.890 x 595.276
     */
    static const struct {
        const char *name;
        double width, height;
    } cases[] = {{"vat-case", 141.732, 70.866}, {"card-sheet", 841.890, 595.276}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t length = 0;
        double width = 0, height = 0;
        uint8_t *bytes = write_sample(*state, cases[i].name, &length);
        assert_memory_equal(bytes, "%PDF-1.", 7);
        const char *box = memmem(bytes, length, "/MediaBox [", 11);
        assert_non_null(box);
        assert_int_equal(sscanf(box, "/MediaBox [ 0 0 %lf %lf ]", &width, &height), 2);
        assert_true(width > cases[i].width - 0.001 && width < cases[i].width + 0.001);
        assert_true(height > cases[i].height - 0.001 && height < cases[i].height + 0.001);
        free(bytes);
    }
}

static void everything_is_outlines_with_the_fonts_inside(void **state)
{
    static const char *const names[] = {"vat-case", "hold", "card-sheet"}; /* white on black among them */
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        size_t length = 0;
        uint8_t *bytes = write_sample(*state, names[i], &length);
        assert_null(memmem(bytes, length, "/Subtype /Image", 15));
        assert_null(memmem(bytes, length, "/Image", 6));
        assert_non_null(memmem(bytes, length, "/FontFile", 9));
        free(bytes);
    }
}

static void faults_of_the_label_and_of_the_disk_come_through(void **state)
{
    static struct template template;
    struct fault fault = {0};
    const struct label_field place = {"place", "A03-12"};
    const int file = open("/dev/full", O_WRONLY | O_CLOEXEC);
    assert_true(file >= 0);
    load_shipped("place", &template);
    assert_false(label_pdf_write(file, *state, &template, NULL, 0, 300, &fault));
    assert_non_null(strstr(fault.text, "field 'place' is missing"));
    assert_false(label_pdf_write(file, *state, &template, &place, 1, 300, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "No space left"));
    close(file);
}

enum { PIXELS_A_MM = 20, LINE_SIZE = 200 };

/* What a renderer of others (poppler's pdftoppm, 508 dpi) makes of a page. */
struct page {
    char folder[32], pdf[64], prefix[64], image[80];
    uint8_t *bytes;
    struct grey grey;
};

static void read_image(struct page *page)
{
    FILE *file = fopen(page->image, "re");
    int width = 0, height = 0;
    assert_non_null(file);
    assert_int_equal(fscanf(file, "P5 %d %d 255", &width, &height), 2);
    assert_int_equal(fgetc(file), '\n');
    const size_t size = (size_t)width * (size_t)height;
    page->bytes = malloc(size);
    assert_non_null(page->bytes);
    assert_int_equal(fread(page->bytes, 1, size, file), size);
    fclose(file);
    page->grey = (struct grey){page->bytes, width, height, (size_t)width};
}

static void open_page(struct drawer *drawer, const char *name, struct page *page)
{
    char command[240];
    size_t length = 0;
    snprintf(page->folder, sizeof page->folder, "/tmp/pdf-XXXXXX");
    assert_non_null(mkdtemp(page->folder));
    snprintf(page->pdf, sizeof page->pdf, "%s/a.pdf", page->folder);
    snprintf(page->prefix, sizeof page->prefix, "%s/a", page->folder);
    snprintf(page->image, sizeof page->image, "%s/a.pgm", page->folder);
    uint8_t *bytes = write_sample(drawer, name, &length);
    FILE *file = fopen(page->pdf, "we");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    fclose(file);
    free(bytes);
    snprintf(command, sizeof command, "pdftoppm -singlefile -gray -r 508 %s %s", page->pdf, page->prefix);
    assert_int_equal(system(command), 0); /* NOLINT: our own files' names */
    read_image(page);
}

static void close_page(struct page *page)
{
    free(page->bytes);
    unlink(page->pdf);
    unlink(page->image);
    rmdir(page->folder);
}

static void assert_page_size(const struct page *page)
{
    char command[120], line[LINE_SIZE];
    bool a4 = false;
    snprintf(command, sizeof command, "pdfinfo %s", page->pdf);
    FILE *output = popen(command, "r"); /* NOLINT: our own file's name */
    assert_non_null(output);
    while (fgets(line, sizeof line, output))
        a4 = a4 || (strncmp(line, "Page size:", 10) == 0 && strstr(line, "(A4)"));
    pclose(output);
    assert_true(a4);
}

/* The bar of 100 mm on top of the sheet, 18 mm below its edge. */
static void assert_bar(const struct grey *grey)
{
    const uint8_t *row = grey->pixels + (size_t)(18.3 * PIXELS_A_MM) * grey->stride;
    int dark = 0;
    for (int x = 108 * PIXELS_A_MM; x < 220 * PIXELS_A_MM; x++) /* words end at 107 */
        dark += row[x] < 128;
    assert_true(dark >= 100 * PIXELS_A_MM - 2 && dark <= 100 * PIXELS_A_MM + 2);
}

static void centre(const struct reader_symbol *symbol, double *x, double *y)
{
    *x = *y = 0;
    for (int i = 0; i < 4; i++) {
        *x += symbol->corners[i][0] / 4;
        *y += symbol->corners[i][1] / 4;
    }
}

static void assert_apart(const struct reader_result *result)
{
    for (size_t i = 0; i < result->count; i++) {
        for (size_t j = 0; j < i; j++) {
            double x, y, other_x, other_y;
            centre(&result->symbols[i], &x, &y);
            centre(&result->symbols[j], &other_x, &other_y);
            const double across = (x - other_x) / PIXELS_A_MM, down = (y - other_y) / PIXELS_A_MM;
            assert_true(across * across + down * down >= 59.9 * 59.9); /* corners are found to a pixel or two */
        }
    }
}

/* As an office printer sees it: true size, and every card readable. */
static void sheets_of_cards_come_out_at_true_size_in_a_program_of_others(void **state)
{
    static const struct {
        const char *name;
        size_t cards;
    } sheets[] = {{"card-sheet", 16},
                  {"card-sheet-ml", 16},
                  {"card-sheet-hours", 16},
                  {"card-sheet-resin", 16},
                  {"card-sheet-fault", 11}};
    if (system("command -v pdftoppm pdfinfo >/dev/null 2>&1") != 0) { /* NOLINT: fixed words */
        print_message("skipped: poppler-utils is not installed\n");
        skip();
    }
    struct reader *reader = reader_create();
    assert_non_null(reader);
    for (size_t i = 0; i < sizeof sheets / sizeof *sheets; i++) {
        struct page page;
        struct reader_result result;
        struct fault fault = {0};
        open_page(*state, sheets[i].name, &page);
        assert_page_size(&page);
        assert_in_range(page.grey.width, 297 * PIXELS_A_MM - 1, 297 * PIXELS_A_MM + 1);
        assert_in_range(page.grey.height, 210 * PIXELS_A_MM - 1, 210 * PIXELS_A_MM + 1);
        assert_bar(&page.grey);
        if (!reader_read(reader, &page.grey, &result, &fault))
            fail_msg("%s", fault.text);
        assert_int_equal(result.count, sheets[i].cards);
        assert_apart(&result);
        close_page(&page);
    }
    reader_destroy(reader);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_has_the_templates_exact_size),
        cmocka_unit_test(everything_is_outlines_with_the_fonts_inside),
        cmocka_unit_test(sheets_of_cards_come_out_at_true_size_in_a_program_of_others),
        cmocka_unit_test(faults_of_the_label_and_of_the_disk_come_through),
    };
    return cmocka_run_group_tests_name("drawing/label_pdf", tests, create_drawer, destroy_drawer);
}

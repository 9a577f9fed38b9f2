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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_has_the_templates_exact_size),
        cmocka_unit_test(everything_is_outlines_with_the_fonts_inside),
        cmocka_unit_test(faults_of_the_label_and_of_the_disk_come_through),
    };
    return cmocka_run_group_tests_name("drawing/label_pdf", tests, create_drawer, destroy_drawer);
}

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
#include "labels/drawing/label_png.h"

/* Two readers that are not ours read the PNG of every worked label. Each is known to miss a clean symbol now and
 * then (ZXing 1.4: 20 x 20 at 3 dots a module beside text), so one of the two must read it, and whatever is read must
 * be right to the byte. Programs: ZXingReader (zxing-cpp-tools), dmtxread (dmtx-utils). */

enum { READERS = 2, SKIPPED = 77 };

static const struct {
    const char *program, *arguments;
} readers[READERS] = {
    {"ZXingReader", "-format DataMatrix -bytes"},
    {"dmtxread", "-N1 -m5000"},
};

static bool is_installed(const char *program)
{
    char command[80];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", program);
    return system(command) == 0; /* NOLINT: a fixed word */
}

static size_t run_reader(size_t reader, const char *file, uint8_t *bytes, size_t size)
{
    char command[160];
    snprintf(command, sizeof command, "%s %s %s 2>/dev/null", readers[reader].program, readers[reader].arguments, file);
    FILE *output = popen(command, "r"); /* NOLINT: our own file's name */
    assert_non_null(output);
    const size_t length = fread(bytes, 1, size, output);
    pclose(output);
    return length;
}

static void write_png(struct drawer *drawer, const struct worked_label *label, int dpi, const char *path)
{
    static struct template template;
    struct dots dots = {0};
    struct fault fault = {0};
    load_shipped(label->template, &template);
    if (!label_draw(drawer, &template, label->fields, label->field_count, dpi, &dots, &fault))
        fail_msg("%s", fault.text);
    FILE *file = fopen(path, "wbe");
    assert_non_null(file);
    assert_true(label_png_write(fileno(file), &dots, &fault));
    fclose(file);
    dots_clear(&dots);
}

/* How many of the readers read it; whatever is read is compared. */
static int count_reads(const struct worked_label *label, const char *path)
{
    uint8_t expected[128], bytes[512];
    size_t expected_length = 0;
    int reads = 0;
    assert_true(text_read_hex(span_of(label->hex), expected, sizeof expected, &expected_length));
    for (size_t reader = 0; reader < READERS; reader++) {
        const size_t length = run_reader(reader, path, bytes, sizeof bytes);
        if (length == 0)
            continue;
        reads++;
        assert_int_equal(length, expected_length);
        assert_memory_equal(bytes, expected, expected_length);
    }
    return reads;
}

static void others_read_the_very_bytes_off_the_label(void **state)
{
    static const int resolutions[] = {203, 300};
    char folder[] = "/tmp/readers-XXXXXX", path[64];
    int reads = 0;
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/label.png", folder);
    for (size_t i = 0; i < WORKED_LABELS; i++) {
        for (size_t r = 0; r < 2; r++) {
            write_png(*state, &worked_labels[i], resolutions[r], path);
            const int here = count_reads(&worked_labels[i], path);
            if (here == 0)
                fail_msg("no reader reads worked label %zu at %d dpi", i + 1, resolutions[r]);
            reads += here;
        }
    }
    print_message("%d of %zu readings\n", reads, WORKED_LABELS * 2 * (size_t)READERS);
    unlink(path);
    rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(others_read_the_very_bytes_off_the_label)};
    for (size_t reader = 0; reader < READERS; reader++) {
        if (is_installed(readers[reader].program))
            continue;
        print_message("skipped: %s is not installed\n", readers[reader].program);
        return SKIPPED;
    }
    return cmocka_run_group_tests_name("drawing/outside_readers", tests, create_drawer, destroy_drawer);
}

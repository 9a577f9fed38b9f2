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
#include "labels/drawing/symbol_content.h"
#include "labels/reading/reader.h"

/* Every symbol of every shipped template, at three resolutions, with everyday and with the longest fields, is read by
 * two readers that are not ours, ZXingReader (zxing-cpp-tools) and dmtxread (dmtx-utils), and by ours, all to the byte.
 * The worked labels' bytes come from outside (drawing_help.h); those of the others are what symbol_content wrote.
 *
 * Ours gets the whole label or sheet. The other two get each symbol with 12 mm of what stands around it: ZXing 1.4
 * reports one Data Matrix a picture, and misses a small one on a large label (cartridge-100x50 at 203 dpi). */

enum { OUTSIDERS = 2, SKIPPED = 77, RESOLUTIONS = 3, BYTES_MAX = 512, AROUND_UM = 12000 };

static const int resolutions[RESOLUTIONS] = {203, 300, 600};

static const struct {
    const char *program, *arguments;
} outsiders[OUTSIDERS] = {
    {"ZXingReader", "-format DataMatrix -bytes"},
    {"dmtxread", "-N1 -m4000"},
};

static struct tools {
    struct drawer *drawer;
    struct reader *reader;
    char folder[32], path[64];
    int symbols; /* read in all */
} tools;

static bool is_installed(const char *program)
{
    char command[80];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", program);
    return system(command) == 0; /* NOLINT: a fixed word */
}

static size_t ask_outsider(size_t outsider, uint8_t *bytes, size_t size)
{
    char command[160];
    snprintf(command, sizeof command, "%s %s %s 2>/dev/null", outsiders[outsider].program,
             outsiders[outsider].arguments, tools.path);
    FILE *output = popen(command, "r"); /* NOLINT: our own file's name */
    assert_non_null(output);
    const size_t length = fread(bytes, 1, size, output);
    pclose(output);
    return length;
}

static int min(int a, int b)
{
    return a < b ? a : b;
}

static int max(int a, int b)
{
    return a > b ? a : b;
}

static void write_part(const struct dots *dots, const struct layout_box *box)
{
    struct dots part = {0};
    assert_true(dots_init(box->width, box->height, dots->dpi, &part, NULL));
    for (int y = 0; y < box->height; y++)
        for (int x = 0; x < box->width; x++)
            if (dots_get(dots, box->x + x, box->y + y))
                part.rows[(size_t)y * part.stride + (size_t)x / 8] |= (uint8_t)(0x80 >> (x % 8));
    FILE *file = fopen(tools.path, "wbe");
    assert_non_null(file);
    assert_true(label_png_write(fileno(file), &part, NULL));
    fclose(file);
    dots_clear(&part);
}

static void assert_outsiders_read(const struct dots *dots, const struct layout_box *part, const uint8_t *bytes,
                                  size_t length, const char *name)
{
    write_part(dots, part);
    for (size_t i = 0; i < OUTSIDERS; i++) {
        uint8_t got[BYTES_MAX];
        const size_t count = ask_outsider(i, got, sizeof got);
        if (count != length || memcmp(got, bytes, length) != 0)
            fail_msg("%s reads %s off %s at %d dpi", outsiders[i].program, count > 0 ? "other bytes" : "nothing", name,
                     dots->dpi);
    }
}

/* What an outsider gets to see. */
static struct layout_box part_of(const struct dots *dots, const struct layout_box *room)
{
    const int around = dots_of_um(AROUND_UM, dots->dpi);
    const int left = max(0, room->x - around), top = max(0, room->y - around);
    return (struct layout_box){left, top, min(dots->width, room->x + room->width + around) - left,
                               min(dots->height, room->y + room->height + around) - top};
}

/* All symbols of the whole picture, by ours. */
static void read_ours(const struct dots *dots, struct reader_result *result)
{
    const size_t size = (size_t)dots->width * (size_t)dots->height;
    uint8_t *pixels = malloc(size);
    assert_non_null(pixels);
    for (int y = 0; y < dots->height; y++)
        for (int x = 0; x < dots->width; x++)
            pixels[(size_t)y * (size_t)dots->width + (size_t)x] = dots_get(dots, x, y) ? 0 : 255;
    const struct grey grey = {pixels, dots->width, dots->height, (size_t)dots->width};
    struct fault fault = {0};
    if (!reader_read(tools.reader, &grey, result, &fault))
        fail_msg("%s", fault.text);
    free(pixels);
}

static bool is_among(const struct reader_result *result, const uint8_t *bytes, size_t length)
{
    for (size_t i = 0; i < result->count; i++)
        if (result->symbols[i].length == length && memcmp(result->symbols[i].bytes, bytes, length) == 0)
            return true;
    return false;
}

static void assert_all_read(const char *name, const struct label_field *fields, size_t count, int dpi)
{
    static struct template template;
    struct dots dots = {0};
    struct fault fault = {0};
    struct label_values values;
    struct reader_result result;
    size_t symbols = 0;
    load_shipped(name, &template);
    if (!label_draw(tools.drawer, &template, fields, count, dpi, &dots, &fault))
        fail_msg("%s at %d dpi: %s", name, dpi, fault.text);
    const struct layout *layout = label_layout(tools.drawer, &template, fields, count, dpi, &fault);
    assert_non_null(layout);
    assert_true(label_field_read(fields, count, &values, &fault));
    read_ours(&dots, &result);
    for (size_t i = 0; i < layout->piece_count; i++) {
        const struct layout_piece *piece = &layout->pieces[i];
        char bytes[UNIT_LABEL_TEXT_SIZE];
        size_t length = 0;
        if (piece->element->kind != TEMPLATE_SYMBOL)
            continue;
        assert_true(symbol_content_write(piece->element->symbol, piece->text, &values, bytes, &length, &fault));
        if (!is_among(&result, (const uint8_t *)bytes, length))
            fail_msg("our reader does not read '%s' off %s at %d dpi", piece->text, name, dpi);
        const struct layout_box part = part_of(&dots, &piece->room);
        assert_outsiders_read(&dots, &part, (const uint8_t *)bytes, length, name);
        symbols++;
    }
    assert_int_equal(result.count, symbols); /* and sees none that is not there */
    tools.symbols += (int)symbols;
    dots_clear(&dots);
}

static void others_read_the_worked_labels_to_the_byte(void **state)
{
    (void)state;
    for (size_t i = 0; i < WORKED_LABELS; i++) {
        const struct worked_label *label = &worked_labels[i];
        static struct template template;
        uint8_t bytes[128];
        size_t length = 0;
        assert_true(text_read_hex(span_of(label->hex), bytes, sizeof bytes, &length));
        load_shipped(label->template, &template);
        for (size_t r = 0; r < RESOLUTIONS; r++) {
            struct dots dots = {0};
            assert_true(
                label_draw(tools.drawer, &template, label->fields, label->field_count, resolutions[r], &dots, NULL));
            const struct layout_box whole = {0, 0, dots.width, dots.height};
            assert_outsiders_read(&dots, &whole, bytes, length, label->template);
            dots_clear(&dots);
        }
    }
}

static void three_readers_read_every_shipped_template(void **state)
{
    (void)state;
    for (size_t i = 0; i < shipped_template_count; i++) {
        const char *name = shipped_templates[i];
        const bool sheet =
            strncmp(name, "card-sheet", strlen("card-sheet")) == 0; /* says the same, whatever is given */
        for (size_t r = 0; r < RESOLUTIONS; r++) {
            struct label_field fields[LABEL_FIELD_IDS];
            assert_all_read(name, fields, sample_fields(name, true, fields), resolutions[r]);
            if (!sheet)
                assert_all_read(name, fields, long_fields(name, fields), resolutions[r]);
        }
    }
    print_message("%d symbols by three readers\n", tools.symbols);
}

static int open_tools(void **state)
{
    struct fault fault = {0};
    (void)state;
    snprintf(tools.folder, sizeof tools.folder, "/tmp/readers-XXXXXX");
    tools.drawer = drawer_create(&fault);
    tools.reader = reader_create();
    if (!tools.drawer || !tools.reader || !mkdtemp(tools.folder))
        return -1;
    snprintf(tools.path, sizeof tools.path, "%s/label.png", tools.folder);
    return 0;
}

static int close_tools(void **state)
{
    (void)state;
    unlink(tools.path);
    rmdir(tools.folder);
    drawer_destroy(tools.drawer);
    reader_destroy(tools.reader);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(others_read_the_worked_labels_to_the_byte),
        cmocka_unit_test(three_readers_read_every_shipped_template),
    };
    for (size_t i = 0; i < OUTSIDERS; i++) {
        if (is_installed(outsiders[i].program))
            continue;
        print_message("skipped: %s is not installed\n", outsiders[i].program);
        return SKIPPED;
    }
    return cmocka_run_group_tests_name("drawing/outside_readers", tests, open_tools, close_tools);
}

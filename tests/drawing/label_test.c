#include "labels/drawing/label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"

static const int resolutions[] = {203, 300, 600};
enum { RESOLUTIONS = sizeof resolutions / sizeof *resolutions };

static bool inside(const struct layout_box *inner, const struct layout_box *outer)
{
    return inner->x >= outer->x && inner->y >= outer->y && inner->x + inner->width <= outer->x + outer->width &&
           inner->y + inner->height <= outer->y + outer->height;
}

static bool disjoint(const struct layout_box *a, const struct layout_box *b)
{
    return a->x >= b->x + b->width || b->x >= a->x + a->width || a->y >= b->y + b->height || b->y >= a->y + a->height;
}

static bool holds(const struct layout_box *box, int x, int y)
{
    return x >= box->x && y >= box->y && x < box->x + box->width && y < box->y + box->height;
}

static const struct layout_piece *first_of(const struct layout *layout, enum template_kind kind)
{
    for (size_t i = 0; i < layout->piece_count; i++)
        if (layout->pieces[i].element->kind == kind)
            return &layout->pieces[i];
    fail_msg("the label has no such piece");
    return NULL;
}

/* Every dot of every module, and 2 modules of white all around. */
static void assert_symbol(const struct dots *dots, const struct layout_piece *symbol, int side, const uint32_t *rows)
{
    const int module = symbol->module, quiet = 2 * module;
    assert_int_equal(symbol->ink.width, side * module);
    for (int y = -quiet; y < side * module + quiet; y++) {
        for (int x = -quiet; x < side * module + quiet; x++) {
            const bool in = x >= 0 && y >= 0 && x < side * module && y < side * module;
            const bool dark = in && (rows[y / module] >> (side - 1 - x / module) & 1);
            const int at_x = symbol->ink.x + x, at_y = symbol->ink.y + y;
            assert_true(at_x >= 0 && at_y >= 0 && at_x < dots->width && at_y < dots->height);
            if (dots_get(dots, at_x, at_y) != dark)
                fail_msg("dot %d, %d of the symbol is wrong at %d dpi", x, y, dots->dpi);
        }
    }
}

static void worked_labels_come_out_dot_for_dot_with_a_white_quiet_zone(void **state)
{
    struct drawer *drawer = *state;
    for (size_t i = 0; i < WORKED_LABELS; i++) {
        const struct worked_label *label = &worked_labels[i];
        static struct template template;
        load_shipped(label->template, &template);
        for (int r = 0; r < RESOLUTIONS; r++) {
            struct dots dots = {0};
            struct fault fault = {0};
            if (!label_draw(drawer, &template, label->fields, label->field_count, resolutions[r], &dots, &fault))
                fail_msg("%s", fault.text);
            const struct layout *layout =
                label_layout(drawer, &template, label->fields, label->field_count, resolutions[r], &fault);
            assert_non_null(layout);
            assert_symbol(&dots, first_of(layout, TEMPLATE_SYMBOL), label->side, label->rows);
            dots_clear(&dots);
        }
    }
}

static void modules_are_at_least_380_um(void **state)
{
    /* GS1 General Specifications, symbol specification table 4: X from 0.380 mm */
    struct drawer *drawer = *state;
    for (size_t i = 0; i < WORKED_LABELS; i++) {
        static struct template template;
        const struct worked_label *label = &worked_labels[i];
        load_shipped(label->template, &template);
        for (int r = 0; r < RESOLUTIONS; r++) {
            const struct layout *layout =
                label_layout(drawer, &template, label->fields, label->field_count, resolutions[r], NULL);
            assert_non_null(layout);
            assert_true(first_of(layout, TEMPLATE_SYMBOL)->module * 25400 >= 380 * resolutions[r]);
        }
    }
}

/* Pieces inside the label and apart; every black dot inside the ink of a piece that may have it. */
static void assert_tidy(const struct layout *layout, const struct dots *dots)
{
    const struct layout_box whole = {0, 0, layout->width, layout->height};
    for (size_t i = 0; i < layout->piece_count; i++) {
        const struct layout_piece *piece = &layout->pieces[i];
        assert_true(inside(&piece->room, &whole));
        assert_true(inside(&piece->ink, &piece->room));
        for (size_t j = 0; j < i; j++)
            if (piece->element->kind != TEMPLATE_FRAME && layout->pieces[j].element->kind != TEMPLATE_FRAME)
                assert_true(disjoint(&piece->room, &layout->pieces[j].room));
    }
    for (int y = 0; y < dots->height; y++) {
        for (int x = 0; x < dots->width; x++) {
            bool allowed = !dots_get(dots, x, y);
            for (size_t i = 0; !allowed && i < layout->piece_count; i++) {
                const struct layout_piece *piece = &layout->pieces[i];
                allowed = holds(piece->element->inverse ? &piece->room : &piece->ink, x, y);
            }
            if (!allowed)
                fail_msg("black dot at %d, %d is outside of every piece", x, y);
        }
    }
}

/* ISO/IEC 16022 asks for one module of white around a symbol; we keep two. */
static void assert_quiet_zones(const struct layout *layout, const struct dots *dots, const char *name)
{
    for (size_t i = 0; i < layout->piece_count; i++) {
        const struct layout_piece *piece = &layout->pieces[i];
        const struct layout_box *ink = &piece->ink;
        const int quiet = 2 * piece->module;
        if (piece->element->kind != TEMPLATE_SYMBOL)
            continue;
        for (int y = ink->y - quiet; y < ink->y + ink->height + quiet; y++)
            for (int x = ink->x - quiet; x < ink->x + ink->width + quiet; x++)
                if (!holds(ink, x, y) && (x < 0 || y < 0 || dots_get(dots, x, y)))
                    fail_msg("%s at %d dpi: dot %d, %d is in the quiet zone", name, dots->dpi, x, y);
    }
}

/* Everyday fields, the same as a sample, and the longest. */
static size_t pick_fields(int which, const char *name, struct label_field fields[LABEL_FIELD_IDS])
{
    return which == 2 ? long_fields(name, fields) : sample_fields(name, which == 1, fields);
}

static void every_shipped_template_draws_tidily(void **state)
{
    struct drawer *drawer = *state;
    for (size_t i = 0; i < shipped_template_count; i++) {
        static struct template template;
        load_shipped(shipped_templates[i], &template);
        for (int r = 0; r < 3 * RESOLUTIONS; r++) {
            struct label_field fields[LABEL_FIELD_IDS];
            const size_t count = pick_fields(r / RESOLUTIONS, shipped_templates[i], fields);
            const int dpi = resolutions[r % RESOLUTIONS];
            struct dots dots = {0};
            struct fault fault = {0};
            if (!label_draw(drawer, &template, fields, count, dpi, &dots, &fault))
                fail_msg("%s at %d dpi: %s", shipped_templates[i], dpi, fault.text);
            assert_int_equal(dots.width, dots_of_um(template.width_um, dpi));
            assert_int_equal(dots.height, dots_of_um(template.height_um, dpi));
            const struct layout *layout = label_layout(drawer, &template, fields, count, dpi, &fault);
            assert_non_null(layout);
            assert_quiet_zones(layout, &dots, shipped_templates[i]);
            if (dots.width < 2000) /* a sheet of 600 dpi has 35 million dots */
                assert_tidy(layout, &dots);
            dots_clear(&dots);
        }
    }
}

static void the_longest_lot_and_item_still_fit_the_unit_labels(void **state)
{
    /* item 8, lot 20 characters, all fields: the most that our own labels say */
    static const char *const names[] = {"vat-case", "cartridge", "bottle"};
    char serial[SERIAL_SIZE];
    const struct label_field fields[] = {
        {"serial", serial},       {"item", "WWWWWWWW"},      {"lot", "MMMMMMMMMM0123456789"},
        {"filled", "2026-02-14"}, {"expires", "2026-08-14"}, {"content", "20000"},
        {"sample", "SAMPLE"}};
    struct drawer *drawer = *state;
    long number = 123456789;
    while (!serial_write('V', number, serial))
        number++;
    for (size_t i = 0; i < 3; i++) {
        static struct template template;
        struct dots dots = {0};
        struct fault fault = {0};
        load_shipped(names[i], &template);
        if (!label_draw(drawer, &template, fields, 7, 203, &dots, &fault))
            fail_msg("%s: %s", names[i], fault.text);
        assert_tidy(label_layout(drawer, &template, fields, 7, 203, &fault), &dots);
        dots_clear(&dots);
    }
}

static void letters_have_the_height_the_template_asks_for(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    read_text("label 50 x 25\ntext at 1 1 room 48 x 20 letters 8 \"H\"\n", &template);
    for (int r = 0; r < RESOLUTIONS; r++) {
        const struct layout *layout = label_layout(drawer, &template, NULL, 0, resolutions[r], NULL);
        assert_non_null(layout);
        const int wanted = dots_of_um(8000, resolutions[r]), got = layout->pieces[0].ink.height;
        assert_true(got >= wanted - 1 && got <= wanted + 1);
    }
}

static const struct layout_piece *lay_note(struct drawer *drawer, const struct template *template, const char *note,
                                           struct fault *fault)
{
    const struct label_field field = {"note", note};
    const struct layout *layout = label_layout(drawer, template, &field, 1, 203, fault);
    return layout ? &layout->pieces[0] : NULL;
}

static void long_names_shrink_to_the_floor_and_are_then_refused_by_name(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    struct fault fault = {0};
    read_text("label 50 x 25\ntext at 1 1 room 30 x 8 letters 4 to 2 \"{note}\"\n", &template);
    const struct layout_piece *piece = lay_note(drawer, &template, "Oak", &fault);
    assert_non_null(piece);
    const int full = piece->letters;
    assert_int_equal(full, dots_of_um(4000, 203));
    piece = lay_note(drawer, &template, "Oak, extra tough", &fault);
    assert_non_null(piece);
    assert_true(piece->letters < full && piece->letters >= 16);
    assert_null(lay_note(drawer, &template, "Oak, extra tough and then far too many words", &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_non_null(strstr(fault.text, "field 'note' does not fit"));
    assert_non_null(strstr(fault.text, "smallest letters, 2 mm"));
}

static void every_length_either_fits_its_room_or_is_refused(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    char note[101] = "";
    bool refused = false;
    read_text("label 50 x 25\ntext at 1.03 1.07 room 30.01 x 4.03 letters 3.3 to 1.5 right \"{note}\"\n", &template);
    for (size_t length = 1; length <= 60; length++) {
        struct fault fault = {0};
        memset(note, 'j', length); /* ink left of its start and below the line */
        const struct label_field field = {"note", note};
        struct dots dots = {0};
        if (label_draw(drawer, &template, &field, 1, 203, &dots, &fault)) {
            assert_false(refused);
            assert_tidy(label_layout(drawer, &template, &field, 1, 203, &fault), &dots);
            dots_clear(&dots);
        } else {
            refused = true;
            assert_non_null(strstr(fault.text, "'note'"));
        }
    }
    assert_true(refused);
}

static void a_character_that_no_font_has_is_named(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    struct fault fault = {0};
    read_text("label 50 x 25\ntext at 1 1 room 48 x 8 letters 4 to 2 \"{note}\"\n", &template);
    /* U+0378: reserved, so in no font (Unicode 15, code chart of Greek) */
    assert_null(lay_note(drawer, &template, "a\xCD\xB8", &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_non_null(strstr(fault.text, "field 'note' has the character \xCD\xB8 (U+0378)"));
    assert_non_null(lay_note(drawer, &template, "\xC3\x85ngstr\xC3\xB6m \xCE\xA9 \xD0\x96", &fault));
}

static void a_symbol_larger_than_its_room_is_refused_with_both_sizes(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    struct fault fault = {0};
    const struct label_field field = {"card", "YES"};
    read_text("label 50 x 25\nsymbol card \"{card}\" at 1 1 room 7.9 x 7.9 modules 0.5\n", &template);
    /* 12 x 12 and 4 modules of quiet zone; 0.38 mm at 203 dpi is 4 dots, 0.5 mm: 8.0 mm */
    assert_null(label_layout(drawer, &template, &field, 1, 203, &fault));
    assert_non_null(strstr(fault.text, "12 x 12 modules and needs 8.0 x 8.0 mm"));
    assert_non_null(strstr(fault.text, "leaves 7.9 x 7.9 mm"));
    /* at 300 dpi 5 dots, 0.423 mm, are enough: 6.8 mm */
    const struct layout *layout = label_layout(drawer, &template, &field, 1, 300, &fault);
    assert_non_null(layout);
    assert_int_equal(layout->pieces[0].module, 5);
}

static void refuses_missing_and_unknown_fields_and_leaves_the_dots_alone(void **state)
{
    static struct template template;
    static const struct {
        struct label_field field;
        int dpi;
        const char *says;
    } cases[] = {
        {{"lot", "L1"}, 203, "field 'serial' is missing"},
        {{"colour", "red"}, 203, "field 'colour' is not known"},
        {{"serial", "V0001236"}, 20, "20 dots per inch"},
        {{"serial", "V0001236"}, 100000, "100000 dots per inch"},
    };
    struct drawer *drawer = *state;
    load_shipped("vat-case", &template);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct dots dots = {.width = 7};
        struct fault fault = {0};
        assert_false(label_draw(drawer, &template, &cases[i].field, 1, cases[i].dpi, &dots, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_non_null(strstr(fault.text, cases[i].says));
        assert_int_equal(dots.width, 7);
        assert_null(dots.rows);
    }
}

static void a_sample_says_so_or_is_not_made(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    struct fault fault = {0};
    const struct label_field fields[] = {{"place", "A03-12"}, {"sample", "SAMPLE"}};
    load_shipped("place", &template);
    const struct layout *layout = label_layout(drawer, &template, fields, 2, 203, &fault);
    assert_non_null(layout);
    const struct layout_piece *mark = &layout->pieces[layout->piece_count - 1];
    assert_string_equal(mark->text, "SAMPLE");
    assert_true(mark->element->inverse);
    read_text("label 50 x 25\nsymbol place at 1 1 room 20 x 20\n", &template);
    assert_null(label_layout(drawer, &template, fields, 2, 203, &fault));
    assert_non_null(strstr(fault.text, "no place for the field 'sample'"));
}

static void white_letters_stand_on_black(void **state)
{
    static struct template template;
    struct drawer *drawer = *state;
    struct dots dots = {0};
    int black = 0;
    read_text("label 50 x 25\ntext at 1 1 room 20 x 10 letters 6 bold inverse centre \"H\"\n", &template);
    assert_true(label_draw(drawer, &template, NULL, 0, 203, &dots, NULL));
    const struct layout *layout = label_layout(drawer, &template, NULL, 0, 203, NULL);
    const struct layout_box room = layout->pieces[0].room;
    for (int y = 0; y < dots.height; y++)
        for (int x = 0; x < dots.width; x++)
            black += dots_get(&dots, x, y);
    assert_true(dots_get(&dots, room.x, room.y));
    assert_true(black < room.width * room.height); /* the letter is missing from the black */
    assert_true(black > room.width * room.height / 2);
    dots_clear(&dots);
}

static void the_same_label_twice_is_the_same_dots(void **state)
{
    static struct template template;
    struct drawer *other = drawer_create(NULL);
    struct label_field fields[LABEL_FIELD_IDS];
    const size_t count = sample_fields("cartridge", true, fields);
    struct dots one = {0}, two = {0};
    load_shipped("cartridge", &template);
    assert_non_null(other);
    assert_true(label_draw(*state, &template, fields, count, 300, &one, NULL));
    assert_true(label_draw(other, &template, fields, count, 300, &two, NULL));
    assert_int_equal(one.stride * (size_t)one.height, two.stride * (size_t)two.height);
    assert_memory_equal(one.rows, two.rows, one.stride * (size_t)one.height);
    dots_clear(&one);
    dots_clear(&two);
    drawer_destroy(other);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worked_labels_come_out_dot_for_dot_with_a_white_quiet_zone),
        cmocka_unit_test(modules_are_at_least_380_um),
        cmocka_unit_test(every_shipped_template_draws_tidily),
        cmocka_unit_test(the_longest_lot_and_item_still_fit_the_unit_labels),
        cmocka_unit_test(letters_have_the_height_the_template_asks_for),
        cmocka_unit_test(long_names_shrink_to_the_floor_and_are_then_refused_by_name),
        cmocka_unit_test(every_length_either_fits_its_room_or_is_refused),
        cmocka_unit_test(a_character_that_no_font_has_is_named),
        cmocka_unit_test(a_symbol_larger_than_its_room_is_refused_with_both_sizes),
        cmocka_unit_test(refuses_missing_and_unknown_fields_and_leaves_the_dots_alone),
        cmocka_unit_test(a_sample_says_so_or_is_not_made),
        cmocka_unit_test(white_letters_stand_on_black),
        cmocka_unit_test(the_same_label_twice_is_the_same_dots),
    };
    return cmocka_run_group_tests_name("drawing/label", tests, create_drawer, destroy_drawer);
}

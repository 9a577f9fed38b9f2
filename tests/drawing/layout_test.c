#include "labels/drawing/layout.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"
#include "labels/content/unit_label.h"
#include "labels/drawing/reach.h"

static const int resolutions[] = {203, 300, 600};
enum { RESOLUTIONS = sizeof resolutions / sizeof *resolutions };

/* One text of letters 4 to 2 mm in a room of this size, at 300 dpi. */
static bool fits(struct drawer *drawer, double width, double height, const char *note, struct fault *fault)
{
    static struct template template;
    char text[200];
    const struct label_field field = {"note", note};
    snprintf(text, sizeof text, "label 400 x 50\ntext at 1 1 room %.3f x %.3f letters 4 to 2 \"{note}\"\n", width,
             height);
    read_text(text, &template);
    return label_layout(drawer, &template, &field, 1, 300, fault) != NULL;
}

/* The number behind `words` in a sentence. */
static double number_behind(const char *sentence, const char *words)
{
    const char *at = strstr(sentence, words);
    if (at)
        return strtod(at + strlen(words), NULL);
    fail_msg("'%s' is not in '%s'", words, sentence);
    return 0;
}

static void what_a_refused_text_needs_is_what_it_then_fits_into(void **state)
{
    struct drawer *drawer = *state;
    static const char *const notes[] = {"Flint grey, revision 2, for the museum's anchor", "樹脂の棚、左から二番目の段",
                                        "Жёлтый дуб, вторая полка слева"};
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++) {
        struct fault fault = {0};
        assert_false(fits(drawer, 20, 8, notes[i], &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_non_null(strstr(fault.text, "field 'note' does not fit the label"));
        assert_non_null(strstr(fault.text, "smallest letters, 2 mm"));
        assert_non_null(strstr(fault.text, notes[i]));
        const double needs = number_behind(fault.text, "its line needs "), has = number_behind(fault.text, "and has ");
        assert_true(has > 19.8 && has <= 20.05); /* whole dots of 0.085 mm inside 20 mm, to one decimal */
        assert_true(needs > has);
        assert_true(fits(drawer, needs + 0.2, 8, notes[i], &fault));
        assert_false(fits(drawer, needs - 0.2, 8, notes[i], &fault));
    }
}

static void a_text_too_high_for_its_room_says_height(void **state)
{
    struct drawer *drawer = *state;
    struct fault fault = {0};
    assert_false(fits(drawer, 100, 2.2, "Ǻğ", &fault)); /* a ring and an acute above, a tail below */
    assert_non_null(strstr(fault.text, "mm of height and has 2."));
    const double needs = number_behind(fault.text, "its line needs ");
    assert_true(fits(drawer, 100, needs + 0.2, "Ǻğ", &fault));
}

static void the_longest_value_does_not_push_the_numbers_out_of_the_sentence(void **state)
{
    struct drawer *drawer = *state;
    struct fault fault = {0};
    char note[LABEL_FIELD_VALUE_MAX + 1] = "";
    for (size_t i = 0; i < LABEL_FIELD_VALUE_MAX / 3; i++)
        memcpy(note + 3 * i, "樹", 4);
    assert_false(fits(drawer, 20, 8, note, &fault));
    assert_non_null(strstr(fault.text, note));
    assert_int_equal(fault.text[strlen(fault.text) - 1], '\'');
}

static void words_of_the_template_that_do_not_fit_are_named_by_their_line(void **state)
{
    struct drawer *drawer = *state;
    static struct template template;
    struct fault fault = {0};
    read_text("label 50 x 25\ntext at 1 1 room 10 x 5 letters 3 \"far too many words\"\n", &template);
    assert_null(label_layout(drawer, &template, NULL, 0, 203, &fault));
    assert_non_null(strstr(fault.text, "template 'mine' line 2: the words need "));
    assert_non_null(strstr(fault.text, "mm of width with the smallest letters, 1.5 mm, and have "));
}

static void a_missing_character_in_the_template_names_its_line(void **state)
{
    struct drawer *drawer = *state;
    static struct template template;
    struct fault fault = {0};
    read_text("label 50 x 25\n\ntext at 1 1 room 40 x 5 letters 3 \"a \xCD\xB8\"\n", &template); /* U+0378 */
    assert_null(label_layout(drawer, &template, NULL, 0, 203, &fault));
    assert_non_null(strstr(fault.text, "template 'mine' line 3: no installed font can draw"));
    assert_non_null(strstr(fault.text, "(U+0378)"));
}

static void a_date_with_its_month_in_letters_is_drawn(void **state)
{
    struct drawer *drawer = *state;
    static struct template template;
    struct fault fault = {0};
    struct label_field field = {"expires", "2026-02-14"};
    read_text("label 50 x 25\ntext at 1 1 room 40 x 5 letters 3 \"use by {expires month}\"\n", &template);
    const struct layout *layout = label_layout(drawer, &template, &field, 1, 203, &fault);
    assert_non_null(layout);
    assert_string_equal(layout->pieces[0].text, "use by 14 Feb 2026");
    field.value = "14/02/2026";
    assert_null(label_layout(drawer, &template, &field, 1, 203, &fault));
    assert_non_null(strstr(fault.text, "field 'expires'"));
}

static bool has_units_symbol(const struct template *template)
{
    for (size_t i = 0; i < template->element_count; i++)
        if (template->elements[i].kind == TEMPLATE_SYMBOL && template->elements[i].symbol == SYMBOL_UNIT)
            return true;
    return false;
}

/* An eye wants 1/200 of the distance, so an arm's length, 70 cm, wants 3.5 mm: see reach.h for the sources. */
static void shipped_serials_are_read_at_arms_length_where_the_label_has_room(void **state)
{
    struct drawer *drawer = *state;
    int checked = 0;
    for (size_t i = 0; i < shipped_template_count; i++) {
        static struct template template;
        load_shipped(shipped_templates[i], &template);
        if (template.width_um < 50000 || !has_units_symbol(&template))
            continue;
        for (size_t j = 0; j < RESOLUTIONS * (strlen(serial_letters) - 1); j++) {
            char serial[SERIAL_SIZE];
            long number = 480234; /* six digits, as every serial up to a million has */
            struct fault fault = {0};
            while (!serial_write(serial_letters[j / RESOLUTIONS], number, serial))
                number++;
            struct label_field fields[LABEL_FIELD_IDS];
            const size_t count = sample_fields(shipped_templates[i], false, fields);
            fields[0].value = serial; /* the serial is the first of them */
            const struct layout *layout =
                label_layout(drawer, &template, fields, count, resolutions[j % RESOLUTIONS], &fault);
            if (!layout || !reach_check(layout, &fault))
                fail_msg("%s, serial %s at %d dpi: %s", shipped_templates[i], serial, resolutions[j % RESOLUTIONS],
                         fault.text);
            checked++;
        }
    }
    assert_true(checked >= 3 * RESOLUTIONS * 6);
}

static void a_serial_too_small_for_arms_length_is_told_with_its_distance(void **state)
{
    struct drawer *drawer = *state;
    static struct template template;
    struct fault note = {0};
    const struct label_field field = {"serial", "V0001236"};
    read_text("label 25 x 13\nsymbol unit at 0.5 0.5 room 9 x 9 modules 0.5 to 0.38\n"
              "text at 10 1 room 14 x 4 letters 2 to 1.5 \"{serial}\"\n",
              &template);
    const struct layout *layout = label_layout(drawer, &template, &field, 1, 600, &note);
    assert_non_null(layout);
    assert_false(reach_check(layout, &note));
    assert_non_null(strstr(note.text, "line 3"));
    /* 2 mm x 200 = 40 cm; drawn smaller than 2 mm it is less, and never under 1.5 mm x 200 = 30 cm */
    const double from = number_behind(note.text, "readable from ");
    assert_true(from >= 30 && from <= 40);
    assert_non_null(strstr(note.text, "70 cm, it wants 3.5 mm"));
}

static void a_label_without_a_units_symbol_has_no_reach_to_keep(void **state)
{
    struct drawer *drawer = *state;
    static struct template template;
    struct label_field fields[LABEL_FIELD_IDS];
    const size_t count = sample_fields("person", false, fields);
    load_shipped("person", &template);
    const struct layout *layout = label_layout(drawer, &template, fields, count, 203, NULL);
    assert_non_null(layout);
    assert_true(reach_check(layout, NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_refused_text_needs_is_what_it_then_fits_into),
        cmocka_unit_test(a_text_too_high_for_its_room_says_height),
        cmocka_unit_test(the_longest_value_does_not_push_the_numbers_out_of_the_sentence),
        cmocka_unit_test(words_of_the_template_that_do_not_fit_are_named_by_their_line),
        cmocka_unit_test(a_missing_character_in_the_template_names_its_line),
        cmocka_unit_test(a_date_with_its_month_in_letters_is_drawn),
        cmocka_unit_test(shipped_serials_are_read_at_arms_length_where_the_label_has_room),
        cmocka_unit_test(a_serial_too_small_for_arms_length_is_told_with_its_distance),
        cmocka_unit_test(a_label_without_a_units_symbol_has_no_reach_to_keep),
    };
    return cmocka_run_group_tests_name("drawing/layout", tests, create_drawer, destroy_drawer);
}

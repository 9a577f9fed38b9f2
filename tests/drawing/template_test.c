#include "labels/drawing/template.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "drawing_help.h"

static void reads_every_word_of_the_format(void **state)
{
    static struct template template;
    (void)state;
    read_text("# a comment\r\n"
              "label 50 x 25.4   # and here\n"
              "margin 1\n"
              "where \"on the lid # not a comment\"\n"
              "\n"
              "symbol unit at 1 1 room 18.5 x 18.5 modules 0.6 to 0.38\n"
              "symbol card \"YES\" at 20 1 room 10 x 10\n"
              "text at 1 20 room 20 x 4 letters 2.5 to 1.6 bold inverse right \"lot {lot}\" only if lot and no batch\n"
              "line at 1 19.75 room 20 x 0.125\n"
              "frame at 30 1 room 10 x 10 thick 0.3",
              &template);
    assert_string_equal(template.name, "mine");
    assert_int_equal(template.width_um, 50000);
    assert_int_equal(template.height_um, 25400);
    assert_int_equal(template.margin_um, 1000);
    assert_string_equal(template.where, "on the lid # not a comment");
    assert_int_equal(template.element_count, 5);
    assert_int_equal(template.uses, 1U << LABEL_FIELD_LOT);
    const struct template_element *element = template.elements;
    assert_int_equal(element[0].symbol, SYMBOL_UNIT);
    assert_int_equal(element[0].line, 6);
    assert_int_equal(element[0].module_um, 600);
    assert_int_equal(element[0].module_least_um, 380);
    assert_int_equal(element[1].symbol, SYMBOL_CARD);
    assert_string_equal(element[1].value, "YES");
    assert_int_equal(element[1].module_um, TEMPLATE_MODULE_UM);
    assert_int_equal(element[2].letters_um, 2500);
    assert_int_equal(element[2].letters_least_um, 1600);
    assert_true(element[2].bold && element[2].inverse);
    assert_int_equal(element[2].align, TEMPLATE_RIGHT);
    assert_int_equal(element[2].condition_count, 2);
    assert_true(element[2].conditions[1].absent);
    assert_int_equal(element[3].box.height, 125);
    assert_int_equal(element[4].thick_um, 300);
}

#define SIZE "label 50 x 25\n"

static void names_the_line_and_the_trouble(void **state)
{
    static const struct {
        const char *text, *says;
    } cases[] = {
        {"", "without a single element"},
        {SIZE, "without a single element"},
        {"text at 1 1 room 5 x 5\n", "line 1: the label's size comes first"},
        {SIZE SIZE, "line 2: the label's size is said twice"},
        {"label 50 by 25", "line 1: 'x' is expected where 'by' stands"},
        {"label 50 x", "line 1: the label's height is missing"},
        {"label 5 x 25", "line 1: the label's width is 5 mm, outside 10 to 420"},
        {"label 50.1234 x 25", "not millimetres"},
        {"label 50. x 25", "not millimetres"},
        {"label -50 x 25", "not millimetres"},
        {"label 99999999999999999999 x 25", "not millimetres"},
        {"label 50 x 25 mm", "line 1: 'mm' is not expected here"},
        {SIZE "\n\ncircle at 1 1\n", "line 4: 'circle' is not known"},
        {SIZE "symbol house at 1 1 room 9 x 9", "line 2: symbol 'house' is not known"},
        {SIZE "symbol unit at 1 1 room 9 x 9 modules 0.2", "outside 0.25 to 5"},
        {SIZE "symbol unit at 1 1 room 9 x 9 modules 0.4 to 0.5", "larger one first"},
        {SIZE "symbol card at 1 1 room 9 x 9", "double quotes is expected"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a", "line 2: the value has no closing double quote"},
        {SIZE "text at 1 1 room 9 x 9 \"a\"", "no letters' height"},
        {SIZE "text at 1 1 room 9 x 9 letters 2", "no value"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a\" \"b\"", "not two"},
        {SIZE "text at 1 1 room 9 x 9 letters 1.4 \"a\"", "outside 1.5 to 100"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"{colour}\"", "line 2: field 'colour' is not known"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"{lot\"", "line 2: a { has no }"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a\" only if colour", "line 2: field 'colour' is not known"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a\" only when lot", "'if' is expected where 'when' stands"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a\" only if lot lot", "'lot' is not expected here"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a\" only if lot and item and note and card and resin", "over 4"},
        {SIZE "text at 45 1 room 9 x 9 letters 2 \"a\"", "line 2: the room from 45 1 to 54 10 leaves the label"},
        {SIZE "margin 2\ntext at 1 3 room 9 x 9 letters 2 \"a\"", "line 3: the room"},
        {SIZE "line at 1 1 room 9 x 1\nmargin 2", "line 3: the margin comes before"},
        {SIZE "symbol unit at 1 1 room 9 x 9\ntext at 9.9 1 room 9 x 9 letters 2 \"a\"", "line 3: the element overlaps "
                                                                                         "the one of line 2"},
        {SIZE "symbol unit at 2 2 room 9 x 9\nframe at 1 1 room 12 x 12 thick 1.1", "overlaps the one of line 2"},
        {SIZE "frame at 1 1 room 9 x 9 thick 5", "the frame's thickness is 5 mm"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"a\x01\"", "line 2: byte 0x01 at place 36 is a control character"},
        {SIZE "text at 1 1 room 9 x 9 letters 2 \"\xFF\"", "line 2: the line is not UTF-8"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        static struct template template;
        struct fault fault = {0};
        template.width_um = 7;
        if (template_read("mine", span_of(cases[i].text), &template, &fault) || !strstr(fault.text, cases[i].says) ||
            !strstr(fault.text, "template 'mine' line "))
            fail_msg("expected '%s', got '%s'", cases[i].says, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(template.width_um, 7);
    }
}

static void elements_that_never_meet_may_share_a_room(void **state)
{
    static struct template template;
    struct fault fault = {0};
    (void)state;
    read_text(SIZE "text at 1 1 room 9 x 9 letters 2 \"{lot}\" only if lot\n"
                   "text at 1 1 room 9 x 9 letters 2 \"none\" only if no lot\n",
              &template);
    assert_false(template_read("mine",
                               span_of(SIZE "text at 1 1 room 9 x 9 letters 2 \"{lot}\" only if lot\n"
                                            "text at 1 1 room 9 x 9 letters 2 \"{item}\" only if item\n"),
                               &template, &fault));
}

static void a_frame_may_stand_around_a_symbol(void **state)
{
    static struct template template;
    (void)state;
    read_text(SIZE "symbol unit at 2 2 room 9 x 9\nframe at 1 1 room 11 x 11 thick 1\n", &template);
    assert_int_equal(template.element_count, 2);
}

static void every_size_has_a_limit(void **state)
{
    static char text[TEMPLATE_BYTES + 2];
    static struct template template;
    struct fault fault = {0};
    struct builder builder;
    (void)state;
    memset(text, ' ', sizeof text);
    assert_false(template_read("mine", (struct span){text, TEMPLATE_BYTES + 1}, &template, &fault));
    assert_non_null(strstr(fault.text, "over 32768 bytes"));
    assert_false(template_read("mine", (struct span){text, TEMPLATE_LINE + 1}, &template, &fault));
    assert_non_null(strstr(fault.text, "line 1: the line has over 400 bytes"));
    builder_init(&builder, text, sizeof text);
    builder_add(&builder, SIZE);
    for (int i = 0; i <= TEMPLATE_ELEMENTS; i++)
        builder_add(&builder, "line at 1 1 room 1 x 1\n");
    assert_false(template_read("mine", span_of(text), &template, &fault));
    assert_non_null(strstr(fault.text, "line 98: a label has over 96 elements"));
    builder_init(&builder, text, sizeof text);
    builder_add(&builder, "label 400 x 25\n");
    for (int i = 0; i <= TEMPLATE_SYMBOLS; i++)
        builder_addf(&builder, "symbol unit at %d 1 room 10 x 10\n", 10 * i);
    assert_false(template_read("mine", span_of(text), &template, &fault));
    assert_non_null(strstr(fault.text, "line 26: a label has over 24 symbols"));
}

static void loads_by_name_and_never_by_path(void **state)
{
    static struct template template;
    struct fault fault = {0};
    (void)state;
    assert_true(template_load(templates_folder, "vat-case", &template, &fault));
    assert_string_equal(template.name, "vat-case");
    assert_false(template_load(templates_folder, "no-such", &template, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_non_null(strstr(fault.text, "template 'no-such' is not known"));
    static const char *const bad[] = {
        "", "../templates/vat-case", "Vat-case", "vat case", "vat.case", "a\n", "abcdefghijklmnopqrstuvwxyz-12345678"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        fault.code = FAULT_NONE;
        assert_false(template_load(templates_folder, bad[i], &template, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
    }
    assert_string_equal(template.name, "vat-case");
}

static void a_folder_in_a_templates_place_is_a_fault(void **state)
{
    static struct template template;
    char folder[] = "/tmp/template-XXXXXX", inner[64];
    struct fault fault = {0};
    (void)state;
    assert_non_null(mkdtemp(folder));
    snprintf(inner, sizeof inner, "%s/odd.label", folder);
    assert_int_equal(mkdir(inner, 0700), 0);
    assert_false(template_load(folder, "odd", &template, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    rmdir(inner);
    rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_every_word_of_the_format),
        cmocka_unit_test(names_the_line_and_the_trouble),
        cmocka_unit_test(elements_that_never_meet_may_share_a_room),
        cmocka_unit_test(a_frame_may_stand_around_a_symbol),
        cmocka_unit_test(every_size_has_a_limit),
        cmocka_unit_test(loads_by_name_and_never_by_path),
        cmocka_unit_test(a_folder_in_a_templates_place_is_a_fault),
    };
    return cmocka_run_group_tests_name("drawing/template", tests, NULL, NULL);
}

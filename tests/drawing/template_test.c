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

#define TEXT "text at 1 1 room 9 x 9 letters 2 "
#define CARD "symbol card \"YES\" at 1 1 room 9 x 9 "

static void names_the_line_and_the_trouble(void **state)
{
    static const struct {
        const char *text, *says;
    } cases[] = {
        {"", "template 'mine': the file ends without a single element"},
        {SIZE, "template 'mine' line 1: the file ends without a single element"},
        /* the label as a whole */
        {"text at 1 1 room 5 x 5\n", "line 1: the label's size comes first"},
        {SIZE SIZE, "line 2: the label's size is said twice"},
        {"label 50 by 25", "line 1: 'x' is expected where 'by' stands"},
        {"label 50 \"x\" 25", "line 1: 'x' is expected where '\"x\" 25' stands"},
        {"label", "line 1: the label's width is missing"},
        {"label 50", "line 1: the line ends where 'x' is expected"},
        {"label 50 x", "line 1: the label's height is missing"},
        {"label 50 x 25 mm", "line 1: 'mm' is not expected here"},
        {"label 50 x 25 only if lot", "line 1: 'only if lot' is not expected here"},
        {SIZE "margin", "line 2: the margin is missing"},
        {SIZE "margin 51", "line 2: the margin is 51 mm, outside 0 to 50"},
        {SIZE "margin 12.5", "line 2: the margin of 12.5 mm leaves nothing of a label of 50 x 25 mm"},
        {SIZE "margin 1\nmargin 1", "line 3: the margin is said twice"},
        {SIZE "margin 0\nmargin 1", "line 3: the margin is said twice"},
        {SIZE "margin 1 only if lot", "line 2: 'only if lot' is not expected here"},
        {SIZE "line at 1 1 room 9 x 1\nmargin 2", "line 3: the margin comes before"},
        {SIZE "where on the lid", "\"…\", is expected where 'on the lid' stands"},
        {SIZE "where", "line 2: the line ends where a value in double quotes"},
        {SIZE "where \"a\"\nwhere \"b\"", "line 3: where to stick the label is said twice"},
        {SIZE "where \"a\" only if lot", "line 2: 'only if lot' is not expected here"},
        /* numbers */
        {"label 5 x 25", "line 1: the label's width is 5 mm, outside 10 to 420"},
        {"label 9.999 x 25", "the label's width is 9.999 mm, outside 10 to 420"},
        {"label 50 x 420.001", "the label's height is 420.001 mm, outside 10 to 420"},
        {"label 50.1234 x 25", "'50.1234', not millimetres"},
        {"label 50. x 25", "not millimetres"},
        {"label .5 x 25", "not millimetres"},
        {"label -50 x 25", "not millimetres"},
        {"label +50 x 25", "not millimetres"},
        {"label 5e1 x 25", "'5e1', not millimetres"},
        {"label 50,5 x 25", "the label's width is '50,5': write a point, not a comma"},
        {"label 99999999999999999999 x 25", "not millimetres"},
        {SIZE "line at 1 1 room 0 x 9", "the room's width is 0 mm, outside 0.001 to 420"},
        {SIZE "line at 1 room 9 x 9", "y is 'room', not millimetres"},
        {SIZE "line room 9 x 9", "'at' is expected where 'room' stands"},
        {SIZE "line at 1 1", "the line ends where 'room' is expected"},
        /* words */
        {SIZE "\n\ncircle at 1 1\n", "line 4: 'circle' is not known: say symbol"},
        {SIZE "gr\xC3\xB6\xC3\x9F"
              "e 3\n",
         "line 2: 'gr\xC3\xB6\xC3\x9F"
         "e' is not known"},
        {SIZE "Text at 1 1", "line 2: 'Text' is not known"},
        {SIZE "\"text\"", "line 2: '\"text\"' is not known"},
        {SIZE "symbol", "line 2: the symbol's kind is missing"},
        {SIZE "symbol house at 1 1 room 9 x 9", "line 2: symbol 'house' is not known"},
        {SIZE "symbol unit at 1 1 room 9 x 9 bold", "line 2: 'bold' is not expected here"},
        {SIZE "symbol unit at 1 1 room 9 x 9 modules", "the modules' size is missing"},
        {SIZE "symbol unit at 1 1 room 9 x 9 modules 0.2", "outside 0.25 to 5"},
        {SIZE "symbol unit at 1 1 room 9 x 9 modules 0.4 to 0.5", "larger one first"},
        {SIZE "symbol card at 1 1 room 9 x 9", "is expected where 'at 1 1 room 9 x 9' stands"},
        {SIZE "symbol card \"yes, please\" at 1 1 room 9 x 9", "line 2: card"},
        {SIZE "symbol card \"\" at 1 1 room 9 x 9", "line 2: card"},
        {SIZE "line at 1 1 room 9 x 9 thick 1", "line 2: 'thick 1' is not expected here"},
        {SIZE "frame at 1 1 room 9 x 9", "the line ends where 'thick' is expected"},
        {SIZE "frame at 1 1 room 9 x 9 thick 5", "the frame's thickness is 5 mm"},
        {SIZE "frame at 1 1 room 9 x 0.001 thick 1", "too small for a frame"},
        /* texts */
        {SIZE TEXT "\"a", "line 2: the value 'a' has no closing double quote"},
        {SIZE TEXT "a\"", "line 2: 'a\"' is not expected here"},
        {SIZE "text at 1 1 room 9 x 9 \"a\"", "no letters' height"},
        {SIZE TEXT, "no value"},
        {SIZE TEXT "\"\"", "no value"},
        {SIZE TEXT "\"a\" \"b\"", "not two"},
        {SIZE TEXT "letters 3 \"a\"", "the letters' height is said twice"},
        {SIZE TEXT "left right \"a\"", "'right' is one too many"},
        {SIZE TEXT "middle \"a\"", "line 2: 'middle \"a\"' is not expected here"},
        {SIZE TEXT "to 3 \"a\"", "larger one first"},
        {SIZE TEXT "to \"a\"", "the letters' height is missing"},
        {SIZE "text at 1 1 room 9 x 9 letters 1.4 \"a\"", "outside 1.5 to 100"},
        {SIZE "text at 1 1 room 9 x 9 letters 101 \"a\"", "outside 1.5 to 100"},
        {SIZE TEXT "\"{colour}\"", "line 2: field 'colour' is not known"},
        {SIZE TEXT "\"{lot\"", "line 2: a { has no }"},
        {SIZE TEXT "\"{expires dd/mm}\"", "line 2: a date cannot be written as 'dd/mm'"},
        {SIZE TEXT "“lot {lot}”", "line 2: '“lot {lot}”' does not begin with a straight double quote"},
        {SIZE TEXT "'lot {lot}'", "does not begin with a straight double quote"},
        /* conditions */
        {SIZE TEXT "\"a\" only if colour", "line 2: field 'colour' is not known"},
        {SIZE TEXT "\"a\" only", "the line ends where 'if' is expected"},
        {SIZE TEXT "\"a\" only if", "a field's name is expected behind 'if'"},
        {SIZE TEXT "\"a\" only if no", "a field's name is expected behind 'no'"},
        {SIZE TEXT "\"a\" only if lot and", "a field's name is expected behind 'if'"},
        {SIZE TEXT "\"a\" only when lot", "'if' is expected where 'when' stands"},
        {SIZE TEXT "\"a\" only if lot lot", "'lot' is not expected here"},
        {SIZE TEXT "\"a\" only if lot or item", "'or item' is not expected here"},
        {SIZE TEXT "\"a\" only if lot and no lot", "never be there: it asks for 'lot' and for no 'lot'"},
        {SIZE TEXT "\"a\" only if lot and item and note and card and resin", "over 4"},
        /* places */
        {SIZE "text at 45 1 room 9 x 9 letters 2 \"a\"", "line 2: the room from 45 1 to 54 10 leaves the label"},
        {SIZE "margin 2\ntext at 1 3 room 9 x 9 letters 2 \"a\"", "line 3: the room"},
        {SIZE "text at 1 1 room 9 x 1.4 letters 2 \"a\"", "1.4 mm high, lower than the smallest letters, 1.5 mm"},
        {SIZE "symbol unit at 1 1 room 9 x 5.3", "14 modules, quiet zone included, of 0.38 mm need 5.32"},
        {SIZE "symbol unit at 1 1 room 9 x 9\ntext at 9.9 1 room 9 x 9 letters 2 \"a\"",
         "line 3: the text overlaps the symbol of line 2"},
        {SIZE CARD "\n" CARD, "line 3: the symbol overlaps the symbol of line 2"},
        {SIZE "line at 1 1 room 9 x 9\n" TEXT "\"a\"", "line 3: the text overlaps the line of line 2"},
        {"label 74 x 105\nline at 1 22 room 72 x 5\nhazard at 1 23.6 room 72 x 80 letters 2.4 frames black\n",
         "line 3: the hazard part overlaps the line of line 2"},
        {"label 74 x 105\nhazard at 1 23.6 room 72 x 80 letters 2.4 frames black\nline at 1 22 room 72 x 5\n",
         "line 3: the line overlaps the hazard part of line 2"},
        {SIZE "symbol unit at 2 2 room 9 x 9\nframe at 1 1 room 12 x 12 thick 1.1",
         "the frame overlaps the symbol of line 2"},
        /* characters */
        {SIZE TEXT "\"a\x01\"", "line 2: byte 0x01 at place 36 is a control character"},
        {SIZE "margin 1\rmargin 2\n", "line 2: byte 0x0D at place 9 is a control character"},
        {SIZE TEXT "\"\xFF\"", "line 2: the line is not UTF-8"},
        {SIZE TEXT "\"\xED\xA0\x80\"", "line 2: the line is not UTF-8"}, /* U+D800 */
        {SIZE TEXT "\"L\xE2\x80\xAE"
                   "17\"",
         "line 2: there is an invisible character (U+202E) at place 36: remove it"},
        {SIZE "# \xC3\xB6\x01", "line 2: byte 0x01 at place 4"}, /* characters, not bytes */
        {SIZE TEXT "\"\xEE\x80\x80\"", "line 2: there is a character of private use (U+E000)"},
        {SIZE "\xEF\xBB\xBF" TEXT "\"a\"", "line 2: there is an invisible character (U+FEFF) at place 1"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        static struct template template;
        struct fault fault = {0};
        template.width_um = 7;
        if (template_read("mine", span_of(cases[i].text), &template, &fault) || !strstr(fault.text, cases[i].says) ||
            !strstr(fault.text, "template 'mine'"))
            fail_msg("expected '%s', got '%s'", cases[i].says, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(template.width_um, 7);
    }
}

static void a_nul_in_the_file_is_named_and_hides_nothing(void **state)
{
    static const char text[] = SIZE "margin 1\0 margin 2\n" TEXT "\"a\"\n";
    static struct template template;
    struct fault fault = {0};
    (void)state;
    assert_false(template_read("mine", (struct span){text, sizeof text - 1}, &template, &fault));
    assert_non_null(strstr(fault.text, "line 2: byte 0x00 at place 9 is a control character"));
}

static void reads_what_an_editor_under_windows_writes(void **state)
{
    /* UTF-8 with a byte order mark (The Unicode Standard 15, 23.8) and lines ended by CR LF */
    static struct template template, plain;
    (void)state;
    read_text("\xEF\xBB\xBFlabel 50 x 25\r\nmargin 1\r\n\r\n# \xC3\xB6\r\n" TEXT "\"lot {lot}\" only if lot\r\n",
              &template);
    read_text("label 50 x 25\nmargin 1\n\n# \xC3\xB6\n" TEXT "\"lot {lot}\" only if lot\n", &plain);
    assert_memory_equal(&template, &plain, sizeof plain);
    struct fault fault = {0};
    static const char *const wide[] = {"\xFF\xFEl\0a\0", "\xFE\xFF\0l\0a"};
    for (size_t i = 0; i < 2; i++) {
        assert_false(template_read("mine", (struct span){wide[i], 6}, &template, &fault));
        assert_string_equal(fault.text, "template 'mine': the file is UTF-16, not UTF-8: save it as UTF-8");
    }
}

static void a_long_word_is_quoted_up_to_a_whole_character(void **state)
{
    static struct template template;
    struct fault fault = {0};
    char text[200] = SIZE;
    (void)state;
    for (int i = 0; i < 40; i++)
        memcpy(text + strlen(text), "\xC3\xA9", 3);
    assert_false(template_read("mine", span_of(text), &template, &fault));
    assert_true(text_is_utf8(span_of(fault.text)));
    assert_non_null(strstr(fault.text, "\xC3\xA9…' is not known"));
}

static void one_size_of_modules_is_its_own_floor_below_the_usual_one(void **state)
{
    static struct template template;
    (void)state;
    read_text(SIZE "symbol unit at 1 1 room 9 x 9 modules 0.3\nsymbol unit at 11 1 room 9 x 9 modules 0.45\n",
              &template);
    assert_int_equal(template.elements[0].module_least_um, 300);
    assert_int_equal(template.elements[1].module_least_um, TEMPLATE_MODULE_LEAST_UM);
}

static void every_size_from_10_to_420_mm_is_a_label(void **state)
{
    static struct template template;
    (void)state;
    read_text("label 10 x 10\ntext at 0 0 room 10 x 10 letters 1.5 \"a\"\n", &template);
    read_text("label 420 x 420\ntext at 0 0 room 420 x 420 letters 100 \"a\"\n", &template);
    assert_int_equal(template.elements[0].box.height, 420000);
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
        cmocka_unit_test(a_nul_in_the_file_is_named_and_hides_nothing),
        cmocka_unit_test(reads_what_an_editor_under_windows_writes),
        cmocka_unit_test(a_long_word_is_quoted_up_to_a_whole_character),
        cmocka_unit_test(one_size_of_modules_is_its_own_floor_below_the_usual_one),
        cmocka_unit_test(every_size_from_10_to_420_mm_is_a_label),
        cmocka_unit_test(elements_that_never_meet_may_share_a_room),
        cmocka_unit_test(a_frame_may_stand_around_a_symbol),
        cmocka_unit_test(every_size_has_a_limit),
        cmocka_unit_test(loads_by_name_and_never_by_path),
        cmocka_unit_test(a_folder_in_a_templates_place_is_a_fault),
    };
    return cmocka_run_group_tests_name("drawing/template", tests, NULL, NULL);
}

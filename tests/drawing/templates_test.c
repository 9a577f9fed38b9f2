#include <ctype.h>
#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"

/* What comes with the program: labels/drawing/templates. */

enum { CARD_DISTANCE_UM = 60000, CARDS_MAX = 64, SOURCE_MAX = 65536, SHEETS = 5 };

static const char *const sheets[] = {"card-sheet",
                                     "card-sheet-ml",
                                     "card-sheet-hours",
                                     "card-sheet-resin",
                                     "card-sheet-fault",
                                     "card-sheet-279x216",
                                     "card-sheet-ml-279x216",
                                     "card-sheet-hours-279x216",
                                     "card-sheet-resin-279x216",
                                     "card-sheet-fault-279x216"};

static int is_template(const struct dirent *entry)
{
    const char *ending = strrchr(entry->d_name, '.');
    return ending && strcmp(ending, ".label") == 0;
}

static bool is_on_the_list(const char *name)
{
    for (size_t i = 0; i < shipped_template_count; i++)
        if (strcmp(shipped_templates[i], name) == 0)
            return true;
    return false;
}

/* The other tests of this room draw what is on the list: a template that is not on it would not be tried. */
static void every_file_of_the_folder_is_tried(void **state)
{
    struct dirent **files = NULL;
    const int count = scandir(templates_folder, &files, is_template, alphasort);
    (void)state;
    assert_true(count > 0);
    for (int i = 0; i < count; i++) {
        *strrchr(files[i]->d_name, '.') = '\0';
        if (!is_on_the_list(files[i]->d_name))
            fail_msg("'%s' is not among shipped_templates of drawing_help.c", files[i]->d_name);
        free(files[i]);
    }
    free(files);
    assert_int_equal(count, shipped_template_count);
}

static void every_template_says_where_to_stick_it(void **state)
{
    (void)state;
    for (size_t i = 0; i < shipped_template_count; i++) {
        static struct template template;
        load_shipped(shipped_templates[i], &template);
        assert_non_null(strstr(template.where, "Never on"));
    }
}

static void read_source(const char *path, char *text, size_t size)
{
    FILE *file = fopen(path, "re");
    if (!file)
        fail_msg("%s is not there", path);
    const size_t length = fread(text, 1, size - 1, file);
    fclose(file);
    text[length] = '\0';
}

/* NAME-WxH and NAME share a picture, as sheets share the one of card-sheet. */
static void every_template_has_a_picture_of_where_with_words(void **state)
{
    static char text[SOURCE_MAX];
    (void)state;
    for (size_t i = 0; i < shipped_template_count; i++) {
        char path[300], name[TEMPLATE_NAME_SIZE] = "";
        snprintf(name, sizeof name, "%s", shipped_templates[i]);
        char *size = strrchr(name, '-');
        if (size && isdigit((unsigned char)size[1]))
            *size = '\0';
        if (strncmp(name, "card-sheet", strlen("card-sheet")) == 0)
            name[strlen("card-sheet")] = '\0';
        snprintf(path, sizeof path, "%s/%s.svg", templates_folder, name);
        read_source(path, text, sizeof text);
        assert_non_null(strstr(text, "<title id=\"title\">"));
        assert_non_null(strstr(text, "<desc id=\"desc\">")); /* WCAG 2.2, 1.1.1: the words for who does not see it */
        assert_non_null(strstr(text, "viewBox=\"0 0 300 220\""));
        assert_null(strstr(text, "href")); /* nothing from elsewhere, nothing that runs */
        assert_null(strstr(text, "<script"));
        assert_true(strstr(text, ">not ") || strstr(text, ">never ")); /* where not, in words and not by colour alone */
    }
}

/* The kiosk finds a size by its name: the roll's whole millimetres. */
static void a_name_with_a_size_is_that_size(void **state)
{
    int sized = 0;
    (void)state;
    for (size_t i = 0; i < shipped_template_count; i++) {
        static struct template template;
        int width = 50, height = 25; /* without one it is the everyday roll */
        const char *size = strrchr(shipped_templates[i], '-');
        const bool says = size && sscanf(size, "-%dx%d", &width, &height) == 2;
        load_shipped(shipped_templates[i], &template);
        if (!says && (template.width_um > 200000 || strstr(shipped_templates[i], "-hazard")))
            continue; /* office paper; a hazard part, whose size is laid down (CLP Annex I table 1.3) */
        assert_int_equal((template.width_um + 500) / 1000, width);
        assert_int_equal((template.height_um + 500) / 1000, height);
        sized += says;
    }
    assert_int_equal(sized, 41);
}

/* Symbols first: serial and expiry stay on the smallest label (issue: "what matters most"). */
static void the_smallest_labels_keep_symbol_serial_and_expiry(void **state)
{
    static const char *const dated[] = {"vat-case-25x13", "cartridge-25x13", "bottle-25x13"};
    const unsigned wanted = 1U << LABEL_FIELD_SERIAL | 1U << LABEL_FIELD_EXPIRES;
    (void)state;
    for (size_t i = 0; i < sizeof dated / sizeof *dated; i++) {
        static struct template template;
        load_shipped(dated[i], &template);
        assert_int_equal(template.elements[0].kind, TEMPLATE_SYMBOL);
        assert_int_equal(template.uses & wanted, wanted);
    }
}

/* Rooms are the whole dots inside the millimetres, modules are whole dots: computed with bc from the template's lines
 * "symbol serial at 0.5 0.5 room 9.2 x 9.2 modules 0.5" and "text at 9.8 0.5 room 14.7 x 2.6"; 14 modules and 2 of
 * white on each side, 18 in all. */
static void the_smallest_label_stands_on_the_dots_that_arithmetic_gives(void **state)
{
    static const struct {
        int dpi, module, symbol_x, symbol_side;
        struct layout_box serial;
    } cases[] = {
        {203, 4, 12, 56, {79, 4, 116, 20}},
        {300, 6, 18, 84, {116, 6, 173, 30}},
        {600, 12, 36, 168, {232, 12, 346, 61}},
    };
    static struct template template;
    struct label_field fields[LABEL_FIELD_IDS];
    load_shipped("vat-case-25x13", &template);
    const size_t count = sample_fields("vat-case-25x13", false, fields);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct layout *layout = label_layout(*state, &template, fields, count, cases[i].dpi, NULL);
        assert_non_null(layout);
        const struct layout_piece *symbol = &layout->pieces[0], *serial = &layout->pieces[1];
        assert_int_equal(symbol->module, cases[i].module);
        assert_int_equal(symbol->ink.x, cases[i].symbol_x);
        assert_int_equal(symbol->ink.width, cases[i].symbol_side);
        assert_string_equal(serial->text, "V0001236");
        assert_memory_equal(&serial->room, &cases[i].serial, sizeof serial->room);
    }
}

static void serials_are_read_at_arms_length_on_all_but_the_smallest(void **state)
{
    /* letters of 1/200 of the distance (docs/templates.md); an arm is 70 cm: 3.5 mm. Common practice, no source */
    (void)state;
    for (size_t i = 0; i < shipped_template_count; i++) {
        static struct template template;
        struct label_field fields[LABEL_FIELD_IDS];
        struct label_values values;
        const char *name = shipped_templates[i];
        load_shipped(name, &template);
        if (template.width_um <= 25000 || !(template.uses >> LABEL_FIELD_SERIAL & 1) || strstr(name, "person") ||
            strcmp(name, "hold") == 0)
            continue; /* a badge's reader wants the name; the hold tag stands beside the unit's own label */
        assert_true(label_field_read(fields, sample_fields(name, false, fields), &values, NULL));
        for (size_t e = 0; e < template.element_count; e++)
            if (strcmp(template.elements[e].value, "{serial}") == 0 && template.elements[e].letters_um < 3500)
                fail_msg("%s: serial of %d um", name, template.elements[e].letters_um);
    }
}

struct card {
    const char *word;
    int64_t x, y; /* centre, micrometres */
};

static size_t cards_of(const struct template *sheet, struct card cards[CARDS_MAX])
{
    size_t count = 0;
    for (size_t i = 0; i < sheet->element_count; i++) {
        const struct template_element *element = &sheet->elements[i];
        if (element->kind == TEMPLATE_SYMBOL)
            cards[count++] = (struct card){element->value, element->box.x + element->box.width / 2,
                                           element->box.y + element->box.height / 2};
    }
    return count;
}

static void cards_on_a_sheet_stand_60_mm_apart(void **state)
{
    /* common practice, no source: a hand scanner held at 20 cm sees some 50 mm of the counter */
    (void)state;
    for (size_t s = 0; s < sizeof sheets / sizeof *sheets; s++) {
        static struct template sheet;
        struct card cards[CARDS_MAX];
        load_shipped(sheets[s], &sheet);
        const size_t count = cards_of(&sheet, cards);
        assert_true(count >= 3);
        for (size_t i = 0; i < count; i++) {
            for (size_t j = 0; j < i; j++) {
                const int64_t x = cards[i].x - cards[j].x, y = cards[i].y - cards[j].y;
                assert_true(x * x + y * y >= (int64_t)CARD_DISTANCE_UM * CARD_DISTANCE_UM);
                assert_string_not_equal(cards[i].word, cards[j].word);
            }
        }
    }
}

/* US Letter has other sides (ANSI/ASME Y14.1, size A: 215.9 x 279.4 mm), and the same cards in the same order. */
static void a_sheet_on_letter_paper_has_the_cards_of_the_one_on_a4(void **state)
{
    static struct template a4, letter;
    (void)state;
    for (size_t s = 0; s < SHEETS; s++) {
        struct card on_a4[CARDS_MAX], on_letter[CARDS_MAX];
        load_shipped(sheets[s], &a4);
        load_shipped(sheets[s + SHEETS], &letter);
        assert_true(a4.width_um == 297000 && a4.height_um == 210000); /* ISO 216 */
        assert_true(letter.width_um == 279400 && letter.height_um == 215900);
        const size_t count = cards_of(&a4, on_a4);
        assert_int_equal(cards_of(&letter, on_letter), count);
        for (size_t i = 0; i < count; i++)
            assert_string_equal(on_letter[i].word, on_a4[i].word);
        assert_int_equal(letter.element_count, a4.element_count);
        for (size_t i = 0; i < a4.element_count; i++) /* the words beside them, and how large */
            assert_true(strcmp(letter.elements[i].value, a4.elements[i].value) == 0 &&
                        letter.elements[i].letters_um == a4.elements[i].letters_um &&
                        letter.elements[i].module_um == a4.elements[i].module_um);
    }
}

static bool is_on_a_sheet(const char *word)
{
    for (size_t s = 0; s < sizeof sheets / sizeof *sheets; s++) {
        static struct template sheet;
        struct card cards[CARDS_MAX];
        load_shipped(sheets[s], &sheet);
        const size_t count = cards_of(&sheet, cards);
        for (size_t i = 0; i < count; i++)
            if (strcmp(cards[i].word, word) == 0)
                return true;
    }
    return false;
}

/* The words are where the desk compares them: strcmp(card, "WORD") in press.c and check_in.c, the films in keys.c. */
static size_t look_for_words(const char *file, const char *before)
{
    static char path[300], text[SOURCE_MAX];
    size_t found = 0;
    snprintf(path, sizeof path, "%s/kiosk/desk/%s", SOURCE_ROOT, file);
    read_source(path, text, sizeof text);
    for (const char *at = strstr(text, before); at; at = strstr(at, before)) {
        char word[32] = "";
        at += strlen(before);
        if (sscanf(at, "%31[A-Z0-9-]\"", word) != 1)
            continue;
        found++;
        if (strcmp(word, "OVERRULE") != 0 && !is_on_a_sheet(word)) /* that one needs a PIN, and no card has one */
            fail_msg("the desk knows the card %s (%s), and no sheet has it", word, file);
    }
    return found;
}

static void every_card_that_the_desk_knows_is_on_a_sheet(void **state)
{
    (void)state;
    assert_true(look_for_words("press.c", "strcmp(card, \"") >= 3);
    assert_true(look_for_words("press.c", "\n    {\"") >= 16); /* the table of beginnings */
    assert_true(look_for_words("pour.c", "strcmp(card, \"") >= 2);
    assert_true(look_for_words("check_in.c", "strcmp(card, \"") >= 1);
    assert_int_equal(look_for_words("hold.c", "strcmp(card, \""), 3);
    assert_int_equal(look_for_words("pair.c", "strcmp(card, \""), 2);
    assert_true(look_for_words("keys.c", "add(keys, \"") >= 7);
    assert_int_equal(look_for_words("keys.c", "{\""), 5);                       /* the table of films */
    static const char *const others[] = {"UNDO", "0ML", "1000ML", "0H", "48H"}; /* numbers are read, not compared */
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_true(is_on_a_sheet(others[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_file_of_the_folder_is_tried),
        cmocka_unit_test(every_template_says_where_to_stick_it),
        cmocka_unit_test(every_template_has_a_picture_of_where_with_words),
        cmocka_unit_test(a_name_with_a_size_is_that_size),
        cmocka_unit_test(the_smallest_labels_keep_symbol_serial_and_expiry),
        cmocka_unit_test(the_smallest_label_stands_on_the_dots_that_arithmetic_gives),
        cmocka_unit_test(serials_are_read_at_arms_length_on_all_but_the_smallest),
        cmocka_unit_test(cards_on_a_sheet_stand_60_mm_apart),
        cmocka_unit_test(a_sheet_on_letter_paper_has_the_cards_of_the_one_on_a4),
        cmocka_unit_test(every_card_that_the_desk_knows_is_on_a_sheet),
    };
    return cmocka_run_group_tests_name("drawing/templates", tests, create_drawer, destroy_drawer);
}

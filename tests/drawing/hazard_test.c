#include "labels/drawing/label.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"
#include "labels/content/workplace_words.h"
#include "labels/drawing/label_pdf.h"

/* The hazard part of a label. Sizes: CLP (EC) 1272/2008 Annex I 1.2.1 table 1.3; least x and pitch of lines: Regulation
 * (EU) 2024/2865, applied from 2028 on. Blank red diamonds: 29 CFR 1910.1200 appendix C.2.3, from memory. The words of
 * the examples are those of the UN GHS annex 3; what goes on a real label comes from its SDS. */

#define STATEMENTS                                                                                                     \
    "H315 Causes skin irritation.|H317 May cause an allergic skin reaction.|H319 Causes serious eye irritation."

#define STATEMENTS_SHOWN                                                                                               \
    "H315 Causes skin irritation. H317 May cause an allergic skin reaction. H319 Causes serious eye irritation."

static const int resolutions[] = {203, 300, 600};
enum { RESOLUTIONS = sizeof resolutions / sizeof *resolutions };

struct values {
    struct label_field list[LABEL_FIELD_IDS];
    size_t count;
};

static void set(struct values *values, const char *name, const char *value)
{
    for (size_t i = 0; i < values->count; i++) {
        if (strcmp(values->list[i].name, name) != 0)
            continue;
        values->list[i].value = value;
        return;
    }
    values->list[values->count++] = (struct label_field){name, value};
}

static struct values flint(const char *capacity)
{
    struct values values = {.count = 0};
    set(&values, "serial", "V0001236");
    set(&values, "product", "Flint resin");
    set(&values, "signal-word", "Warning");
    set(&values, "pictograms", "GHS07 GHS09");
    set(&values, "statements", STATEMENTS);
    set(&values, "precautions", "none");
    set(&values, "sds", "SDS of 2026-01-10: binder 3");
    set(&values, "capacity", capacity);
    return values;
}

/* The same with its supplier, who is invented. */
static struct values supplied(const char *capacity)
{
    struct values values = flint(capacity);
    set(&values, "supplier", "Kestrel Quay Resins");
    set(&values, "supplier-address", "2 Harbour Row, Kestrel Quay");
    set(&values, "supplier-phone", "+00 555 0100");
    return values;
}

static const struct hazard_layout *lay(struct drawer *drawer, const struct template *template,
                                       const struct values *values, int dpi)
{
    struct fault fault = {0};
    const struct layout *layout = label_layout(drawer, template, values->list, values->count, dpi, &fault);
    if (!layout)
        fail_msg("%s", fault.text);
    return &layout->hazard;
}

static void refuse(struct drawer *drawer, const struct template *template, const struct values *values,
                   const char *sentence)
{
    struct fault fault = {0};
    if (label_layout(drawer, template, values->list, values->count, 203, &fault))
        fail_msg("drawn, and not refused with '%s'", sentence);
    if (fault.code != FAULT_INPUT || !strstr(fault.text, sentence))
        fail_msg("'%s' is not said: %s", sentence, fault.text);
}

/* Everything on the label as one text, a space from line to line. */
static const char *all_text(const struct hazard_layout *hazard, char text[HAZARD_TEXT_SIZE])
{
    struct builder builder;
    builder_init(&builder, text, HAZARD_TEXT_SIZE);
    for (size_t i = 0; i < hazard->line_count; i++) {
        if (i > 0)
            builder_add_char(&builder, ' ');
        builder_add_span(&builder, hazard->lines[i].text);
    }
    return text;
}

/* ---- what it says ---- */

static void prints_what_was_entered_word_for_word_and_nothing_else(void **state)
{
    static struct template template;
    char text[HAZARD_TEXT_SIZE];
    const struct values values = flint("500");
    load_shipped("bottle-hazard", &template);
    const struct hazard_layout *hazard = lay(*state, &template, &values, 203);
    assert_string_equal(all_text(hazard, text),
                        "Flint resin Warning H315 Causes skin irritation. H317 May cause an allergic skin reaction. "
                        "H319 Causes serious eye irritation. SDS of 2026-01-10: binder 3 Workplace label.");
    assert_int_equal(hazard->mark_count, 2);
    assert_int_equal(hazard->marks[0].pictogram, 7);
    assert_int_equal(hazard->marks[1].pictogram, 9);
    assert_true(hazard->frames);
}

static void a_missing_part_is_refused_or_sent_to_the_sds_as_the_shop_chose(void **state)
{
    static const struct {
        const char *field, *see;
    } parts[] = {{"signal-word", "Signal word: see SDS."},
                 {"pictograms", "Pictograms: see SDS."},
                 {"statements", "Hazard statements: see SDS."},
                 {"precautions", "Precautions: see SDS."}};
    static struct template strict, lenient;
    read_text("label 52 x 74\nhazard at 1 1 room 50 x 72 letters 2 frames black", &strict);
    read_text("label 52 x 74\nhazard at 1 1 room 50 x 72 letters 2 frames black missing see-sds", &lenient);
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        char sentence[96], text[HAZARD_TEXT_SIZE];
        struct values values = flint("500");
        set(&values, parts[i].field, "");
        (void)snprintf(sentence, sizeof sentence, "field '%s' is missing", parts[i].field);
        refuse(*state, &strict, &values, sentence);
        const struct hazard_layout *hazard = lay(*state, &lenient, &values, 203);
        if (!strstr(all_text(hazard, text), parts[i].see))
            fail_msg("'%s' is not on the label: %s", parts[i].see, text);
        set(&values, parts[i].field, "none"); /* the SDS says none: nothing is missing, nothing is said */
        hazard = lay(*state, &strict, &values, 203);
        assert_null(strstr(all_text(hazard, text), "see SDS"));
    }
    struct values values = flint("500");
    set(&values, "product", "");
    refuse(*state, &lenient, &values, "field 'product' is missing");
    values = flint("");
    refuse(*state, &lenient, &values, "field 'capacity' is missing");
}

static void codes_without_words_and_unknown_pictograms_are_refused(void **state)
{
    static struct template template;
    load_shipped("bottle-hazard", &template);
    struct values values = flint("500");
    set(&values, "statements", "H315 Causes skin irritation.|H317");
    refuse(*state, &template, &values, "'statements' has the code H317 without words");
    values = flint("500");
    set(&values, "precautions", "P302+P352");
    refuse(*state, &template, &values, "'precautions' has the code P302+P352 without words");
    values = flint("500");
    set(&values, "pictograms", "GHS10");
    refuse(*state, &template, &values, "pictogram 'GHS10' is not known");
    values = flint("half a litre");
    refuse(*state, &template, &values, "not whole millilitres");
    values = flint("500");
    set(&values, "product", "Flint \xCD\xB8");
    refuse(*state, &template, &values, "field 'product' has the character U+0378");
}

static void a_supply_names_its_supplier_with_address_and_telephone(void **state)
{
    /* CLP (EC) 1272/2008, article 17(1)(a); quantity (b) and UFI (Annex VIII part A 5) where the shop has them */
    static const char *const parts[] = {"supplier", "supplier-address", "supplier-phone"};
    static struct template template;
    char text[HAZARD_TEXT_SIZE];
    load_shipped("bottle-hazard-red", &template);
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        char sentence[96];
        struct values values = supplied("1000");
        (void)snprintf(sentence, sizeof sentence, "field '%s' is missing: red frames", parts[i]);
        set(&values, parts[i], "");
        refuse(*state, &template, &values, sentence);
        set(&values, parts[i], "none"); /* a supplier that is nobody is not there */
        refuse(*state, &template, &values, sentence);
    }
    struct values values = supplied("1000");
    assert_string_equal(all_text(lay(*state, &template, &values, 203), text),
                        "Flint resin Warning " STATEMENTS_SHOWN
                        " Kestrel Quay Resins, 2 Harbour Row, Kestrel Quay, +00 555 0100 SDS of 2026-01-10: binder 3");
    set(&values, "quantity", "1 l");
    set(&values, "ufi", "N1QV-R02N-J00M-WQD5");
    assert_non_null(strstr(all_text(lay(*state, &template, &values, 203), text),
                           "Flint resin 1 l, UFI:\xC2\xA0N1QV-R02N-J00M-WQD5 Warning "));
    set(&values, "ufi", "N1QV-R02N-J00M-WQD6");
    refuse(*state, &template, &values, "'ufi' is 'N1QV-R02N-J00M-WQD6', whose first character does not agree");
}

static void a_workplace_label_is_the_same_set_without_the_supplier(void **state)
{
    /* 29 CFR 1910.1200(f)(6)(i) */
    static struct template template;
    char plain[HAZARD_TEXT_SIZE], text[HAZARD_TEXT_SIZE];
    struct values values = flint("500");
    load_shipped("bottle-hazard", &template);
    all_text(lay(*state, &template, &values, 203), plain);
    values = supplied("500");
    set(&values, "quantity", "1 l");
    set(&values, "ufi", "N1QV-R02N-J00M-WQD5");
    assert_string_equal(all_text(lay(*state, &template, &values, 203), text), plain);
}

static void workplace_label_is_said_in_the_language_of_the_entry(void **state)
{
    static struct template template;
    char text[HAZARD_TEXT_SIZE], languages[] = "cs da de en es fi fr it nb nl pl pt sv";
    struct values values = flint("500");
    load_shipped("bottle-hazard", &template);
    assert_string_equal(languages, workplace_words_languages);
    for (char *rest, *language = strtok_r(languages, " ", &rest); language; language = strtok_r(NULL, " ", &rest)) {
        set(&values, "language", language);
        all_text(lay(*state, &template, &values, 203), text);
        assert_string_equal(text + strlen(text) - strlen(workplace_words_in(language)), workplace_words_in(language));
    }
    set(&values, "language", "de");
    assert_non_null(strstr(all_text(lay(*state, &template, &values, 203), text), "Etikett für den Arbeitsplatz."));
    set(&values, "language", "en");
    assert_non_null(strstr(all_text(lay(*state, &template, &values, 203), text), "Workplace label."));
    set(&values, "language", "xx");
    refuse(*state, &template, &values, "field 'language' is 'xx', and there are words in cs da de");
}

/* ---- how large ---- */

/* The table, once more and by hand; the side from both of its rules, whichever asks for more. */
static const struct {
    const char *capacity, *words;
    double width, height, side, x;
} table[] = {
    {"1", "up to 0.5 l", 52, 74, 16, 1.2},
    {"500", "up to 0.5 l", 52, 74, 16, 1.2},
    {"501", "over 0.5 to 3 l", 52, 74, 16, 1.4},
    {"3000", "over 0.5 to 3 l", 52, 74, 16, 1.4},
    {"3001", "over 3 to 50 l", 74, 105, 23, 1.8},
    {"50000", "over 3 to 50 l", 74, 105, 23, 1.8},
    {"50001", "over 50 to 500 l", 105, 148, 32, 2.0},
    {"500000", "over 50 to 500 l", 105, 148, 32, 2.0},
    {"500001", "over 500 l", 148, 210, 46, 2.0},
};
enum { TABLE = sizeof table / sizeof *table };

static void make_label(double width, double height, const char *more, struct template *template)
{
    char text[200];
    (void)snprintf(text, sizeof text, "label %g x %g\nhazard at 1 1 room %g x %g letters 3 frames black %s", width,
                   height, width - 2, height - 2, more);
    read_text(text, template);
}

static void sizes_are_the_tables_or_more_at_every_resolution(void **state)
{
    static struct template template;
    for (int i = 0; i < TABLE; i++) {
        for (int r = 0; r < RESOLUTIONS; r++) {
            const double mm = 25.4 / resolutions[r];
            const struct values values = flint(table[i].capacity);
            make_label(table[i].width, table[i].height, "", &template);
            const struct hazard_layout *hazard = lay(*state, &template, &values, resolutions[r]);
            const double side = hazard->half * mm * sqrt(2), area = table[i].width * table[i].height;
            if (side < table[i].side || side * side < area / 15 || side * side < 100 || side > table[i].side * 1.03)
                fail_msg("%s ml at %d dpi: the diamond's side is %.3f mm", table[i].capacity, resolutions[r], side);
            if (hazard->x_height * mm < table[i].x)
                fail_msg("%s ml at %d dpi: x is %.3f mm", table[i].capacity, resolutions[r], hazard->x_height * mm);
            if (hazard->pitch < 1.2 * hazard->letters / 0.714) /* capitals of Noto Sans: 0.714 of the letters' size */
                fail_msg("%s ml at %d dpi: pitch %d", table[i].capacity, resolutions[r], hazard->pitch);
            for (size_t line = 1; line < hazard->line_count; line++)
                assert_int_equal(hazard->lines[line].baseline - hazard->lines[line - 1].baseline, hazard->pitch);
        }
    }
}

static void a_label_under_the_tables_size_is_refused_with_the_tables_line(void **state)
{
    static struct template template;
    for (int i = 0; i < TABLE; i++) {
        const struct values values = flint(table[i].capacity);
        make_label(table[i].width, table[i].height - 0.5, "", &template);
        refuse(*state, &template, &values, table[i].words);
        refuse(*state, &template, &values, "CLP Annex I table 1.3");
        make_label(table[i].height, table[i].width, "", &template); /* lying on its side it is large enough */
        (void)lay(*state, &template, &values, 300);
    }
}

static void a_small_container_may_take_a_smaller_label_when_the_template_says_so(void **state)
{
    static struct template template;
    struct values values = flint("500");
    make_label(40, 60, "small", &template);
    set(&values, "pictograms", "GHS07");
    const struct hazard_layout *hazard = lay(*state, &template, &values, 203);
    const double side = hazard->half * 25.4 / 203 * sqrt(2);
    assert_true(side >= 40 * 60 / 15.0 / side && side >= 10 && side < 13.2); /* sqrt(160) = 12.65 */
    set(&values, "capacity", "3001"); /* from 3 l on the table leaves no choice */
    refuse(*state, &template, &values, "over 3 to 50 l takes a hazard label of 74 x 105 mm");
}

static void what_does_not_fit_is_refused_and_not_shrunk_under_the_table(void **state)
{
    static struct template template;
    static char many[900];
    struct values values = flint("500");
    load_shipped("bottle-hazard", &template);
    set(&values, "pictograms", "GHS02 GHS05 GHS06 GHS08 GHS09 GHS03");
    refuse(*state, &template, &values, "6 pictograms of 16.");
    values = flint("500");
    struct builder builder;
    builder_init(&builder, many, sizeof many);
    builder_add(&builder, "H317 ");
    while (!builder.cut)
        builder_add(&builder, "skin reaction ");
    set(&values, "statements", many);
    refuse(*state, &template, &values, "letters with an x of 1.2 mm or more (Regulation (EU) 2024/2865)");
}

/* ---- where it stands ---- */

static bool diamonds_apart(const struct hazard_mark *a, const struct hazard_mark *b, int half)
{
    return abs(a->x - b->x) + abs(a->y - b->y) >= 2 * half;
}

static bool box_apart(const struct hazard_mark *mark, int half, const struct layout_box *box)
{
    const int x = mark->x < box->x ? box->x : mark->x > box->x + box->width ? box->x + box->width : mark->x;
    const int y = mark->y < box->y ? box->y : mark->y > box->y + box->height ? box->y + box->height : mark->y;
    return abs(mark->x - x) + abs(mark->y - y) >= half;
}

static void diamonds_and_lines_keep_clear_of_each_other_inside_the_room(void **state)
{
    static const char *const sets[] = {"none",
                                       "GHS02",
                                       "GHS02 GHS07",
                                       "GHS02 GHS07 GHS09",
                                       "GHS02 GHS05 GHS08 GHS09",
                                       "GHS01 GHS02 GHS05 GHS06 GHS09"};
    static const double sizes[][2] = {{52, 74}, {74, 52}, {74, 105}, {105, 148}, {148, 105}};
    static struct template template;
    for (size_t s = 0; s < sizeof sizes / sizeof *sizes; s++) {
        make_label(sizes[s][0], sizes[s][1], "", &template);
        for (size_t i = 0; i < (s < 2 ? 4 : 6); i++) {
            struct values values = flint("500");
            set(&values, "pictograms", sets[i]);
            const struct hazard_layout *hazard = lay(*state, &template, &values, 203);
            const int right = dots_of_um(template.width_um - 1000, 203);
            const int bottom = dots_of_um(template.height_um - 1000, 203), edge = dots_of_um(1000, 203);
            for (size_t a = 0; a < hazard->mark_count; a++) {
                const struct hazard_mark *mark = &hazard->marks[a];
                assert_true(mark->x - hazard->half >= edge && mark->x + hazard->half <= right);
                assert_true(mark->y - hazard->half >= edge && mark->y + hazard->half <= bottom);
                for (size_t b = 0; b < a; b++)
                    assert_true(diamonds_apart(mark, &hazard->marks[b], hazard->half));
                for (size_t line = 0; line < hazard->line_count; line++)
                    assert_true(box_apart(mark, hazard->half, &hazard->lines[line].ink));
            }
            for (size_t line = 0; line < hazard->line_count; line++) {
                const struct layout_box *ink = &hazard->lines[line].ink;
                assert_true(ink->x >= edge && ink->x + ink->width <= right);
                assert_true(ink->y >= edge && ink->y + ink->height <= bottom);
            }
        }
    }
}

static void other_scripts_break_where_they_may_and_lose_nothing(void **state)
{
    static const char *const lists[] = {
        "H317 可能引起皮肤过敏反应。|H319 造成严重眼刺激。|H411 对水生生物有毒并具有长期持续影响。",
        "H317 Может вызывать аллергическую кожную реакцию.",
        "H317 Μπορεί να προκαλέσει αλλεργική δερματική αντίδραση."};
    static struct template template;
    make_label(52, 74, "", &template);
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        struct values values = flint("500");
        size_t letters = 0, shown = 0;
        set(&values, "statements", lists[i]);
        const struct hazard_layout *hazard = lay(*state, &template, &values, 203);
        for (const char *at = lists[i]; *at; at++)
            letters += *at != ' ' && *at != '|';
        for (size_t line = 0; line < hazard->line_count; line++) {
            const struct span text = hazard->lines[line].text;
            const struct span list = hazard->parts.paragraphs[2].text;
            for (size_t c = 0; c < text.length; c++)
                shown += text.at >= list.at && text.at < list.at + list.length && text.at[c] != ' ';
        }
        assert_int_equal(shown, letters);
    }
}

static void expect_same_dots(struct drawer *one, struct drawer *other, const struct template *template,
                             const struct values *values, int dpi)
{
    struct dots a = {0}, b = {0};
    struct fault fault = {0};
    if (!label_draw(one, template, values->list, values->count, dpi, &a, &fault) ||
        !label_draw(other, template, values->list, values->count, dpi, &b, &fault))
        fail_msg("%s", fault.text);
    assert_true(a.width == b.width && a.height == b.height);
    assert_memory_equal(a.rows, b.rows, (size_t)a.height * a.stride);
    dots_clear(&a);
    dots_clear(&b);
}

/* A drawer keeps the last hazard part for the next label of a delivery; one that was made new knows none. */
static void what_was_laid_out_before_never_stands_in_for_another_label(void **state)
{
    static const char *const changes[][2] = {

        {"product", "Flint resin 2"},
        {"signal-word", "Danger"},
        {"pictograms", "GHS07 GHS08"},
        {"pictograms", "GHS07"},
        {"statements", "H317 May cause an allergic skin reaction."},
        {"precautions", "P280 Wear gloves."},
        {"capacity", "501"},
        {"sds", "SDS of 2026-01-11: binder 3"},
        {"language", "de"},
    };
    static const char *const texts[] = {
        "label 74 x 105\nhazard at 1 1 room 72 x 103 letters 3 frames black",
        "label 74 x 105\nhazard at 1 1 room 72 x 103 letters 2 frames black",
        "label 74 x 105\nhazard at 1 1 room 72 x 103 letters 3 frames black",
        "label 74 x 105\nhazard at 2 1 room 71 x 103 letters 2 frames black",
        "label 75 x 105\nhazard at 2 1 room 71 x 103 letters 2 frames black",
        "label 74 x 105\nhazard at 1 1 room 72 x 103 letters 3 frames black missing see-sds",
    };
    static struct template template;
    for (size_t t = 0; t < sizeof texts / sizeof *texts; t++) {
        read_text(texts[t], &template); /* in the same place each time, as a template that was edited is */
        for (size_t i = 0; i <= (t == 0 ? sizeof changes / sizeof *changes : 0); i++) {
            struct drawer *fresh = drawer_create(NULL);
            assert_non_null(fresh);
            struct values values = flint("500");
            if (i > 0)
                set(&values, changes[i - 1][0], changes[i - 1][1]);
            expect_same_dots(*state, fresh, &template, &values, 203);
            expect_same_dots(*state, fresh, &template, &values, 203); /* and once more, as it was kept */
            drawer_destroy(fresh);
        }
    }
    const struct values values = flint("500");
    struct drawer *fresh = drawer_create(NULL);
    assert_non_null(fresh);
    expect_same_dots(*state, fresh, &template, &values, 300);
    drawer_destroy(fresh);
}

/* ---- frames ---- */

#define RED_STOCK "label 52 x 74\nhazard at 1 1 room 50 x 72 letters 2 frames preprinted 16.1 at 13 13 at 38 13.5"

static void on_preprinted_stock_only_symbols_are_printed_where_the_diamonds_are(void **state)
{
    static struct template template;
    struct dots dots = {0};
    struct fault fault = {0};
    const struct values values = supplied("500");
    read_text(RED_STOCK, &template);
    const struct hazard_layout *hazard = lay(*state, &template, &values, 300);
    assert_false(hazard->frames);
    assert_int_equal(hazard->marks[0].x, lround(13 / 25.4 * 300));
    assert_int_equal(hazard->marks[1].x, lround(38 / 25.4 * 300));
    assert_int_equal(hazard->marks[1].y, lround(13.5 / 25.4 * 300));
    assert_true(label_draw(*state, &template, values.list, values.count, 300, &dots, &fault));
    hazard = lay(*state, &template, &values, 300);
    for (size_t i = 0; i < 2; i++) /* the stock's frame stays as it is: no ink in the outer tenth of a diamond */
        for (int y = -hazard->half; y <= hazard->half; y++)
            for (int x = -hazard->half; x <= hazard->half; x++)
                if (abs(x) + abs(y) > hazard->half * 9 / 10 && abs(x) + abs(y) < hazard->half)
                    assert_false(dots_get(&dots, hazard->marks[i].x + x, hazard->marks[i].y + y));
    dots_clear(&dots);
    char text[HAZARD_TEXT_SIZE];
    assert_null(strstr(all_text(hazard, text), "Workplace label"));
}

static void no_red_diamond_stays_empty_and_none_is_too_small(void **state)
{
    static struct template template;
    struct values values = supplied("500");
    read_text(RED_STOCK, &template);
    set(&values, "pictograms", "GHS07");
    refuse(*state, &template, &values, "a diamond must not stay empty");
    set(&values, "pictograms", "none");
    refuse(*state, &template, &values, "a diamond must not stay empty");
    set(&values, "pictograms", "GHS02 GHS07 GHS09");
    refuse(*state, &template, &values, "the stock only 2 red diamonds");
    read_text("label 52 x 74\nhazard at 1 1 room 50 x 72 letters 2 frames preprinted 15 at 13 13 at 38 13", &template);
    values = supplied("500");
    refuse(*state, &template, &values, "takes pictograms of 16.");
}

static void black_frames_are_drawn_in_dots_and_red_ones_in_a_pdf(void **state)
{
    static struct template template;
    struct dots dots = {0};
    struct fault fault = {0};
    const struct values values = flint("500");
    load_shipped("bottle-hazard", &template);
    assert_true(label_draw(*state, &template, values.list, values.count, 203, &dots, &fault));
    const struct hazard_layout *hazard = lay(*state, &template, &values, 203);
    const struct hazard_mark *mark = &hazard->marks[0];
    for (int i = 2; i < hazard->half - 2; i++)
        assert_true(dots_get(&dots, mark->x - hazard->half + 2 + i, mark->y - i));
    dots_clear(&dots);

    size_t length;
    const int file = memory_file();
    assert_true(label_pdf_write(file, *state, &template, values.list, values.count, 203, &fault));
    uint8_t *bytes = file_bytes(file, &length);
    assert_true(length > 1000 && memcmp(bytes, "%PDF-", 5) == 0); /* its red is looked at in drawing/pictogram */
    free(bytes);
}

static void a_hazard_part_is_read_and_refused_with_its_line(void **state)
{
    static const char *const cases[][2] = {
        {"hazard at 1 1 room 50 x 72 frames black", "line 2: "},
        {"hazard at 1 1 room 50 x 72 letters 2", "frames"},
        {"hazard at 1 1 room 50 x 72 letters 2 frames red", "say 'frames black' or 'frames preprinted'"},
        {"hazard at 1 1 room 50 x 72 letters 2 frames preprinted 16", "say where the stock's diamonds stand"},
        {"hazard at 1 1 room 50 x 72 letters 2 frames preprinted 9 at 13 13", "the diamonds' side"},
        {"hazard at 1 1 room 50 x 72 letters 2 frames preprinted 16 at 5 13", "out of the hazard part's room"},
        {"hazard at 1 1 room 50 x 72 letters 2 frames black missing nothing", "see-sds"},
        {"hazard at 1 1 room 20 x 20 letters 2 frames black\nhazard at 1 30 room 20 x 20 letters 2 frames black",
         "a label has one hazard part"},
        {"hazard at 1 1 room 50 x 72 letters 2 frames preprinted 10 at 10 10 at 10 10 at 10 10 at 10 10 at 10 10 at 10 "
         "10 at 10 10",
         "over 6 diamonds"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        static struct template template;
        struct fault fault = {0};
        char text[400];
        (void)snprintf(text, sizeof text, "label 52 x 74\n%s", cases[i][0]);
        assert_false(template_read("mine", span_of(text), &template, &fault));
        if (!strstr(fault.text, cases[i][1]))
            fail_msg("'%s' is not said: %s", cases[i][1], fault.text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(prints_what_was_entered_word_for_word_and_nothing_else),
        cmocka_unit_test(a_missing_part_is_refused_or_sent_to_the_sds_as_the_shop_chose),
        cmocka_unit_test(codes_without_words_and_unknown_pictograms_are_refused),
        cmocka_unit_test(a_supply_names_its_supplier_with_address_and_telephone),
        cmocka_unit_test(a_workplace_label_is_the_same_set_without_the_supplier),
        cmocka_unit_test(workplace_label_is_said_in_the_language_of_the_entry),
        cmocka_unit_test(sizes_are_the_tables_or_more_at_every_resolution),
        cmocka_unit_test(a_label_under_the_tables_size_is_refused_with_the_tables_line),
        cmocka_unit_test(a_small_container_may_take_a_smaller_label_when_the_template_says_so),
        cmocka_unit_test(what_does_not_fit_is_refused_and_not_shrunk_under_the_table),
        cmocka_unit_test(diamonds_and_lines_keep_clear_of_each_other_inside_the_room),
        cmocka_unit_test(other_scripts_break_where_they_may_and_lose_nothing),
        cmocka_unit_test(what_was_laid_out_before_never_stands_in_for_another_label),
        cmocka_unit_test(on_preprinted_stock_only_symbols_are_printed_where_the_diamonds_are),
        cmocka_unit_test(no_red_diamond_stays_empty_and_none_is_too_small),
        cmocka_unit_test(black_frames_are_drawn_in_dots_and_red_ones_in_a_pdf),
        cmocka_unit_test(a_hazard_part_is_read_and_refused_with_its_line),
    };
    return cmocka_run_group_tests_name("drawing/hazard", tests, create_drawer, destroy_drawer);
}

#include "labels/drawing/letters.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <fontconfig/fontconfig.h>
#include <fribidi.h>

#include "drawing_help.h"
#include "labels/drawing/characters.h"

enum { CAPITALS = 28, /* dots: 3.5 mm at 203 dpi */ CHARACTERS_MAX = 200 };

static int set_up(void **state)
{
    static struct letters letters;
    struct fault fault = {0};
    *state = &letters;
    if (letters_init(&letters, &fault))
        return 0;
    print_error("%s\n", fault.text);
    return -1;
}

static int tear_down(void **state)
{
    letters_clear(*state);
    return 0;
}

/* Asks fontconfig, not Pango: does any installed font draw it in one colour? */
static bool is_in_a_font(uint32_t code)
{
    FcCharSet *wanted = FcCharSetCreate();
    FcCharSetAddChar(wanted, code);
    FcPattern *pattern = FcPatternCreate();
    FcPatternAddCharSet(pattern, FC_CHARSET, wanted);
    FcPatternAddBool(pattern, FC_COLOR, FcFalse);
    FcObjectSet *objects = FcObjectSetBuild(FC_FAMILY, (char *)NULL);
    FcFontSet *found = FcFontList(NULL, pattern, objects);
    const bool any = found && found->nfont > 0;
    FcFontSetDestroy(found);
    FcObjectSetDestroy(objects);
    FcPatternDestroy(pattern);
    FcCharSetDestroy(wanted);
    return any;
}

static void every_script_of_the_packages_is_drawn(void **state)
{
    static const struct {
        const char *script, *text;
    } cases[] = {
        {"Latin", "Ångström, Łódź, Þór, naïve"},
        {"Greek", "Ωμέγα, ήλεκτρο"},
        {"Cyrillic", "Жёлтый дуб, їжак"},
        {"Han, simplified", "树脂 琥珀 架子"},
        {"Han, traditional", "樹脂 倉庫 標籤"},
        {"Kana", "カートリッジ ひらがな"},
        {"Hangul", "수지 선반"},
        {"Hebrew", "אורן"},
        {"Arabic", "بلوط"},
        {"Units and signs", "µ ± °C × ≥ № €"},
    };
    struct letters *letters = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        for (int bold = 0; bold < 2; bold++) {
            struct letters_extent extent = {0};
            letters_set(letters, cases[i].text, CAPITALS, bold, &extent);
            if (letters_missing(letters))
                fail_msg("%s: no font has U+%04X: are fonts-noto-core and fonts-noto-cjk installed?", cases[i].script,
                         letters_missing(letters));
            assert_true(extent.right > extent.left && extent.bottom > extent.top);
        }
    }
}

static void a_character_is_missing_exactly_when_fontconfig_knows_no_font(void **state)
{
    static const uint32_t codes[] = {
        0x41,    0x3A9,  0x416,  0x5D0,   0x6A9,   0x6A1B,  0x30AB, 0xC218, 0x1F600, 0x1F4A7,
        0x1F9EA, 0x0378, 0x05FF, 0x1FAE8, 0x12000, 0x13000, 0x2603, 0x26A0, 0x1D11E, 0x2A6D6,
    };
    struct letters *letters = *state;
    int missing = 0;
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++) {
        char text[8] = "";
        struct letters_extent extent;
        g_unichar_to_utf8(codes[i], text);
        letters_set(letters, text, CAPITALS, false, &extent);
        const unsigned wanted = is_in_a_font(codes[i]) ? 0 : codes[i];
        if (letters_missing(letters) != wanted)
            fail_msg("U+%04X: said U+%04X, fontconfig says U+%04X", (unsigned)codes[i], letters_missing(letters),
                     wanted);
        missing += wanted != 0;
    }
    assert_true(missing >= 2); /* U+0378 and U+05FF are no characters in Unicode 15 */
}

static void the_missing_one_is_found_among_others(void **state)
{
    struct letters *letters = *state;
    struct letters_extent extent;
    letters_set(letters, "Oak \xCD\xB8 12", CAPITALS, false, &extent); /* U+0378 */
    assert_int_equal(letters_missing(letters), 0x378);
}

static void a_letter_and_its_mark_look_like_the_letter_that_has_it(void **state)
{
    /* The Unicode Standard 15, 3.7: canonical equivalents; the forms are those of UnicodeData.txt */
    static const struct {
        const char *apart, *whole;
    } cases[] = {{"e\xCC\x81", "\xC3\xA9"}, {"A\xCC\x8A", "\xC3\x85"}, {"\xD0\xB8\xCC\x86", "\xD0\xB9"}};
    struct letters *letters = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct letters_extent apart, whole;
        letters_set(letters, cases[i].apart, CAPITALS, false, &apart);
        assert_int_equal(letters_missing(letters), 0);
        letters_set(letters, cases[i].whole, CAPITALS, false, &whole);
        assert_memory_equal(&apart, &whole, sizeof whole);
    }
    struct letters_extent bare, marked; /* x with a circumflex has no code of its own */
    letters_set(letters, "x", CAPITALS, false, &bare);
    letters_set(letters, "x\xCC\x82", CAPITALS, false, &marked);
    assert_int_equal(letters_missing(letters), 0);
    assert_true(marked.top < bare.top);
    assert_int_equal(marked.width, bare.width);
}

static void ideographs_at_the_floor_have_sixteen_dots(void **state)
{
    /* 16 x 16 dots draw a Han character (JIS X 9051, from memory). 1.5 mm at 203 dpi are 12 dots of capital. */
    struct letters *letters = *state;
    struct letters_extent extent;
    letters_set(letters, "\xE6\xA8\xB9", 12, false, &extent);
    assert_true(extent.width >= 16);
}

/* The characters as they stand from left to right, those that show; by the glyphs' places. */
static void read_visually(const struct letters *letters, char *visual, size_t size)
{
    const char *text = pango_layout_get_text(letters->set);
    struct builder out;
    builder_init(&out, visual, size);
    const PangoLayoutLine *line = pango_layout_get_line_readonly(letters->set, 0);
    for (const GSList *at = line->runs; at; at = at->next) {
        const PangoGlyphItem *run = at->data;
        for (int i = 0; i < run->glyphs->num_glyphs; i++) {
            const char *character = text + run->item->offset + run->glyphs->log_clusters[i];
            uint32_t code;
            const char *end = character_next(character, &code);
            if (!character_trouble(code)) /* isolates do not show */
                builder_add_span(&out, (struct span){character, (size_t)(end - character)});
            else
                assert_int_equal(run->glyphs->glyphs[i].geometry.width, 0);
        }
    }
    assert_false(out.cut);
}

/* The same by GNU FriBidi's whole algorithm on a line that runs from left to right. */
static void order_by_fribidi(const char *text, char *visual, size_t size)
{
    FriBidiChar logical[CHARACTERS_MAX];
    FriBidiStrIndex places[CHARACTERS_MAX];
    const FriBidiStrIndex length =
        fribidi_charset_to_unicode(FRIBIDI_CHAR_SET_UTF8, text, (FriBidiStrIndex)strlen(text), logical);
    FriBidiParType base = FRIBIDI_PAR_LTR;
    assert_true(length < CHARACTERS_MAX);
    assert_true(fribidi_log2vis(logical, length, &base, NULL, NULL, places, NULL));
    struct builder out;
    builder_init(&out, visual, size);
    for (FriBidiStrIndex i = 0; i < length; i++) {
        char character[8] = "";
        if (character_trouble(logical[places[i]]))
            continue;
        g_unichar_to_utf8(logical[places[i]], character);
        builder_add(&out, character);
    }
    assert_false(out.cut);
}

static void letters_from_right_to_left_keep_to_their_field(void **state)
{
    /* What is expected here was written down by UAX #9: a value by its own first letter, the rest as the template says.
     * "אורן" is alef vav resh final-nun, drawn from the right. */
    static const struct {
        const char *pattern, *first, *second, *visual;
    } cases[] = {
        {"lot {lot}, {note}", "L24117", "אורן 12-34", "lot L24117, 12-34 ןרוא"},
        {"{lot} {note}", "אורן", "12", "ןרוא 12"}, /* without isolates: 12 ןרוא */
        {"{lot} {note}", "אורן", "בלוט", "ןרוא טולב"},
        {"{lot}, {note}", "A03-12 אורן", "7", "A03-12 ןרוא, 7"},
        {"אצווה {lot}", "L24117", "", "L24117 הווצא"},
        {"אצווה {lot}: {note}", "L24117", "Oak 2", "Oak 2 :L24117 הווצא"},
        {"{note} {lot}", "L-7", "دبد 12", "12 دبد L-7"},
    };
    struct letters *letters = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct label_values values = {{[LABEL_FIELD_LOT] = cases[i].first, [LABEL_FIELD_NOTE] = cases[i].second}};
        char text[LABEL_FIELD_TEXT_SIZE], drawn[LABEL_FIELD_TEXT_SIZE], peer[LABEL_FIELD_TEXT_SIZE];
        struct letters_extent extent;
        assert_true(label_field_fill_line(cases[i].pattern, &values, text, NULL));
        letters_set(letters, text, CAPITALS, false, &extent);
        assert_int_equal(letters_missing(letters), 0);
        read_visually(letters, drawn, sizeof drawn);
        order_by_fribidi(text, peer, sizeof peer);
        assert_string_equal(drawn, peer);
        assert_string_equal(drawn, cases[i].visual);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_script_of_the_packages_is_drawn),
        cmocka_unit_test(a_character_is_missing_exactly_when_fontconfig_knows_no_font),
        cmocka_unit_test(the_missing_one_is_found_among_others),
        cmocka_unit_test(a_letter_and_its_mark_look_like_the_letter_that_has_it),
        cmocka_unit_test(ideographs_at_the_floor_have_sixteen_dots),
        cmocka_unit_test(letters_from_right_to_left_keep_to_their_field),
    };
    return cmocka_run_group_tests_name("drawing/letters", tests, set_up, tear_down);
}

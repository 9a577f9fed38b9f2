#include "labels/drawing/template_check.h"

#include <stddef.h>

#include "labels/basics/text.h"
#include "labels/content/scan.h"
#include "labels/drawing/characters.h"

enum { STRIPS = 4 };

bool template_check_bytes(const struct words *words, struct fault *fault)
{
    if (!text_is_utf8(words->rest))
        return words_fault(words, fault, "the line is not UTF-8 text: save the file as UTF-8");
    const char *at = words->rest.at, *end = at + words->rest.length;
    for (size_t place = 1; at < end; place++) {
        uint32_t code;
        at = character_next(at, &code);
        if (code == '\t' || (code == '\r' && at == end))
            continue;
        if (code < ' ' || code == 0x7F)
            return words_fault(words, fault, "byte 0x%02X at place %zu is a control character: remove it",
                               (unsigned)code, place);
        const char *trouble = character_trouble(code);
        if (trouble)
            return words_fault(words, fault, "there is %s (U+%04X) at place %zu: remove it", trouble, (unsigned)code,
                               place);
    }
    return true;
}

/* What an element may blacken, or must have to itself: one rectangle, or the four sides of a frame. */
static size_t strips_of(const struct template_element *element, struct template_box strips[STRIPS])
{
    const struct template_box box = element->box;
    const int thick = element->thick_um;
    strips[0] = box;
    if (element->kind != TEMPLATE_FRAME)
        return 1;
    strips[0] = (struct template_box){box.x, box.y, box.width, thick};
    strips[1] = (struct template_box){box.x, box.y + box.height - thick, box.width, thick};
    strips[2] = (struct template_box){box.x, box.y, thick, box.height};
    strips[3] = (struct template_box){box.x + box.width - thick, box.y, thick, box.height};
    return STRIPS;
}

static bool boxes_overlap(struct template_box a, struct template_box b)
{
    return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

static bool elements_overlap(const struct template_element *a, const struct template_element *b)
{
    struct template_box of_a[STRIPS], of_b[STRIPS];
    const size_t count_a = strips_of(a, of_a), count_b = strips_of(b, of_b);
    for (size_t i = 0; i < count_a; i++)
        for (size_t j = 0; j < count_b; j++)
            if (boxes_overlap(of_a[i], of_b[j]))
                return true;
    return false;
}

/* False when one asks for a field that the other asks to be absent. */
static bool can_meet(const struct template_element *a, const struct template_element *b)
{
    for (size_t i = 0; i < a->condition_count; i++)
        for (size_t j = 0; j < b->condition_count; j++)
            if (a->conditions[i].field == b->conditions[j].field && a->conditions[i].absent != b->conditions[j].absent)
                return false;
    return true;
}

static bool is_rule(const struct template_element *element)
{
    return element->kind == TEMPLATE_LINE_ELEMENT || element->kind == TEMPLATE_FRAME;
}

static bool check_inside(const struct template *template, const struct template_element *element,
                         const struct words *words, struct fault *fault)
{
    const int margin = template->margin_um;
    const int right = template->width_um - margin, bottom = template->height_um - margin;
    const struct template_box *box = &element->box;
    if (box->x >= margin && box->y >= margin && box->x + box->width <= right && box->y + box->height <= bottom)
        return true;
    return words_fault(words, fault, "the room from %g %g to %g %g leaves the label less its margin, %g %g to %g %g mm",
                       box->x / 1000.0, box->y / 1000.0, (box->x + box->width) / 1000.0,
                       (box->y + box->height) / 1000.0, margin / 1000.0, margin / 1000.0, right / 1000.0,
                       bottom / 1000.0);
}

bool template_check_diamonds(const struct template_element *element, const struct words *words, struct fault *fault)
{
    const struct template_box *room = &element->box;
    const struct hazard_element *hazard = &element->hazard;
    const int half = hazard_diamond_half(hazard->side_um);
    for (size_t i = 0; i < hazard->diamond_count; i++) {
        const struct hazard_diamond *diamond = &hazard->diamonds[i];
        if (diamond->x - half < room->x || diamond->x + half > room->x + room->width || diamond->y - half < room->y ||
            diamond->y + half > room->y + room->height)
            return words_fault(words, fault,
                               "the diamond at %g %g reaches %g mm each way, out of the hazard part's room",
                               diamond->x / 1000.0, diamond->y / 1000.0, half / 1000.0);
    }
    return true;
}

static bool check_symbols(const struct template *template, const struct words *words, struct fault *fault)
{
    size_t symbols = 0;
    for (size_t i = 0; i < template->element_count; i++)
        symbols += template->elements[i].kind == TEMPLATE_SYMBOL;
    return symbols <= TEMPLATE_SYMBOLS || words_fault(words, fault, "a label has over %d symbols", TEMPLATE_SYMBOLS);
}

/* A room too low for its smallest letters, or too small for the smallest symbol, would refuse every label. */
static bool check_room(const struct template_element *element, const struct words *words, struct fault *fault)
{
    const struct template_box *box = &element->box;
    const int side = box->width < box->height ? box->width : box->height;
    if (element->kind == TEMPLATE_TEXT && box->height < element->letters_least_um)
        return words_fault(words, fault, "the room is %g mm high, lower than the smallest letters, %g mm",
                           box->height / 1000.0, element->letters_least_um / 1000.0);
    const int least = TEMPLATE_MODULES_MIN * element->module_least_um;
    if (element->kind == TEMPLATE_SYMBOL && side < least)
        return words_fault(words, fault,
                           "the room of %g x %g mm holds no symbol: %d modules, quiet zone included, of %g mm need %g",
                           box->width / 1000.0, box->height / 1000.0, TEMPLATE_MODULES_MIN,
                           element->module_least_um / 1000.0, least / 1000.0);
    return true;
}

/* The word of a card that stands in the template must be one; a word from a field is seen to when it comes. */
static bool check_card(const struct template_element *element, const struct words *words, struct fault *fault)
{
    static const struct label_values nothing;
    char word[LABEL_FIELD_TEXT_SIZE], text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    struct fault reason = {0};
    if (element->kind != TEMPLATE_SYMBOL || element->symbol != SYMBOL_CARD ||
        !label_field_fill(element->value, &nothing, word, NULL))
        return true;
    return card_label_write(word, text, &length, &reason) || words_fault(words, fault, "%s", reason.text);
}

static const char *kind_name(const struct template_element *element)
{
    static const char *const names[] = {[TEMPLATE_SYMBOL] = "symbol",
                                        [TEMPLATE_TEXT] = "text",
                                        [TEMPLATE_LINE_ELEMENT] = "line",
                                        [TEMPLATE_FRAME] = "frame",
                                        [TEMPLATE_HAZARD] = "hazard part"};
    _Static_assert(sizeof names / sizeof *names == TEMPLATE_KINDS, "one name a kind");
    return names[element->kind];
}

bool template_check_element(const struct template *template, const struct words *words, struct fault *fault)
{
    const struct template_element *newest = &template->elements[template->element_count - 1];
    if (!check_inside(template, newest, words, fault) || !check_symbols(template, words, fault) ||
        !check_room(newest, words, fault) || !check_card(newest, words, fault))
        return false;
    for (size_t i = 0; i + 1 < template->element_count; i++) {
        const struct template_element *other = &template->elements[i];
        if (is_rule(newest) && is_rule(other)) /* lines may cross */
            continue;
        if (can_meet(newest, other) && elements_overlap(newest, other))
            return words_fault(words, fault, "the %s overlaps the %s of line %d: move it or make it smaller",
                               kind_name(newest), kind_name(other), other->line);
    }
    return true;
}

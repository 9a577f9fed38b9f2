#include "labels/drawing/reach.h"

#include <stddef.h>

/* A tag beside the unit's own label, and a badge whose name is what counts, have no symbol of a unit. */
static bool is_units_symbol(const struct template_element *element)
{
    return element->kind == TEMPLATE_SYMBOL && (element->symbol == SYMBOL_UNIT || element->symbol == SYMBOL_SERIAL);
}

static bool has_units_symbol(const struct layout *layout)
{
    for (size_t i = 0; i < layout->piece_count; i++)
        if (is_units_symbol(layout->pieces[i].element))
            return true;
    return false;
}

static bool shows_serial(const struct layout_piece *piece)
{
    unsigned uses = 0;
    return piece->element->kind == TEMPLATE_TEXT && label_field_check_pattern(piece->element->value, &uses, NULL) &&
           uses >> LABEL_FIELD_SERIAL & 1;
}

bool reach_check(const struct layout *layout, struct fault *note)
{
    if (!has_units_symbol(layout))
        return true;
    for (size_t i = 0; i < layout->piece_count; i++) {
        const struct layout_piece *piece = &layout->pieces[i];
        if (!shows_serial(piece) || piece->letters >= pitch_dots(&layout->pitch, PITCH_DOWN, REACH_LETTERS_UM))
            continue;
        const double letters = pitch_mm(&layout->pitch, PITCH_DOWN, piece->letters);
        return fault_set(note, FAULT_INPUT,
                         "line %d of the template: the serial is %.1f mm high and readable from %.0f cm; at arm's "
                         "length, %d cm, it wants %.1f mm: give it more room",
                         piece->element->line, letters, letters * REACH_ARM_UM / REACH_LETTERS_UM / 10,
                         REACH_ARM_UM / 10000, REACH_LETTERS_UM / 1000.0);
    }
    return true;
}

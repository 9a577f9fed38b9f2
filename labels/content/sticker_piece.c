#include "labels/content/sticker_piece.h"

#include <string.h>

#include "labels/content/scan.h"

enum { QUANTITY_MOST = 8, OTHER_MOST = 40 };

size_t sticker_part_most(enum sticker_part part)
{
    switch (part) {
    case STICKER_ITEM:
        return SUPPLIER_CODE_SIZE - 1;
    case STICKER_LOT:
        return SUPPLIER_LOT_SIZE - 1;
    case STICKER_QUANTITY:
        return QUANTITY_MOST;
    case STICKER_OTHER:
        return OTHER_MOST;
    default:
        return 0;
    }
}

bool sticker_part_is_date(enum sticker_part part)
{
    return part == STICKER_EXPIRES || part == STICKER_MADE;
}

const char *sticker_part_noun(enum sticker_part part)
{
    static const char *const nouns[] = {"the text",           "the item",     "the lot",       "the expiry date",
                                        "the date of making", "the quantity", "the other part"};
    _Static_assert(sizeof nouns / sizeof *nouns == STICKER_PARTS, "one noun a part");
    return nouns[part];
}

void sticker_piece_allow(struct sticker_piece *piece, char c)
{
    const unsigned value = (unsigned char)c & 0x7F;
    piece->allowed[value / 8] |= (unsigned char)(1U << value % 8);
}

bool sticker_piece_allows(const struct sticker_piece *piece, char c)
{
    const unsigned value = (unsigned char)c;
    return value < 0x80 && (piece->allowed[value / 8] >> value % 8 & 1) != 0;
}

struct span sticker_piece_bytes(const struct sticker_pattern *pattern, const struct sticker_piece *piece)
{
    return (struct span){pattern->bytes + piece->start, piece->length};
}

static bool is_field(char c)
{
    return c == 'd' || c == 'm' || c == 'y';
}

static size_t run_length(struct span layout, size_t at)
{
    size_t length = 1;
    while (at + length < layout.length && layout.at[at + length] == layout.at[at])
        length++;
    return length;
}

/* A day or month of a single letter has one digit or two. */
static bool is_single(struct span layout, size_t at)
{
    return layout.at[at] != 'y' && is_field(layout.at[at]) && run_length(layout, at) == 1 &&
           (at == 0 || layout.at[at - 1] != layout.at[at]);
}

bool sticker_piece_is_open(const struct sticker_pattern *pattern, const struct sticker_piece *piece)
{
    if (!sticker_part_is_date(piece->part))
        return piece->part != STICKER_TEXT && piece->least != piece->most;
    const struct span layout = sticker_piece_bytes(pattern, piece);
    for (size_t i = 0; i < layout.length; i++)
        if (is_single(layout, i))
            return true;
    return false;
}

static bool layout_order_known(const char order[4])
{
    return strcmp(order, "ymd") == 0 || strcmp(order, "dmy") == 0 || strcmp(order, "mdy") == 0;
}

/* One run each of y (2 or 4), m and d (1 or 2), in an order that people write; signs or blanks between. */
static bool layout_fits(struct span layout, struct fault *fault)
{
    char order[4] = "", shown[40];
    size_t runs = 0, longest = 0;
    bool fits = layout.length > 0 && layout.length <= STICKER_LAYOUT_MAX;
    text_show(layout, shown, sizeof shown);
    for (size_t i = 0; fits && i < layout.length; i += longest) {
        const char c = layout.at[i];
        const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        longest = run_length(layout, i);
        fits = is_field(c) ? runs < 3 && (c == 'y' ? longest == 2 || longest == 4 : longest <= 2)
                           : !letter && c >= 0x20 && c <= 0x7E;
        if (fits && is_field(c))
            order[runs++] = c;
    }
    if (!fits || !layout_order_known(order))
        return fault_set(
            fault, FAULT_INPUT,
            "'%s' is no layout of a date: write yy or yyyy, m or mm, d or dd in the order ymd, dmy or mdy, "
            "with signs or blanks between, such as \"dd.mm.yyyy\"",
            shown);
    for (size_t i = 0; i < layout.length; i++)
        if (is_single(layout, i) &&
            ((i > 0 && is_field(layout.at[i - 1])) || (i + 1 < layout.length && is_field(layout.at[i + 1]))))
            return fault_set(fault, FAULT_INPUT,
                             "in '%s' nothing tells where the single '%c' begins or ends, for it stands for one digit "
                             "or two: write '%c%c', or a sign beside it",
                             shown, layout.at[i], layout.at[i], layout.at[i]);
    return true;
}

static bool quantity_fits(const struct sticker_piece *piece, struct fault *fault)
{
    for (int c = 0; c < 0x80; c++)
        if (sticker_piece_allows(piece, (char)c) && (c < '0' || c > '9'))
            return fault_set(fault, FAULT_INPUT, "a quantity takes digits only: leave the rest to a text or 'other'");
    return true;
}

static bool allows_some(const struct sticker_piece *piece)
{
    for (size_t i = 0; i < sizeof piece->allowed; i++)
        if (piece->allowed[i] != 0)
            return true;
    return false;
}

static bool characters_fit(const struct sticker_piece *piece, struct fault *fault)
{
    const size_t most = sticker_part_most(piece->part);
    if (piece->least < 1 || piece->most < piece->least || piece->most > most)
        return fault_set(fault, FAULT_INPUT, "%s has %zu to %zu characters: use 1 to %zu",
                         sticker_part_noun(piece->part), piece->least, piece->most, most);
    if (!allows_some(piece))
        return fault_set(fault, FAULT_INPUT, "%s takes no character at all: say which", sticker_part_noun(piece->part));
    return piece->part != STICKER_QUANTITY || quantity_fits(piece, fault);
}

/* The rules between a piece and those before it. */
static bool company_fits(const struct sticker_pattern *pattern, const struct sticker_piece *piece, struct fault *fault)
{
    for (size_t i = 0; i < pattern->count && piece->part != STICKER_TEXT && piece->part != STICKER_OTHER; i++)
        if (pattern->pieces[i].part == piece->part)
            return fault_set(fault, FAULT_INPUT, "%s is there twice: name the second 'other'",
                             sticker_part_noun(piece->part));
    const struct sticker_piece *const before = pattern->count > 0 ? &pattern->pieces[pattern->count - 1] : NULL;
    if (before && sticker_piece_is_open(pattern, before) && sticker_piece_is_open(pattern, piece))
        return fault_set(fault, FAULT_INPUT,
                         "nothing stands between %s and %s, and both may have any length, so nothing tells where the "
                         "one ends: give one of them a fixed length",
                         sticker_part_noun(before->part), sticker_part_noun(piece->part));
    return true;
}

bool sticker_pattern_append(struct sticker_pattern *pattern, const struct sticker_piece *piece, struct span bytes,
                            struct fault *fault)
{
    struct sticker_piece added = *piece;
    const bool has_bytes = piece->part == STICKER_TEXT || sticker_part_is_date(piece->part);
    const bool continues =
        piece->part == STICKER_TEXT && pattern->count > 0 && pattern->pieces[pattern->count - 1].part == STICKER_TEXT;
    if (has_bytes && bytes.length > sizeof pattern->bytes - pattern->byte_count)
        return fault_set(fault, FAULT_INPUT, "the fixed texts are longer than %d bytes: it is too long for a sticker",
                         STICKER_BYTES);
    if (!continues && pattern->count == STICKER_PIECES)
        return fault_set(fault, FAULT_INPUT, "more than %d pieces: it is too long for a sticker", STICKER_PIECES);
    if (piece->part == STICKER_TEXT && bytes.length == 0)
        return fault_set(fault, FAULT_INPUT, "the text is empty: write what stands there, or leave the line out");
    if (sticker_part_is_date(piece->part) ? !layout_fits(bytes, fault)
                                          : piece->part != STICKER_TEXT && !characters_fit(piece, fault))
        return false;
    added.start = pattern->byte_count;
    added.length = has_bytes ? bytes.length : 0;
    if (has_bytes) /* behind the end until the piece is known to fit its neighbours, which look at its layout */
        memcpy(pattern->bytes + pattern->byte_count, bytes.at, bytes.length);
    if (!company_fits(pattern, &added, fault))
        return false;
    pattern->byte_count += added.length;
    if (continues)
        pattern->pieces[pattern->count - 1].length += added.length;
    else
        pattern->pieces[pattern->count++] = added;
    return true;
}

bool sticker_pattern_is_whole(const struct sticker_pattern *pattern, struct fault *fault)
{
    bool fixed = false, kept = false;
    for (size_t i = 0; i < pattern->count; i++) {
        fixed = fixed || pattern->pieces[i].part == STICKER_TEXT;
        kept = kept || (pattern->pieces[i].part != STICKER_TEXT && pattern->pieces[i].part != STICKER_OTHER);
    }
    if (!kept)
        return fault_set(fault, FAULT_INPUT,
                         "the pattern keeps nothing: point at an item, a lot, a date or a quantity");
    return fixed || fault_set(fault, FAULT_INPUT,
                              "the pattern has no fixed text, so it would take stickers of others too: leave out of "
                              "the parts what is the same on every sticker");
}

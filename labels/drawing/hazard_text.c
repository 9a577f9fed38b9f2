#include "labels/drawing/hazard_text.h"

#include <string.h>

enum { NO_SPACES_FROM = 0x2E80 }; /* Unicode: from here on scripts of East Asia, which break between characters */

static size_t character_length(unsigned char first)
{
    return first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
}

static bool breaks_anywhere(struct span text)
{
    return text.length >= 3 && g_utf8_get_char(text.at) >= NO_SPACES_FROM;
}

/* The next word at the beginning of `text`: up to a space, or one character of a script without spaces. */
static size_t token_length(struct span text)
{
    if (breaks_anywhere(text))
        return character_length((unsigned char)text.at[0]);
    size_t length = 0;
    while (length < text.length && text.at[length] != ' ' &&
           !breaks_anywhere((struct span){text.at + length, text.length - length}))
        length += character_length((unsigned char)text.at[length]);
    return length;
}

static void set(struct letters *letters, struct span text, int height, bool bold, struct letters_extent *extent)
{
    char words[HAZARD_TEXT_SIZE];
    (void)span_copy(text, words, sizeof words); /* a part of a text of that size */
    letters_set(letters, words, height, bold, extent);
}

void hazard_text_letters(struct letters *letters, const struct hazard_line *line, int height,
                         struct letters_extent *extent)
{
    set(letters, line->text, height, line->bold, extent);
}

static bool cut_paragraph(const struct hazard_parts *parts, size_t paragraph, struct hazard_tokens *tokens)
{
    struct span rest = parts->paragraphs[paragraph].text;
    bool joined = false;
    while (rest.length > 0) {
        const size_t length = rest.at[0] == ' ' ? 1 : token_length(rest);
        if (rest.at[0] != ' ') {
            if (tokens->count == HAZARD_TOKENS)
                return false;
            tokens->list[tokens->count++] =
                (struct hazard_token){.text = {rest.at, length}, .paragraph = paragraph, .joined = joined};
        }
        joined = rest.at[0] != ' ';
        rest = (struct span){rest.at + length, rest.length - length};
    }
    return true;
}

static bool check_glyphs(struct letters *letters, const struct hazard_paragraph *paragraph, struct fault *fault)
{
    struct letters_extent extent;
    set(letters, paragraph->text, 20, paragraph->bold, &extent);
    const unsigned missing = letters_missing(letters);
    return !missing ||
           fault_set(fault, FAULT_INPUT,
                     "field '%s' has the character U+%04X, which no installed font can draw: write it "
                     "differently",
                     paragraph->field < LABEL_FIELD_IDS ? label_field_name(paragraph->field) : "hazard", missing);
}

bool hazard_text_cut(struct letters *letters, const struct hazard_parts *parts, struct hazard_tokens *tokens,
                     struct fault *fault)
{
    tokens->count = 0;
    for (size_t i = 0; i < parts->paragraph_count; i++) {
        if (!check_glyphs(letters, &parts->paragraphs[i], fault))
            return false;
        if (!cut_paragraph(parts, i, tokens))
            return fault_set(fault, FAULT_INPUT, "the hazard text has over %d words: shorten it", HAZARD_TOKENS);
    }
    return true;
}

void hazard_text_measure(struct letters *letters, const struct hazard_parts *parts, int height,
                         struct hazard_tokens *tokens)
{
    struct letters_extent extent;
    tokens->height = height;
    for (int bold = 0; bold < 2; bold++) {
        letters_set(letters, " ", height, bold, &extent);
        tokens->space[bold] = extent.width;
    }
    for (size_t i = 0; i < tokens->count; i++) {
        struct hazard_token *token = &tokens->list[i];
        set(letters, token->text, height, parts->paragraphs[token->paragraph].bold, &extent);
        token->width = extent.width;
    }
}

/* One line's ink in the column, its baseline `pitch` under the one before; the first as high as it can stand. */
static bool place_line(struct letters *letters, const struct layout_box *column, struct hazard_layout *layout,
                       struct hazard_line line)
{
    struct letters_extent extent;
    if (layout->line_count == HAZARD_LINES)
        return false;
    hazard_text_letters(letters, &line, layout->letters, &extent);
    const int left = extent.left < 0 ? extent.left : 0;
    line.x = column->x - left;
    line.baseline = layout->line_count > 0 ? layout->lines[layout->line_count - 1].baseline + layout->pitch
                                           : column->y - extent.top;
    line.ink = (struct layout_box){line.x + extent.left, line.baseline + extent.top, extent.right - extent.left,
                                   extent.bottom - extent.top};
    if (line.ink.x + line.ink.width > column->x + column->width ||
        line.ink.y + line.ink.height > column->y + column->height)
        return false;
    layout->lines[layout->line_count++] = line;
    return true;
}

/* Where the line that begins with token `first` ends; its text. By the widths of the tokens, without setting it. */
static size_t break_line(const struct hazard_parts *parts, const struct hazard_tokens *tokens, size_t first, int room,
                         struct hazard_line *line)
{
    const struct hazard_token *start = &tokens->list[first];
    const bool bold = parts->paragraphs[start->paragraph].bold;
    int width = start->width;
    const char *end = start->text.at + start->text.length;
    size_t i = first + 1;
    for (; i < tokens->count && tokens->list[i].paragraph == start->paragraph; i++) {
        const struct hazard_token *next = &tokens->list[i];
        width += next->width + (next->joined ? 0 : tokens->space[bold]);
        if (width > room)
            break;
        end = next->text.at + next->text.length;
    }
    *line = (struct hazard_line){.text = {start->text.at, (size_t)(end - start->text.at)}, .bold = bold};
    return i;
}

/* So many lines that no ink of the first and the last could make them fit: seen without setting any. */
static bool is_too_long(const struct hazard_parts *parts, const struct hazard_tokens *tokens,
                        const struct layout_box *column, int pitch)
{
    struct hazard_line line;
    int lines = 0;
    for (size_t i = 0; i < tokens->count; lines++)
        i = break_line(parts, tokens, i, column->width, &line);
    return (lines - 2) * pitch > column->height;
}

bool hazard_text_set(struct letters *letters, const struct hazard_parts *parts, const struct hazard_tokens *tokens,
                     const struct layout_box *column, struct hazard_layout *layout)
{
    struct hazard_line line;
    layout->line_count = 0;
    if (is_too_long(parts, tokens, column, layout->pitch))
        return false;
    for (size_t i = 0; i < tokens->count;) {
        i = break_line(parts, tokens, i, column->width, &line);
        if (!place_line(letters, column, layout, line))
            return false;
    }
    return true;
}

#include "labels/content/sticker_pattern.h"

#include <assert.h>
#include <string.h>

#include "labels/content/sticker_piece.h"

enum { WORD_SIZE = 32 };

static const char *const words[] = {"text", "item", "lot", "expires", "made", "quantity", "other"};
_Static_assert(sizeof words / sizeof *words == STICKER_PARTS, "one word a part");

/* Ranges of characters that a pattern names by their first one. */
static const struct {
    unsigned char name, first, last;
} classes[] = {{'9', '0', '9'}, {'A', 'A', 'Z'}, {'a', 'a', 'z'}};

const char *sticker_part_word(enum sticker_part part)
{
    return part < STICKER_PARTS ? words[part] : "other";
}

struct line {
    struct span text;
    size_t at;     /* next byte */
    size_t number; /* from 1 */
};

static void skip_blanks(struct line *line)
{
    while (line->at < line->text.length && line->text.at[line->at] == ' ')
        line->at++;
}

static bool is_at_end(struct line *line)
{
    skip_blanks(line);
    return line->at == line->text.length;
}

/* `what` belongs where the line stands now. */
static bool expected(const struct line *line, const char *what, struct fault *fault)
{
    char shown[WORD_SIZE];
    const struct span rest = {line->text.at + line->at, line->text.length - line->at};
    if (rest.length == 0)
        return fault_set(fault, FAULT_INPUT, "line %zu, place %zu: the line ends where %s belongs", line->number,
                         line->at + 1, what);
    return fault_set(fault, FAULT_INPUT, "line %zu, place %zu: '%s' stands where %s belongs", line->number,
                     line->at + 1, text_show(rest, shown, sizeof shown), what);
}

/* The bytes up to the next blank; nothing is moved past. */
static struct span peek_word(struct line *line)
{
    skip_blanks(line);
    size_t length = 0;
    while (line->at + length < line->text.length && line->text.at[line->at + length] != ' ')
        length++;
    return (struct span){line->text.at + line->at, length};
}

static bool take_word(struct line *line, const char *word)
{
    const bool is = span_equals(peek_word(line), word);
    line->at += is ? strlen(word) : 0;
    return is;
}

static bool take_number(struct line *line, size_t *value, struct fault *fault)
{
    int64_t number;
    const struct span word = peek_word(line);
    if (word.length > 4 || !span_read_count(word, &number))
        return expected(line, "a number of characters", fault);
    line->at += word.length;
    *value = (size_t)number;
    return true;
}

/* What follows a '\' in quotes: '\', '"' or xHH. */
static bool take_escape(struct line *line, char *c, struct fault *fault)
{
    const struct span rest = {line->text.at + line->at, line->text.length - line->at};
    uint8_t byte;
    size_t length;
    if (span_starts(rest, "\\") || span_starts(rest, "\"")) {
        *c = rest.at[0];
        line->at++;
        return true;
    }
    if (rest.length < 3 || rest.at[0] != 'x' || !text_read_hex((struct span){rest.at + 1, 2}, &byte, 1, &length))
        return expected(line, "one of \\\\, \\\" and \\x with two hexadecimal digits", fault);
    *c = (char)byte;
    line->at += 3;
    return true;
}

/* A text in quotes into `buffer`. */
static bool take_quoted(struct line *line, const char *what, struct builder *buffer, struct fault *fault)
{
    skip_blanks(line);
    if (line->at == line->text.length || line->text.at[line->at] != '"')
        return expected(line, what, fault);
    line->at++;
    while (line->at < line->text.length && line->text.at[line->at] != '"') {
        char c = line->text.at[line->at];
        if ((c >= 0 && c < 0x20) || c == 0x7F)
            return expected(line, "a character that can be seen, or \\x with two hexadecimal digits,", fault);
        line->at++;
        if (c == '\\' && !take_escape(line, &c, fault))
            return false;
        builder_add_char(buffer, c);
    }
    if (line->at == line->text.length)
        return expected(line, "the closing '\"'", fault);
    line->at++;
    return !buffer->cut ||
           fault_set(fault, FAULT_INPUT, "line %zu: the text is longer than %d bytes", line->number, STICKER_BYTES);
}

static bool take_class(struct line *line, struct sticker_piece *piece)
{
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (take_word(line, (const char[]){(char)classes[i].name, '\0'})) {
            for (int c = classes[i].first; c <= classes[i].last; c++)
                sticker_piece_allow(piece, (char)c);
            return true;
        }
    return false;
}

static bool take_signs(struct line *line, struct sticker_piece *piece, struct fault *fault)
{
    char buffer[STICKER_BYTES + 1];
    struct builder signs;
    builder_init(&signs, buffer, sizeof buffer);
    if (!take_quoted(line, "9, A, a or signs in quotes", &signs, fault))
        return false;
    for (size_t i = 0; i < signs.length; i++) {
        if (buffer[i] < 0x20 || buffer[i] > 0x7E)
            return fault_set(fault, FAULT_INPUT, "line %zu: %s takes printable characters of ASCII only", line->number,
                             sticker_part_noun(piece->part));
        sticker_piece_allow(piece, buffer[i]);
    }
    return true;
}

/* "1 to 20 of 9 A "-/"" */
static bool take_characters(struct line *line, struct sticker_piece *piece, struct fault *fault)
{
    if (!take_number(line, &piece->least, fault))
        return false;
    piece->most = piece->least;
    if (take_word(line, "to") && !take_number(line, &piece->most, fault))
        return false;
    if (!take_word(line, "of"))
        return expected(line, "'of' and the characters", fault);
    do {
        if (!take_class(line, piece) && !take_signs(line, piece, fault))
            return false;
    } while (!is_at_end(line));
    return true;
}

static enum sticker_part take_part(struct line *line)
{
    int part = 0;
    while (part < STICKER_PARTS && !take_word(line, words[part]))
        part++;
    return (enum sticker_part)part;
}

static bool line_read(struct line *line, struct sticker_pattern *pattern, struct fault *fault)
{
    char buffer[STICKER_BYTES + 1];
    struct builder bytes;
    struct fault why = {FAULT_NONE, ""};
    builder_init(&bytes, buffer, sizeof buffer);
    if (is_at_end(line) || line->text.at[line->at] == '#')
        return true;
    struct sticker_piece piece = {.part = take_part(line)};
    if (piece.part == STICKER_PARTS)
        return expected(line, "text, item, lot, expires, made, quantity or other", fault);
    if (sticker_part_most(piece.part) > 0
            ? !take_characters(line, &piece, fault)
            : !take_quoted(line, piece.part == STICKER_TEXT ? "the text in quotes" : "the date's layout in quotes",
                           &bytes, fault))
        return false;
    if (!is_at_end(line))
        return expected(line, "the line's end", fault);
    return sticker_pattern_append(pattern, &piece, (struct span){buffer, bytes.length}, &why) ||
           fault_set(fault, FAULT_INPUT, "line %zu: %s", line->number, why.text);
}

bool sticker_pattern_read(struct span text, struct sticker_pattern *out, struct fault *fault)
{
    struct sticker_pattern pattern = {0};
    size_t start = 0;
    if (text.length >= STICKER_PATTERN_SIZE)
        return fault_set(fault, FAULT_INPUT, "the pattern has %zu bytes, at most %d are taken", text.length,
                         STICKER_PATTERN_SIZE - 1);
    if (!text_is_utf8(text))
        return fault_set(fault, FAULT_INPUT, "the pattern is no text in UTF-8: save it as UTF-8");
    for (size_t number = 1; start < text.length; number++) {
        const char *const end = memchr(text.at + start, '\n', text.length - start);
        const size_t length = end ? (size_t)(end - text.at) - start : text.length - start;
        const bool has_return = length > 0 && text.at[start + length - 1] == '\r';
        struct line line = {{text.at + start, length - has_return}, 0, number};
        if (!line_read(&line, &pattern, fault))
            return false;
        start += length + (end ? 1 : 0);
    }
    if (!sticker_pattern_is_whole(&pattern, fault))
        return false;
    *out = pattern;
    return true;
}

static void add_quoted(struct builder *out, struct span bytes)
{
    const bool readable = text_is_utf8(bytes);
    builder_add_char(out, '"');
    for (size_t i = 0; i < bytes.length; i++) {
        const unsigned char c = (unsigned char)bytes.at[i];
        if (c < 0x20 || c == 0x7F || (c >= 0x80 && !readable))
            builder_addf(out, "\\x%02X", c);
        else
            builder_addf(out, c == '"' || c == '\\' ? "\\%c" : "%c", c);
    }
    builder_add_char(out, '"');
}

static bool allows_all(const struct sticker_piece *piece, unsigned char first, unsigned char last)
{
    for (int c = first; c <= last; c++)
        if (!sticker_piece_allows(piece, (char)c))
            return false;
    return true;
}

/* Whole classes by their names, what is left one by one. */
static void add_characters(struct builder *out, struct sticker_piece piece)
{
    char signs[0x80];
    size_t count = 0;
    builder_add(out, " of");
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (allows_all(&piece, classes[i].first, classes[i].last)) {
            builder_addf(out, " %c", classes[i].name);
            for (int c = classes[i].first; c <= classes[i].last; c++)
                piece.allowed[c / 8] &= (unsigned char)~(1U << c % 8);
        }
    for (int c = 0; c < 0x80; c++)
        if (sticker_piece_allows(&piece, (char)c))
            signs[count++] = (char)c;
    if (count > 0) {
        builder_add_char(out, ' ');
        add_quoted(out, (struct span){signs, count});
    }
}

void sticker_pattern_write(const struct sticker_pattern *pattern, char text[STICKER_PATTERN_SIZE])
{
    struct builder out;
    builder_init(&out, text, STICKER_PATTERN_SIZE);
    for (size_t i = 0; i < pattern->count; i++) {
        const struct sticker_piece *const piece = &pattern->pieces[i];
        builder_add(&out, sticker_part_word(piece->part));
        builder_add_char(&out, ' ');
        if (sticker_part_most(piece->part) == 0) {
            add_quoted(&out, sticker_piece_bytes(pattern, piece));
        } else {
            builder_addf(&out, "%zu", piece->least);
            if (piece->most != piece->least)
                builder_addf(&out, " to %zu", piece->most);
            add_characters(&out, *piece);
        }
        builder_add_char(&out, '\n');
    }
    assert(!out.cut); /* STICKER_PATTERN_SIZE is more than STICKER_PIECES lines of all signs and four bytes a byte */
}

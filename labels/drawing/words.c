#include "labels/drawing/words.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { WHOLE_DIGITS = 4, DECIMALS = 3, SHOWN = 48 /* bytes of what a fault quotes */ };

bool words_fault(const struct words *words, struct fault *fault, const char *format, ...)
{
    char text[FAULT_TEXT_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    if (words->line == 0)
        return fault_set(fault, FAULT_INPUT, "template '%s': %s", words->name, text);
    return fault_set(fault, FAULT_INPUT, "template '%s' line %d: %s", words->name, words->line, text);
}

const char *words_show(struct span words, char *buffer, size_t size)
{
    static const char more[] = "…";
    struct builder builder;
    builder_init(&builder, buffer, size);
    if (words.length < size) {
        builder_add_span(&builder, words);
        return buffer;
    }
    builder_add_span(&builder, (struct span){words.at, size - sizeof more});
    text_end_whole(buffer);
    builder.length = strlen(buffer);
    builder_add(&builder, more);
    return buffer;
}

static void drop(struct words *words, size_t count)
{
    words->rest.at += count;
    words->rest.length -= count;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

bool words_ended(struct words *words)
{
    while (words->rest.length > 0 && is_blank(words->rest.at[0]))
        drop(words, 1);
    return words->rest.length == 0 || words->rest.at[0] == '#';
}

struct span words_peek(struct words *words)
{
    if (words_ended(words))
        return (struct span){words->rest.at, 0};
    size_t length = 0;
    while (length < words->rest.length && !is_blank(words->rest.at[length]) && words->rest.at[length] != '"' &&
           words->rest.at[length] != '#')
        length++;
    return (struct span){words->rest.at, length};
}

const char *words_show_next(struct words *words, char *buffer, size_t size)
{
    const struct span next = words_peek(words);
    return words_show(next.length ? next : words->rest, buffer, size);
}

struct span words_next(struct words *words)
{
    const struct span word = words_peek(words);
    drop(words, word.length);
    return word;
}

bool words_take(struct words *words, const char *word)
{
    const struct span next = words_peek(words);
    if (!span_equals(next, word))
        return false;
    drop(words, next.length);
    return true;
}

bool words_need(struct words *words, const char *word, struct fault *fault)
{
    if (words_take(words, word))
        return true;
    char shown[SHOWN];
    if (words_ended(words))
        return words_fault(words, fault, "the line ends where '%s' is expected", word);
    return words_fault(words, fault, "'%s' is expected where '%s' stands", word,
                       words_show_next(words, shown, sizeof shown));
}

/* Word processors put curved quotes where the straight one was typed. */
static bool is_curved_quote(struct span text)
{
    static const char *const quotes[] = {"“", "”", "„", "«", "»", "‘", "’", "'"};
    for (size_t i = 0; i < sizeof quotes / sizeof *quotes; i++)
        if (span_starts(text, quotes[i]))
            return true;
    return false;
}

bool words_end(struct words *words, struct fault *fault)
{
    char shown[SHOWN];
    if (words_ended(words))
        return true;
    words_show(words->rest, shown, sizeof shown);
    if (is_curved_quote(words->rest))
        return words_fault(words, fault, "'%s' does not begin with a straight double quote: write \"…\"", shown);
    return words_fault(words, fault, "'%s' is not expected here", shown);
}

/* Digits with at most DECIMALS behind a point, in thousandths; -1 when it is not that. */
static long thousandths(struct span word)
{
    long value = 0;
    size_t i = 0, decimals = 0;
    for (; i < word.length && word.at[i] >= '0' && word.at[i] <= '9'; i++)
        value = i < WHOLE_DIGITS ? value * 10 + (word.at[i] - '0') : -1;
    if (i == 0 || i > WHOLE_DIGITS)
        return -1;
    if (i < word.length && word.at[i] == '.') {
        for (i++; i < word.length && word.at[i] >= '0' && word.at[i] <= '9' && decimals < DECIMALS; i++, decimals++)
            value = value * 10 + (word.at[i] - '0');
        if (decimals == 0)
            return -1;
    }
    for (; decimals < DECIMALS; decimals++)
        value *= 10;
    return i == word.length ? value : -1;
}

bool words_length(struct words *words, const char *what, int least, int most, int *um, struct fault *fault)
{
    char shown[SHOWN];
    const struct span word = words_next(words);
    if (word.length == 0)
        return words_fault(words, fault, "%s is missing: give millimetres", what);
    if (memchr(word.at, ',', word.length))
        return words_fault(words, fault, "%s is '%s': write a point, not a comma, as in 0.38", what,
                           words_show(word, shown, sizeof shown));
    const long value = thousandths(word);
    if (value < 0)
        return words_fault(words, fault, "%s is '%s', not millimetres such as 12 or 0.38", what,
                           words_show(word, shown, sizeof shown));
    if (value < least || value > most)
        return words_fault(words, fault, "%s is %s mm, outside %g to %g", what, words_show(word, shown, sizeof shown),
                           least / 1000.0, most / 1000.0);
    *um = (int)value;
    return true;
}

bool words_quote_follows(struct words *words)
{
    return !words_ended(words) && words->rest.at[0] == '"';
}

bool words_quoted(struct words *words, char *buffer, size_t size, struct fault *fault)
{
    char shown[SHOWN];
    if (words_ended(words))
        return words_fault(words, fault, "the line ends where a value in double quotes is expected");
    if (!words_quote_follows(words))
        return words_fault(words, fault, "a value in double quotes, \"…\", is expected where '%s' stands",
                           words_show(words->rest, shown, sizeof shown));
    const char *start = words->rest.at + 1;
    const char *end = memchr(start, '"', words->rest.length - 1);
    if (!end)
        return words_fault(words, fault, "the value '%s' has no closing double quote",
                           words_show((struct span){start, words->rest.length - 1}, shown, sizeof shown));
    const struct span value = {start, (size_t)(end - start)};
    if (!span_copy(value, buffer, size))
        return words_fault(words, fault, "the value has %zu bytes, over %zu: shorten it", value.length, size - 1);
    drop(words, value.length + 2);
    return true;
}

#include "kiosk/basics/log.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "labels/basics/text.h"

enum { SENTENCE_SIZE = 1024, ELLIPSIS_BYTES = 3, LINE_END_BYTES = 2 };

/* Length of the UTF-8 character at `at`, 0 when there is none. C1 controls (U+0080 to U+009F) move cursors too. */
static size_t character_length(const char *at)
{
    const unsigned char first = (unsigned char)*at;
    const size_t length = first < 0x80 ? 1 : first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (strnlen(at, length) < length || !text_is_utf8((struct span){at, length}))
        return 0;
    if (first < 0x20 || first == 0x7F || (first == 0xC2 && (unsigned char)at[1] < 0xA0))
        return 0;
    return length;
}

static void add_sentence(struct builder *line, const char *sentence)
{
    while (*sentence) {
        const size_t length = character_length(sentence);
        const struct span piece = {length > 0 ? sentence : "?", length > 0 ? length : 1};
        if (line->length + piece.length + ELLIPSIS_BYTES + LINE_END_BYTES > line->size) {
            builder_add(line, "…");
            return;
        }
        builder_add_span(line, piece);
        sentence += piece.length;
    }
}

size_t log_write(struct instant at, enum log_level level, const char *room, const char *sentence,
                 char line[LOG_LINE_SIZE])
{
    static const char *const words[] = {"info", "warning", "error"};
    _Static_assert(sizeof words / sizeof *words == LOG_LEVELS, "one word a level");
    char instant[CALENDAR_INSTANT_SIZE];
    struct builder text;
    builder_init(&text, line, LOG_LINE_SIZE);
    builder_addf(&text, "%s %s ", calendar_write_instant(at, instant), words[level]);
    add_sentence(&text, room);
    builder_add(&text, ": ");
    add_sentence(&text, sentence);
    builder_add(&text, "\n");
    return text.length;
}

void log_line(enum log_level level, const char *room, const char *format, ...)
{
    char sentence[SENTENCE_SIZE], line[LOG_LINE_SIZE];
    struct timespec now = {0};
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);
    if (length < 0)
        return;
    if ((size_t)length >= sizeof sentence) {
        size_t end = sizeof sentence - 1 - ELLIPSIS_BYTES;
        while (end > 0 && ((unsigned char)sentence[end] & 0xC0) == 0x80) /* not inside a character */
            end--;
        memcpy(sentence + end, "…", ELLIPSIS_BYTES + 1);
    }
    (void)clock_gettime(CLOCK_REALTIME, &now);
    const struct instant at = {(int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000};
    const size_t bytes = log_write(at, level, room, sentence, line);
    if (write(STDERR_FILENO, line, bytes) < 0)
        return; /* nowhere to say so */
}

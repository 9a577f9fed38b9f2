#include "kiosk/web/event_text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_SIZE = 4096, KEPT_SIZE = 64 * 1024 };

static bool reserve(struct event_text *text, size_t more)
{
    if (text->size - text->length >= more)
        return true;
    size_t size = text->size ? text->size : FIRST_SIZE;
    while (size - text->length < more)
        size *= 2;
    char *buffer = realloc(text->buffer, size);
    if (!buffer)
        return false;
    text->buffer = buffer;
    text->size = size;
    return true;
}

bool event_text_add(struct event_text *text, const char *format, ...)
{
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    const int need = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    const bool fits = need >= 0 && reserve(text, (size_t)need + 1);
    if (fits) {
        vsnprintf(text->buffer + text->length, (size_t)need + 1, format, again);
        text->length += (size_t)need;
    }
    va_end(again);
    return fits;
}

bool event_text_is_empty(const struct event_text *text)
{
    return text->sent == text->length;
}

size_t event_text_take(struct event_text *text, char *to, size_t most)
{
    const size_t left = text->length - text->sent, count = left < most ? left : most;
    if (count > 0)
        memcpy(to, text->buffer + text->sent, count);
    text->sent += count;
    if (!event_text_is_empty(text))
        return count;
    text->sent = text->length = 0;
    if (text->size > KEPT_SIZE)
        event_text_clear(text);
    return count;
}

void event_text_clear(struct event_text *text)
{
    free(text->buffer);
    *text = (struct event_text){0};
}

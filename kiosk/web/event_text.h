#ifndef KIOSK_WEB_EVENT_TEXT_H
#define KIOSK_WEB_EVENT_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* Text of an event stream between its making and its sending: whole events go in at one end, as many bytes as the
 * connection takes come out at the other. Start with a zeroed struct. One thread. */

struct event_text {
    char *buffer;
    size_t length, sent, size;
};

/* All of it or, when there is no memory, nothing: no event goes out in part. */
bool event_text_add(struct event_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
bool event_text_is_empty(const struct event_text *text);
/* Moves up to `most` bytes out. A large buffer is freed once it is empty. */
size_t event_text_take(struct event_text *text, char *to, size_t most);
void event_text_clear(struct event_text *text);

#endif

#ifndef LABELS_BASICS_TEXT_H
#define LABELS_BASICS_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bounded text. A span is borrowed bytes with a length: scanned text holds GS and may hold NUL, so it is never a C
 * string. A builder appends into a caller's buffer, never past it, and remembers whether anything was lost. */

struct span {
    const char *at;
    size_t length;
};

struct span span_of(const char *string); /* NULL gives an empty span */
bool span_equals(struct span span, const char *string);
bool span_starts(struct span span, const char *prefix);

/* All digits, 1 to 18 of them, to a whole number. */
bool span_read_count(struct span span, int64_t *value);

/* The first line of `*rest`, without its '\n'; `*rest` is what follows. */
struct span text_line(struct span *rest);

/* Copies into `buffer` and ends it with NUL; false and an empty string when it does not fit or holds a NUL. */
bool span_copy(struct span span, char *buffer, size_t size);

struct builder {
    char *at;      /* the caller's buffer, always ended with NUL */
    size_t size;   /* its size in bytes, 1 or more */
    size_t length; /* bytes written, without the NUL */
    bool cut;      /* true once something did not fit */
};

void builder_init(struct builder *builder, char *buffer, size_t size);
void builder_add(struct builder *builder, const char *string);
void builder_add_span(struct builder *builder, struct span span);
void builder_add_char(struct builder *builder, char c);
void builder_addf(struct builder *builder, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Bytes as a person may read them: printable ASCII as it is, others as <GS>, <RS>, <EOT>, <NUL> or <0x9F>.
 * Always ended with NUL; cut with "…" when it does not fit. Returns `buffer`. */
const char *text_show(struct span span, char *buffer, size_t size);

/* Drops what is left of a character that was cut at the end of `buffer`. */
void text_end_whole(char *buffer);

/* Valid UTF-8 (no surrogates, no overlong forms)? */
bool text_is_utf8(struct span span);

/* Upper-case hexadecimal, 2 characters a byte, ended with NUL. `size` must be 2 * length + 1 or more (assert). */
void text_write_hex(const uint8_t *bytes, size_t length, char *buffer, size_t size);
/* Even number of hex digits, either case. False when it is not that or longer than `size`. */
bool text_read_hex(struct span span, uint8_t *bytes, size_t size, size_t *length);

#endif

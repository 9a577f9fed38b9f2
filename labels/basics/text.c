#include "labels/basics/text.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

struct span span_of(const char *string)
{
    return (struct span){string, string ? strlen(string) : 0};
}

bool span_equals(struct span span, const char *string)
{
    const size_t length = strlen(string);
    return span.length == length && (length == 0 || memcmp(span.at, string, length) == 0);
}

bool span_starts(struct span span, const char *prefix)
{
    const size_t length = strlen(prefix);
    return span.length >= length && (length == 0 || memcmp(span.at, prefix, length) == 0);
}

bool span_read_count(struct span span, int64_t *value)
{
    if (span.length < 1 || span.length > 18)
        return false;
    int64_t total = 0;
    for (size_t i = 0; i < span.length; i++) {
        if (span.at[i] < '0' || span.at[i] > '9')
            return false;
        total = total * 10 + (span.at[i] - '0');
    }
    *value = total;
    return true;
}

struct span text_line(struct span *rest)
{
    const char *const end = rest->length > 0 ? memchr(rest->at, '\n', rest->length) : NULL;
    const struct span line = {rest->at, end ? (size_t)(end - rest->at) : rest->length};
    const size_t taken = end ? line.length + 1 : line.length;
    if (taken > 0)
        *rest = (struct span){rest->at + taken, rest->length - taken};
    return line;
}

bool span_copy(struct span span, char *buffer, size_t size)
{
    assert(size > 0);
    buffer[0] = '\0';
    if (span.length >= size || (span.length > 0 && memchr(span.at, '\0', span.length)))
        return false;
    if (span.length > 0)
        memcpy(buffer, span.at, span.length);
    buffer[span.length] = '\0';
    return true;
}

void builder_init(struct builder *builder, char *buffer, size_t size)
{
    assert(size > 0);
    *builder = (struct builder){.at = buffer, .size = size};
    buffer[0] = '\0';
}

void builder_add_span(struct builder *builder, struct span span)
{
    size_t room = builder->size - 1 - builder->length;
    if (span.length > room) {
        builder->cut = true;
        span.length = room;
    }
    if (span.length > 0)
        memcpy(builder->at + builder->length, span.at, span.length);
    builder->length += span.length;
    builder->at[builder->length] = '\0';
}

void builder_add(struct builder *builder, const char *string)
{
    builder_add_span(builder, span_of(string));
}

void builder_add_char(struct builder *builder, char c)
{
    builder_add_span(builder, (struct span){&c, 1});
}

void builder_addf(struct builder *builder, const char *format, ...)
{
    const size_t room = builder->size - builder->length;
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(builder->at + builder->length, room, format, arguments);
    va_end(arguments);
    if (length < 0)
        return;
    if ((size_t)length >= room) {
        builder->cut = true;
        builder->length = builder->size - 1;
    } else {
        builder->length += (size_t)length;
    }
}

const char *text_show(struct span span, char *buffer, size_t size)
{
    static const struct {
        unsigned char byte;
        const char *name;
    } names[] = {{0, "<NUL>"}, {4, "<EOT>"}, {9, "<TAB>"}, {10, "<LF>"}, {13, "<CR>"},
                 {28, "<FS>"}, {29, "<GS>"}, {30, "<RS>"}, {31, "<US>"}};
    struct builder out;
    builder_init(&out, buffer, size);
    for (size_t i = 0; i < span.length; i++) {
        const unsigned char byte = (unsigned char)span.at[i];
        char piece[8] = {(char)byte};
        if (byte < 0x20 || byte >= 0x7F) {
            (void)snprintf(piece, sizeof piece, "<0x%02X>", byte);
            for (size_t n = 0; n < sizeof names / sizeof *names; n++)
                if (names[n].byte == byte)
                    (void)snprintf(piece, sizeof piece, "%s", names[n].name);
        }
        if (out.length + strlen(piece) + 4 > size) { /* keep room for the three bytes of "…" */
            if (size >= 4)
                builder_add(&out, "…");
            break;
        }
        builder_add(&out, piece);
    }
    return buffer;
}

void text_end_whole(char *buffer)
{
    const size_t length = strlen(buffer);
    size_t start = length; /* of the last character */
    while (start > 0 && length - start < 3 && ((unsigned char)buffer[start - 1] & 0xC0) == 0x80)
        start--;
    if (start == 0)
        return;
    const unsigned char lead = (unsigned char)buffer[start - 1];
    const size_t needs = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC0 ? 2 : 1;
    if (needs > length - start + 1)
        buffer[start - 1] = '\0';
}

bool text_is_utf8(struct span span)
{
    const unsigned char *at = (const unsigned char *)span.at, *end = at + span.length;
    while (at < end) {
        if (*at < 0x80) {
            at++;
            continue;
        }
        const int more = *at >= 0xF0 ? 3 : *at >= 0xE0 ? 2 : *at >= 0xC2 ? 1 : 0;
        if (more == 0 || *at > 0xF4 || end - at <= more)
            return false;
        uint32_t point = *at & (0x3Fu >> more);
        for (int i = 1; i <= more; i++) {
            if ((at[i] & 0xC0) != 0x80)
                return false;
            point = point << 6 | (at[i] & 0x3Fu);
        }
        if ((more == 2 && point < 0x800) || (more == 3 && point < 0x10000) || point > 0x10FFFF ||
            (point >= 0xD800 && point <= 0xDFFF))
            return false;
        at += more + 1;
    }
    return true;
}

void text_write_hex(const uint8_t *bytes, size_t length, char *buffer, size_t size)
{
    static const char digits[] = "0123456789ABCDEF";
    assert(size >= 2 * length + 1);
    (void)size; /* read by the assertion alone */
    for (size_t i = 0; i < length; i++) {
        buffer[2 * i] = digits[bytes[i] >> 4];
        buffer[2 * i + 1] = digits[bytes[i] & 15];
    }
    buffer[2 * length] = '\0';
}

static int hex_value(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    if (c >= 'A' && c <= 'F')
        return c - 'A' + 10;
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

bool text_read_hex(struct span span, uint8_t *bytes, size_t size, size_t *length)
{
    if (span.length % 2 != 0 || span.length / 2 > size)
        return false;
    for (size_t i = 0; i < span.length; i++)
        if (hex_value(span.at[i]) < 0)
            return false;
    for (size_t i = 0; i < span.length / 2; i++)
        bytes[i] = (uint8_t)(hex_value(span.at[2 * i]) * 16 + hex_value(span.at[2 * i + 1]));
    *length = span.length / 2;
    return true;
}

#include "labels/content/envelope.h"

#include <string.h>

enum { EOT = 0x04, GS = 0x1D, RS = 0x1E, HEADER_BYTES = 3 };

static const char header[] = "[)>";

bool envelope_starts(struct span text)
{
    return span_starts(text, header);
}

static bool separators_lost(struct fault *fault)
{
    return fault_set(
        fault, FAULT_INPUT,
        "the scanner dropped or changed the separators (RS, GS, EOT) of this code: set it to serial (CDC) or "
        "HID POS instead of keyboard, or to send control characters, and scan again");
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Splits at GS; empty fields are dropped. */
static bool fields_split(struct envelope_format *format, struct fault *fault)
{
    struct span rest = format->data;
    while (rest.length > 0) {
        const char *const end = memchr(rest.at, GS, rest.length);
        const struct span field = {rest.at, end ? (size_t)(end - rest.at) : rest.length};
        if (field.length > 0 && format->field_count == ENVELOPE_FIELDS)
            return fault_set(fault, FAULT_INPUT, "the code has more than %d fields: it is not a label of one thing",
                             ENVELOPE_FIELDS);
        if (field.length > 0)
            format->fields[format->field_count++] = field;
        const size_t used = field.length + (end ? 1 : 0);
        rest = (struct span){rest.at + used, rest.length - used};
    }
    return true;
}

/* Reads the format at `*at` and moves past its RS. */
static bool format_read(struct span text, size_t *at, struct envelope *out, struct fault *fault)
{
    if (out->count == ENVELOPE_FORMATS)
        return fault_set(fault, FAULT_INPUT, "the code has more than %d formats: it is not a label of one thing",
                         ENVELOPE_FORMATS);
    if (text.length - *at < 2 || !is_digit(text.at[*at]) || !is_digit(text.at[*at + 1]))
        return fault_set(fault, FAULT_INPUT,
                         "the code has no format number of two digits at place %zu: it is cut or garbled, scan again",
                         *at + 1);
    struct envelope_format format = {.number = (text.at[*at] - '0') * 10 + (text.at[*at + 1] - '0')};
    const bool has_fields = format.number == 5 || format.number == 6 || format.number == 12;
    *at += 2;
    if (has_fields && *at < text.length && text.at[*at] != GS)
        return separators_lost(fault);
    if (*at < text.length && text.at[*at] == GS)
        ++*at;
    const char *const start = text.at + *at;
    size_t length = 0;
    while (*at + length < text.length && start[length] != RS && start[length] != EOT)
        length++;
    format.data = (struct span){start, length};
    *at += length;
    if (*at < text.length && text.at[*at] == RS)
        ++*at;
    else
        out->trailer_missing = true;
    if (has_fields && !fields_split(&format, fault))
        return false;
    out->formats[out->count++] = format;
    return true;
}

static bool begins_again(struct span text)
{
    for (size_t i = HEADER_BYTES; i + HEADER_BYTES <= text.length; i++)
        if (memcmp(text.at + i, header, HEADER_BYTES) == 0)
            return true;
    return false;
}

bool envelope_read(struct span text, struct envelope *out, struct fault *fault)
{
    struct envelope result = {0};
    if (!envelope_starts(text))
        return fault_set(fault, FAULT_INPUT, "the code does not begin with '[)>': it is no ISO/IEC 15434 message");
    if (begins_again(text))
        return fault_set(fault, FAULT_INPUT, "two codes ran together in one scan: scan them one at a time");
    if (text.length == HEADER_BYTES)
        return fault_set(fault, FAULT_INPUT, "the code is cut after '[)>': scan again");
    if (text.at[HEADER_BYTES] != RS)
        return separators_lost(fault);
    size_t at = HEADER_BYTES + 1;
    do {
        if (!format_read(text, &at, &result, fault))
            return false;
    } while (at < text.length && text.at[at] != EOT);
    if (at == text.length)
        result.trailer_missing = true;
    else if (at + 1 != text.length)
        return fault_set(fault, FAULT_INPUT,
                         "the code goes on after its end (EOT): two codes may have run together, "
                         "scan one at a time");
    *out = result;
    return true;
}

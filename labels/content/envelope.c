#include "labels/content/envelope.h"

#include <string.h>

enum { EOT = 0x04, GS = 0x1D, RS = 0x1E, HEADER_BYTES = 3, SHOWN_BYTES = 4, GARBLED_BYTES = 12 };

static const char header[] = "[)>";

static struct span after(struct span text, size_t at)
{
    return (struct span){text.at + at, text.length - at};
}

bool envelope_starts(struct span text)
{
    return span_starts(text, header);
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool has_fields(int number)
{
    return number == 5 || number == 6 || number == 12;
}

/* "06" GS, the beginning of a format with fields? */
static bool format_starts(struct span text)
{
    return text.length > 2 && is_digit(text.at[0]) && is_digit(text.at[1]) && text.at[2] == GS &&
           has_fields((text.at[0] - '0') * 10 + (text.at[1] - '0'));
}

static bool is_closed(struct span text)
{
    return text.length > 1 && text.at[text.length - 2] == RS && text.at[text.length - 1] == EOT;
}

/* How many bytes stand before the first format, its RS among them, in a message that does not begin with "[)>".
 * False: there is none to be seen. */
static bool find_first_format(struct span text, size_t *at)
{
    if (format_starts(text)) {
        *at = 0;
        return true;
    }
    for (size_t i = 0; i < text.length && i < GARBLED_BYTES; i++)
        if (text.at[i] == RS && format_starts(after(text, i + 1))) {
            *at = i + 1;
            return true;
        }
    return false;
}

bool envelope_is(struct span text)
{
    size_t at;
    return envelope_starts(text) || find_first_format(text, &at) || is_closed(text);
}

/* `what` belongs at `at`, and it does not stand there. */
static bool separator_lost(struct span text, size_t at, const char *what, struct fault *fault)
{
    char shown[32];
    const struct span rest = after(text, at);
    return fault_set(
        fault, FAULT_INPUT,
        "'%s' stands at place %zu where %s belongs: the scanner dropped or changed the separators (RS, GS, "
        "EOT) of this code, and without them its fields cannot be told apart; set it to serial (CDC) or "
        "HID POS instead of keyboard, or to send control characters, and scan again",
        text_show((struct span){rest.at, rest.length < SHOWN_BYTES ? rest.length : SHOWN_BYTES}, shown, sizeof shown),
        at + 1, what);
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

/* Reads the format at `*at` and moves past its RS; `*closed` says whether there was one. */
static bool format_read(struct span text, size_t *at, struct envelope *out, bool *closed, struct fault *fault)
{
    if (out->count == ENVELOPE_FORMATS)
        return fault_set(fault, FAULT_INPUT, "the code has more than %d formats: it is not a label of one thing",
                         ENVELOPE_FORMATS);
    if (text.length - *at < 2 || !is_digit(text.at[*at]) || !is_digit(text.at[*at + 1]))
        return fault_set(fault, FAULT_INPUT,
                         "the code has no format number of two digits at place %zu: it is cut or garbled, scan again",
                         *at + 1);
    struct envelope_format format = {.number = (text.at[*at] - '0') * 10 + (text.at[*at + 1] - '0')};
    *at += 2;
    if (has_fields(format.number) && *at < text.length && text.at[*at] != GS)
        return separator_lost(text, *at, "GS", fault);
    if (*at < text.length && text.at[*at] == GS)
        ++*at;
    const char *const start = text.at + *at;
    size_t length = 0;
    while (*at + length < text.length && start[length] != RS && start[length] != EOT)
        length++;
    format.data = (struct span){start, length};
    *at += length;
    *closed = *at < text.length && text.at[*at] == RS;
    *at += *closed;
    if (has_fields(format.number) && !fields_split(&format, fault))
        return false;
    out->formats[out->count++] = format;
    return true;
}

static bool begins_again(struct span text)
{
    for (size_t i = envelope_starts(text) ? HEADER_BYTES : 0; i + HEADER_BYTES <= text.length; i++)
        if (memcmp(text.at + i, header, HEADER_BYTES) == 0)
            return true;
    return false;
}

/* Where the first format begins when the message does not begin with "[)>": what is left of that must be its end. */
static bool beginning_read(struct span text, size_t *at, struct fault *fault)
{
    char shown[48];
    if (!find_first_format(text, at))
        return is_closed(text)
                   ? fault_set(fault, FAULT_INPUT,
                               "the code ends like an ISO/IEC 15434 message (RS EOT), but its beginning ('[)>' RS and "
                               "the format) is missing, so what its fields are cannot be told: scan again")
                   : fault_set(fault, FAULT_INPUT,
                               "the code does not begin with '[)>': it is no ISO/IEC 15434 message");
    const size_t left = *at > 0 ? *at - 1 : 0;
    if (left >= HEADER_BYTES || memcmp(text.at, header + HEADER_BYTES - left, left) != 0)
        return fault_set(fault, FAULT_INPUT,
                         "'%s' stands where '[)>' belongs: the scanner types for another keyboard language than the "
                         "computer's and may have changed other letters too; set both to the same, or the scanner to "
                         "serial (CDC) or HID POS, and scan again",
                         text_show((struct span){text.at, left}, shown, sizeof shown));
    if (!is_closed(text))
        return fault_set(fault, FAULT_INPUT,
                         "the code has lost its beginning ('[)>') and its end (RS EOT): fields may be missing on "
                         "either side, scan again");
    return true;
}

/* What the end lacks, and what is made of it. */
static const char *end_note(bool closed, bool ended)
{
    if (!closed && !ended)
        return "the code's end is missing (no RS EOT): its last field is taken as it stands, check it or scan again";
    if (!ended)
        return "the code's end is missing (no EOT): nothing is taken to follow, scan again if a field is missing";
    return "the code's end is missing its RS: EOT is taken for the end, check the last field or scan again";
}

static void note_write(struct envelope *out, bool begun, bool closed, bool ended)
{
    struct builder note;
    builder_init(&note, out->note, sizeof out->note);
    out->trailer_missing = !closed || !ended;
    if (!begun)
        builder_addf(&note,
                     "the code's beginning is missing ('[)>'): it is taken to begin with format %02d, scan again if a "
                     "field is missing",
                     out->formats[0].number);
    else if (out->trailer_missing)
        builder_add(&note, end_note(closed, ended));
}

bool envelope_read(struct span text, struct envelope *out, struct fault *fault)
{
    struct envelope result = {0};
    const bool begun = envelope_starts(text);
    bool closed = false;
    size_t at = HEADER_BYTES + 1;
    if (begins_again(text))
        return fault_set(fault, FAULT_INPUT, "two codes ran together in one scan: scan them one at a time");
    if (!begun && !beginning_read(text, &at, fault))
        return false;
    if (begun && text.length == HEADER_BYTES)
        return fault_set(fault, FAULT_INPUT, "the code is cut after '[)>': scan again");
    if (begun && text.at[HEADER_BYTES] != RS)
        return separator_lost(text, HEADER_BYTES, "RS", fault);
    do {
        if (!format_read(text, &at, &result, &closed, fault))
            return false;
    } while (at < text.length && text.at[at] != EOT);
    const bool ended = at < text.length;
    if (ended && at + 1 != text.length)
        return fault_set(fault, FAULT_INPUT,
                         "the code goes on after its end (EOT): two codes may have run together, "
                         "scan one at a time");
    note_write(&result, begun, closed, ended);
    *out = result;
    return true;
}

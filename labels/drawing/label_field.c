#include "labels/drawing/label_field.h"

#include <assert.h>
#include <stdint.h>
#include <string.h>

static const char *const names[] = {
    [LABEL_FIELD_SERIAL] = "serial",
    [LABEL_FIELD_ITEM] = "item",
    [LABEL_FIELD_ITEM_NAME] = "item-name",
    [LABEL_FIELD_LOT] = "lot",
    [LABEL_FIELD_BATCH] = "batch",
    [LABEL_FIELD_FILLED] = "filled",
    [LABEL_FIELD_EXPIRES] = "expires",
    [LABEL_FIELD_CONTENT] = "content",
    [LABEL_FIELD_RESIN] = "resin",
    [LABEL_FIELD_PLACE] = "place",
    [LABEL_FIELD_PERSON] = "person",
    [LABEL_FIELD_CARD] = "card",
    [LABEL_FIELD_NOTE] = "note",
    [LABEL_FIELD_SAMPLE] = "sample",
    [LABEL_FIELD_PRODUCT] = "product",
    [LABEL_FIELD_SIGNAL_WORD] = "signal-word",
    [LABEL_FIELD_PICTOGRAMS] = "pictograms",
    [LABEL_FIELD_STATEMENTS] = "statements",
    [LABEL_FIELD_PRECAUTIONS] = "precautions",
    [LABEL_FIELD_SDS] = "sds",
    [LABEL_FIELD_CAPACITY] = "capacity",
};
_Static_assert(sizeof names / sizeof *names == LABEL_FIELD_IDS, "one name a field");
_Static_assert(LABEL_FIELD_IDS <= 32, "the uses of a pattern are bits of an unsigned");

const char *label_field_name(enum label_field_id id)
{
    return names[id];
}

int label_field_find(struct span name)
{
    for (int id = 0; id < LABEL_FIELD_IDS; id++)
        if (span_equals(name, names[id]))
            return id;
    return -1;
}

/* The code point at `*at`, which then moves past it. The text is known to be UTF-8. */
static uint32_t next_code_point(const unsigned char **at)
{
    const unsigned char first = *(*at)++;
    uint32_t code = first < 0x80 ? first : first < 0xE0 ? first & 0x1FU : first < 0xF0 ? first & 0x0FU : first & 0x07U;
    for (; (**at & 0xC0) == 0x80; (*at)++)
        code = code << 6 | (**at & 0x3FU);
    return code;
}

/* Controls, separators of lines, zero-width and direction marks (Unicode general categories Cc, Zl, Zp, Cf). */
static bool is_hidden(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0xAD || code == 0x61C ||
           (code >= 0x200B && code <= 0x200F) || (code >= 0x2028 && code <= 0x202E) ||
           (code >= 0x2060 && code <= 0x206F) || code == 0xFEFF || (code >= 0xFFF9 && code <= 0xFFFB) ||
           (code >= 0xE0000 && code <= 0xE0FFF);
}

static bool check_value(int id, const char *value, struct fault *fault)
{
    const bool is_list = id == LABEL_FIELD_STATEMENTS || id == LABEL_FIELD_PRECAUTIONS;
    const size_t most = is_list ? LABEL_FIELD_LIST_MAX : LABEL_FIELD_VALUE_MAX;
    const char *name = names[id];
    const struct span span = span_of(value);
    if (span.length > most)
        return fault_set(fault, FAULT_INPUT, "field '%s' has %zu bytes, over %zu: shorten it", name, span.length, most);
    if (!text_is_utf8(span))
        return fault_set(fault, FAULT_INPUT, "field '%s' is not UTF-8 text: type it again", name);
    const unsigned char *at = (const unsigned char *)value;
    while (*at) {
        const uint32_t code = next_code_point(&at);
        if (is_hidden(code))
            return fault_set(fault, FAULT_INPUT, "field '%s' has an invisible character (U+%04X): type it again", name,
                             (unsigned)code);
    }
    return true;
}

bool label_field_read(const struct label_field *fields, size_t count, struct label_values *values, struct fault *fault)
{
    struct label_values found = {{0}};
    for (size_t i = 0; i < count; i++) {
        char shown[64];
        const int id = label_field_find(span_of(fields[i].name));
        if (id < 0)
            return fault_set(fault, FAULT_INPUT, "field '%s' is not known: see the list of fields in docs/templates.md",
                             text_show(span_of(fields[i].name), shown, sizeof shown));
        if (!fields[i].value || !*fields[i].value)
            continue;
        if (found.at[id])
            return fault_set(fault, FAULT_INPUT, "field '%s' is given twice: give it once", names[id]);
        if (!check_value(id, fields[i].value, fault))
            return false;
        found.at[id] = fields[i].value;
    }
    *values = found;
    return true;
}

/* At a '{': its name, or an empty span for "{{"; `*at` moves past it. False: no closing brace. */
static bool next_name(const char **at, struct span *name)
{
    const char *start = *at + 1;
    if (*start == '{') {
        *name = (struct span){start, 0};
        *at = start + 1;
        return true;
    }
    const char *end = strchr(start, '}');
    if (!end)
        return false;
    *name = (struct span){start, (size_t)(end - start)};
    *at = end + 1;
    return true;
}

bool label_field_check_pattern(const char *pattern, unsigned *uses, struct fault *fault)
{
    unsigned found = 0;
    for (const char *at = pattern; *at;) {
        struct span name;
        if (*at != '{') {
            at++;
            continue;
        }
        if (!next_name(&at, &name))
            return fault_set(fault, FAULT_INPUT, "a { has no }: close it, or write {{ for a brace");
        if (name.length == 0 && at[-1] == '{')
            continue;
        const int id = label_field_find(name);
        char shown[64];
        if (id < 0)
            return fault_set(fault, FAULT_INPUT, "field '%s' is not known", text_show(name, shown, sizeof shown));
        found |= 1U << id;
    }
    if (uses)
        *uses = found;
    return true;
}

bool label_field_fill(const char *pattern, const struct label_values *values, char text[LABEL_FIELD_TEXT_SIZE],
                      struct fault *fault)
{
    char filled[LABEL_FIELD_TEXT_SIZE];
    struct builder builder;
    builder_init(&builder, filled, sizeof filled);
    for (const char *at = pattern; *at;) {
        struct span name;
        if (*at != '{') {
            builder_add_char(&builder, *at++);
            continue;
        }
        const bool closed = next_name(&at, &name);
        assert(closed); /* the pattern was checked when its template was read */
        if (!closed || name.length == 0) {
            builder_add_char(&builder, '{');
            at += closed ? 0 : 1;
            continue;
        }
        const int id = label_field_find(name);
        if (id < 0 || !values->at[id])
            return fault_set(fault, FAULT_INPUT, "field '%.*s' is missing: this label needs it", (int)name.length,
                             name.at);
        builder_add(&builder, values->at[id]);
    }
    if (builder.cut)
        return fault_set(fault, FAULT_INPUT, "a line of the label has over %d bytes: shorten its fields",
                         LABEL_FIELD_TEXT_SIZE - 1);
    memcpy(text, filled, sizeof filled);
    return true;
}

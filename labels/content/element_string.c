#include "labels/content/element_string.h"

#include <string.h>

#include "labels/content/element_value.h"

enum { GS = 0x1D };

static struct span from(struct span text, size_t at)
{
    return (struct span){text.at + at, text.length - at};
}

static bool unknown(struct span text, size_t at, struct fault *fault)
{
    char shown[24];
    struct span rest = from(text, at);
    if (rest.length > 4)
        rest.length = 4;
    return fault_set(fault, FAULT_INPUT,
                     "no GS1 identifier begins with '%s' (place %zu): scan again; if it happens again, set the scanner "
                     "to send GS (ASCII 29) between fields",
                     text_show(rest, shown, sizeof shown), at + 1);
}

static bool ran_together(const struct application_identifier *kind, struct span ai, struct span value,
                         struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT,
                     "(%.*s) %s is too long: %zu characters, at most %zu; two fields may have run together because the "
                     "scanner drops separators: set it to send GS (ASCII 29) and scan again",
                     (int)ai.length, ai.at, kind->title, value.length, application_identifier_longest(kind));
}

const struct element *element_string_find(const struct element_string *elements, const char *pattern)
{
    const size_t length = strlen(pattern);
    for (size_t i = 0; i < elements->count; i++)
        if (application_identifier_fits(elements->elements[i].ai, pattern, length))
            return &elements->elements[i];
    return NULL;
}

bool element_string_add(struct element_string *out, const struct application_identifier *kind, struct span ai,
                        struct span value, struct day today, struct fault *fault)
{
    if (out->count == ELEMENT_STRING_ELEMENTS)
        return fault_set(fault, FAULT_INPUT, "the code has more than %d fields: it is not a label of one thing",
                         ELEMENT_STRING_ELEMENTS);
    struct element element = {.kind = kind, .value = value};
    (void)span_copy(ai, element.ai, sizeof element.ai);
    if (!element_value_check(kind, element.ai, value, today, fault))
        return false;
    const struct element *const earlier = element_string_find(out, element.ai);
    if (earlier && (earlier->value.length != value.length || memcmp(earlier->value.at, value.at, value.length) != 0))
        return fault_set(fault, FAULT_INPUT, "(%s) %s comes twice with different values: scan one code at a time",
                         element.ai, kind->title);
    out->elements[out->count++] = element;
    return true;
}

bool element_string_read(struct span text, struct day today, struct element_string *out, struct fault *fault)
{
    struct element_string result = {0};
    size_t at = text.length > 0 && text.at[0] == GS ? 1 : 0;
    if (at == text.length)
        return fault_set(fault, FAULT_INPUT, "the code is empty: scan again");
    while (at < text.length) {
        size_t digits;
        const struct application_identifier *const kind = application_identifier_find(from(text, at), &digits);
        if (!kind)
            return unknown(text, at, fault);
        const struct span ai = {text.at + at, digits};
        const struct span rest = from(text, at + digits);
        const char *const separator = rest.length > 0 ? memchr(rest.at, GS, rest.length) : NULL;
        struct span value = {rest.at, separator ? (size_t)(separator - rest.at) : rest.length};
        const size_t longest = application_identifier_longest(kind);
        if (kind->predefined && value.length > longest)
            value.length = longest;
        if (value.length > longest)
            return ran_together(kind, ai, value, fault);
        if (!element_string_add(&result, kind, ai, value, today, fault))
            return false;
        at += digits + value.length;
        if (at < text.length && text.at[at] == GS)
            at++;
    }
    *out = result;
    return true;
}

static size_t word_length(const char *text, const char *ends)
{
    return strcspn(text, ends);
}

static bool present(const struct element_string *elements, const char *pattern, size_t length, const char *but)
{
    for (size_t i = 0; i < elements->count; i++)
        if (strcmp(elements->elements[i].ai, but) != 0 &&
            application_identifier_fits(elements->elements[i].ai, pattern, length))
            return true;
    return false;
}

/* "01+21,8006": is one of the groups there as a whole? */
static bool needs_met(const struct element_string *elements, const struct element *element)
{
    const char *at = element->kind->needs;
    if (!*at)
        return true;
    for (;;) {
        bool whole = true;
        for (;;) {
            const size_t length = word_length(at, "+,");
            whole = whole && present(elements, at, length, element->ai);
            at += length;
            if (*at != '+')
                break;
            at++;
        }
        if (whole)
            return true;
        if (!*at)
            return false;
        at++;
    }
}

/* The first identifier there that `element` excludes; an identifier never excludes itself. */
static const struct element *excluded(const struct element_string *elements, const struct element *element)
{
    for (const char *at = element->kind->excludes; *at;) {
        const size_t length = word_length(at, ",");
        for (size_t i = 0; i < elements->count; i++) {
            const struct element *const other = &elements->elements[i];
            if (strcmp(other->ai, element->ai) != 0 && application_identifier_fits(other->ai, at, length))
                return other;
        }
        at += length;
        if (*at)
            at++;
    }
    return NULL;
}

enum element_pairs element_string_pairs(const struct element_string *elements, struct fault *why)
{
    for (size_t i = 0; i < elements->count; i++) {
        const struct element *const one = &elements->elements[i], *const other = excluded(elements, one);
        if (!other)
            continue;
        (void)fault_set(why, FAULT_INPUT, "(%s) %s and (%s) %s contradict each other: scan one code at a time", one->ai,
                        one->kind->title, other->ai, other->kind->title);
        return ELEMENT_PAIRS_INVALID;
    }
    for (size_t i = 0; i < elements->count; i++) {
        const struct element *const one = &elements->elements[i];
        if (needs_met(elements, one))
            continue;
        (void)fault_set(why, FAULT_INPUT,
                        "(%s) %s stands without what it belongs to (%s): scan the other code on the label too", one->ai,
                        one->kind->title, one->kind->needs);
        return ELEMENT_PAIRS_MISSING;
    }
    return ELEMENT_PAIRS_FINE;
}

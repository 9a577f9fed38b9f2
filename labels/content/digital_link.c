#include "labels/content/digital_link.h"

#include <string.h>

enum { KEY_DIGITS = 4 /* a GS1 company prefix has four digits or more */, FEWEST_DIGITS = 2, MOST_DIGITS = 4 };

/* An address taken apart; both parts without what sets them off. */
struct address {
    struct span path, query;
};

/* Where an address is being read. */
struct reading {
    struct day today;
    struct builder values; /* decoded, one after the other */
    struct element_string elements;
};

/* Takes what stands before the next `end` off `*rest`, and `end` with it; `*more` says whether `end` was there. */
static struct span take(struct span *rest, char end, bool *more)
{
    const char *const found = rest->length > 0 ? memchr(rest->at, end, rest->length) : NULL;
    const size_t length = found ? (size_t)(found - rest->at) : rest->length;
    const struct span taken = {rest->at, length};
    const size_t skip = found ? length + 1 : length;
    *rest = (struct span){rest->at + skip, rest->length - skip};
    *more = found != NULL;
    return taken;
}

static bool starts_in_either_case(struct span text, const char *small)
{
    for (size_t i = 0; small[i]; i++) {
        const char c = i < text.length ? text.at[i] : '\0';
        if ((c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c) != small[i])
            return false;
    }
    return true;
}

/* The length of "http://" or "https://" at the start of `text`, else 0. Capitals are the same scheme (RFC 3986), and
 * make a smaller symbol. */
static size_t scheme_length(struct span text)
{
    static const char *const schemes[] = {"https://", "http://"};
    for (size_t i = 0; i < sizeof schemes / sizeof *schemes; i++)
        if (starts_in_either_case(text, schemes[i]))
            return strlen(schemes[i]);
    return 0;
}

static bool take_apart(struct span text, struct address *address)
{
    const size_t scheme = scheme_length(text);
    bool more;
    if (scheme == 0)
        return false;
    struct span rest = {text.at + scheme, text.length - scheme};
    rest = take(&rest, '#', &more);
    struct span before_query = take(&rest, '?', &more);
    const struct span host = take(&before_query, '/', &more);
    address->path = before_query;
    address->query = rest;
    return host.length > 0 && more;
}

static const struct application_identifier *identifier(struct span text)
{
    size_t digits;
    const struct application_identifier *const kind = application_identifier_find(text, &digits);
    return kind && digits == text.length ? kind : NULL;
}

static bool digits_only(struct span text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (i >= text.length || text.at[i] < '0' || text.at[i] > '9')
            return false;
    return true;
}

/* Cuts off what stands before the key; false when the path holds none. */
static bool path_from_key(struct span *path)
{
    struct span rest = *path;
    for (bool more = true; more;) {
        const struct span start = rest;
        const struct application_identifier *const kind = identifier(take(&rest, '/', &more));
        if (!kind || !kind->link || !more || !digits_only(rest, KEY_DIGITS))
            continue;
        *path = start;
        return true;
    }
    return false;
}

bool digital_link_starts(struct span text)
{
    struct address address;
    return take_apart(text, &address) && path_from_key(&address.path);
}

static int hex_value(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c = (char)(c | 0x20);
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* Without percent encoding, into the buffer. A plus sign is itself: a blank, which forms write so, is in no GS1 value.
 */
static bool decode(struct span text, struct builder *values, struct span *value, struct fault *fault)
{
    const size_t start = values->length;
    for (size_t i = 0; i < text.length; i++) {
        char c = text.at[i];
        if (c == '%') {
            const int high = i + 2 < text.length ? hex_value(text.at[i + 1]) : -1;
            const int low = high >= 0 ? hex_value(text.at[i + 2]) : -1;
            if (low < 0)
                return fault_set(fault, FAULT_INPUT,
                                 "a percent sign is not followed by two hexadecimal digits: scan again");
            c = (char)(high * 16 + low);
            i += 2;
        }
        builder_add_char(values, c);
    }
    *value = (struct span){values->at + start, values->length - start};
    return true;
}

static bool add(struct reading *reading, const struct application_identifier *kind, struct span ai, struct span text,
                struct fault *fault)
{
    struct span value = {NULL, 0};
    if (text.length == 0)
        return fault_set(fault, FAULT_INPUT, "(%.*s) %s has no value: the code is cut, scan again", (int)ai.length,
                         ai.at, kind->title);
    return decode(text, &reading->values, &value, fault) &&
           element_string_add(&reading->elements, kind, ai, value, reading->today, fault);
}

/* `allowed` is what is left of a key's list of qualifiers, such as "22,10,21|235". Moves it behind `ai`; the first
 * qualifier chooses among the alternatives, the others must be in the chosen one. */
static bool take_qualifier(const char **allowed, struct span ai, bool first)
{
    for (const char *at = *allowed; *at;) {
        const size_t length = strcspn(at, ",|");
        const bool here = length == ai.length && memcmp(at, ai.at, length) == 0;
        at += length;
        if (here) {
            *allowed = *at == ',' ? at + 1 : "";
            return true;
        }
        if (*at == '|' && !first)
            return false;
        at += *at != '\0';
    }
    return false;
}

static bool no_qualifier(const struct application_identifier *key, struct span ai, struct fault *fault)
{
    char shown[32];
    text_show(ai, shown, sizeof shown);
    if (!key->link[0])
        return fault_set(fault, FAULT_INPUT, "(%s) %s ends the path, but '%s' follows: type what the label shows",
                         key->first, key->title, shown);
    return fault_set(fault, FAULT_INPUT,
                     "'%s' may not stand there: (%s) %s is followed by %s, each once and in this order; type what the "
                     "label shows",
                     shown, key->first, key->title, key->link);
}

/* `path` begins with a key of the table. */
static bool read_path(struct span path, struct reading *reading, struct fault *fault)
{
    bool more, first = true;
    if (path.at[path.length - 1] == '/')
        path.length--; /* as programs that tidy addresses add it */
    const struct span key_ai = take(&path, '/', &more);
    const struct application_identifier *const key = identifier(key_ai);
    const char *allowed = key->link;
    if (!add(reading, key, key_ai, take(&path, '/', &more), fault))
        return false;
    while (more) {
        const struct span ai = take(&path, '/', &more);
        if (!take_qualifier(&allowed, ai, first))
            return no_qualifier(key, ai, fault);
        first = false;
        if (!add(reading, identifier(ai), ai, more ? take(&path, '/', &more) : span_of(""), fault))
            return false;
    }
    return true;
}

/* Names of two to four digits are identifiers; the standard leaves all others to whoever runs the host. */
static bool read_query(struct span query, struct reading *reading, struct fault *fault)
{
    for (bool more = true; more;) {
        bool has_value;
        struct span value = take(&query, '&', &more);
        const struct span ai = take(&value, '=', &has_value);
        if (ai.length < FEWEST_DIGITS || ai.length > MOST_DIGITS || !digits_only(ai, ai.length))
            continue;
        const struct application_identifier *const kind = identifier(ai);
        if (!kind)
            return fault_set(fault, FAULT_INPUT, "'%.*s=' is no GS1 identifier: type what the label shows",
                             (int)ai.length, ai.at);
        if (!add(reading, kind, ai, value, fault))
            return false;
    }
    return true;
}

/* A second address, run together with the first, would else be taken for part of a value or of a name. */
static bool holds_another(struct span text)
{
    for (size_t i = scheme_length(text); i < text.length; i++)
        if (scheme_length((struct span){text.at + i, text.length - i}) > 0)
            return true;
    return false;
}

bool digital_link_read(struct span text, struct day today, char buffer[DIGITAL_LINK_SIZE], struct element_string *out,
                       struct fault *fault)
{
    struct address address;
    struct fault why = {FAULT_NONE, ""};
    struct reading reading = {.today = today};
    if (text.length >= DIGITAL_LINK_SIZE)
        return fault_set(fault, FAULT_INPUT,
                         "the web address has %zu bytes, at most %d are taken: scan one code at a time", text.length,
                         DIGITAL_LINK_SIZE - 1);
    if (!take_apart(text, &address) || !path_from_key(&address.path))
        return fault_set(fault, FAULT_INPUT,
                         "the web address holds no GS1 key, such as /01/ and 14 digits: type what the "
                         "label shows");
    if (holds_another(text))
        return fault_set(fault, FAULT_INPUT, "two codes ran together in one scan: scan them one at a time");
    builder_init(&reading.values, buffer, DIGITAL_LINK_SIZE);
    if (!read_path(address.path, &reading, &why) || !read_query(address.query, &reading, &why))
        return fault_set(fault, FAULT_INPUT, "in the web address: %s", why.text);
    *out = reading.elements;
    return true;
}

#include "labels/drawing/label_field.h"

#include <assert.h>
#include <stdint.h>
#include <string.h>

#include <glib.h>

#include "labels/basics/calendar.h"
#include "labels/content/ticket_time.h"
#include "labels/drawing/characters.h"

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
    [LABEL_FIELD_SUPPLIER] = "supplier",
    [LABEL_FIELD_SUPPLIER_ADDRESS] = "supplier-address",
    [LABEL_FIELD_SUPPLIER_PHONE] = "supplier-phone",
    [LABEL_FIELD_QUANTITY] = "quantity",
    [LABEL_FIELD_UFI] = "ufi",
    [LABEL_FIELD_LANGUAGE] = "language",
    [LABEL_FIELD_JOB] = "job",
    [LABEL_FIELD_PRINTER] = "printer",
    [LABEL_FIELD_REVISION] = "revision",
    [LABEL_FIELD_ENDS] = "ends",
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
    for (const char *at = value; *at;) {
        uint32_t code;
        at = character_next(at, &code);
        const char *trouble = character_trouble(code);
        if (trouble)
            return fault_set(fault, FAULT_INPUT, "field '%s' has %s (U+%04X): type it again without it", name, trouble,
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

/* At a '{': what is inside, or an empty span for "{{"; `*at` moves past it. False: no closing brace. */
static bool next_inside(const char **at, struct span *inside)
{
    const char *start = *at + 1;
    if (*start == '{') {
        *inside = (struct span){start, 0};
        *at = start + 1;
        return true;
    }
    const char *end = strchr(start, '}');
    if (!end)
        return false;
    *inside = (struct span){start, (size_t)(end - start)};
    *at = end + 1;
    return true;
}

/* A place for a value: which, and for a date whether its month is in letters. */
struct slot {
    enum label_field_id id;
    bool month;
};

static bool is_date(enum label_field_id id)
{
    return id == LABEL_FIELD_FILLED || id == LABEL_FIELD_EXPIRES;
}

static bool read_slot(struct span inside, struct slot *slot, struct fault *fault)
{
    char shown[64];
    const char *blank = inside.length ? memchr(inside.at, ' ', inside.length) : NULL;
    const size_t length = blank ? (size_t)(blank - inside.at) : inside.length;
    const int id = label_field_find((struct span){inside.at, length});
    if (id < 0)
        return fault_set(fault, FAULT_INPUT, "field '%s' is not known", text_show(inside, shown, sizeof shown));
    slot->id = (enum label_field_id)id;
    slot->month = blank != NULL;
    if (!blank)
        return true;
    const struct span form = {blank + 1, inside.length - length - 1};
    if (!is_date(slot->id))
        return fault_set(fault, FAULT_INPUT, "field '%s' is no date, so '%s' cannot stand behind it", names[id],
                         text_show(form, shown, sizeof shown));
    return span_equals(form, "month") ||
           fault_set(fault, FAULT_INPUT,
                     "a date cannot be written as '%s': say {%s} for 2026-02-14 or {%s month} for 14 Feb 2026",
                     text_show(form, shown, sizeof shown), names[id], names[id]);
}

bool label_field_check_pattern(const char *pattern, unsigned *uses, struct fault *fault)
{
    unsigned found = 0;
    for (const char *at = pattern; *at;) {
        struct span inside;
        struct slot slot;
        if (*at != '{') {
            at++;
            continue;
        }
        if (!next_inside(&at, &inside))
            return fault_set(fault, FAULT_INPUT, "a { has no }: close it, or write {{ for a brace");
        if (inside.length == 0 && at[-1] == '{')
            continue;
        if (!read_slot(inside, &slot, fault))
            return false;
        found |= 1U << slot.id;
    }
    if (uses)
        *uses = found;
    return true;
}

/* A day has one reading only: year first, or its month in letters. */
static bool add_date(struct builder *builder, const struct slot *slot, const char *value, struct fault *fault)
{
    static const char months[][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    struct fault reason = {0};
    struct day day;
    int year = 0, month = 1, day_of_month = 0;
    if (!calendar_read_date(value, strlen(value), &day, &reason))
        return fault_set(fault, FAULT_INPUT, "field '%s': %s", names[slot->id], reason.text);
    calendar_split(day, &year, &month, &day_of_month);
    if (slot->month)
        builder_addf(builder, "%d %s %d", day_of_month, months[month - 1], year);
    else
        builder_add(builder, value);
    return true;
}

static bool add_ends(struct builder *builder, const char *value, struct fault *fault)
{
    char words[TICKET_TIME_WORDS_SIZE];
    struct ticket_time ends;
    struct fault reason = {0};
    if (!ticket_time_read(span_of(value), &ends, &reason))
        return fault_set(fault, FAULT_INPUT, "field 'ends': %s", reason.text);
    builder_add(builder, ticket_time_words(&ends, words));
    return true;
}

static bool add_value(struct builder *builder, struct span inside, const struct label_values *values,
                      struct fault *fault)
{
    struct slot slot = {.month = false};
    if (!read_slot(inside, &slot, fault))
        return false;
    const char *value = values->at[slot.id];
    if (!value)
        return fault_set(fault, FAULT_INPUT, "field '%s' is missing: this label needs it", names[slot.id]);
    if (is_date(slot.id))
        return add_date(builder, &slot, value, fault);
    if (slot.id == LABEL_FIELD_ENDS)
        return add_ends(builder, value, fault);
    builder_add(builder, value);
    return true;
}

/* Around a value and around a line in a text with letters from right to left (UAX #9, explicit isolates). */
struct isolates {
    const char *line, *value, *end;
};
static const struct isolates no_isolates = {"", "", ""};

static bool fill(const char *pattern, const struct label_values *values, const struct isolates *isolates,
                 char text[LABEL_FIELD_TEXT_SIZE], struct fault *fault)
{
    char filled[LABEL_FIELD_TEXT_SIZE];
    struct builder builder;
    builder_init(&builder, filled, sizeof filled);
    builder_add(&builder, isolates->line);
    for (const char *at = pattern; *at;) {
        struct span inside;
        if (*at != '{') {
            builder_add_char(&builder, *at++);
            continue;
        }
        const bool closed = next_inside(&at, &inside);
        assert(closed); /* the pattern was checked when its template was read */
        if (!closed || inside.length == 0) {
            builder_add_char(&builder, '{');
            at += closed ? 0 : 1;
            continue;
        }
        builder_add(&builder, isolates->value);
        if (!add_value(&builder, inside, values, fault))
            return false;
        builder_add(&builder, isolates->end);
    }
    builder_add(&builder, isolates->end);
    if (builder.cut)
        return fault_set(fault, FAULT_INPUT, "a line of the label has over %d bytes: shorten its fields",
                         LABEL_FIELD_TEXT_SIZE - 1);
    memcpy(text, filled, sizeof filled);
    return true;
}

bool label_field_fill(const char *pattern, const struct label_values *values, char text[LABEL_FIELD_TEXT_SIZE],
                      struct fault *fault)
{
    return fill(pattern, values, &no_isolates, text, fault);
}

/* Does the first letter of the pattern's own words run from right to left? */
static bool words_run_right_to_left(const char *pattern)
{
    for (const char *at = pattern; *at;) {
        struct span inside;
        uint32_t code;
        if (*at == '{' && next_inside(&at, &inside))
            continue;
        at = character_next(at, &code);
        if (character_is_right_to_left(code))
            return true;
        if (g_unichar_isalpha(code))
            return false;
    }
    return false;
}

bool label_field_fill_line(const char *pattern, const struct label_values *values, char text[LABEL_FIELD_TEXT_SIZE],
                           struct fault *fault)
{
    /* U+2066 LRI, U+2067 RLI, U+2068 FSI, U+2069 PDI */
    static const struct isolates leftwards = {"\xE2\x81\xA7", "\xE2\x81\xA8", "\xE2\x81\xA9"},
                                 rightwards = {"\xE2\x81\xA6", "\xE2\x81\xA8", "\xE2\x81\xA9"};
    if (!fill(pattern, values, &no_isolates, text, fault))
        return false;
    if (!characters_run_right_to_left(span_of(text)))
        return true;
    return fill(pattern, values, words_run_right_to_left(pattern) ? &leftwards : &rightwards, text, fault);
}

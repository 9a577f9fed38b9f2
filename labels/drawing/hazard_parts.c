#include "labels/drawing/hazard_parts.h"

#include <string.h>

static const char NONE[] = "none";

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Bytes of "H315", "EUH066", "H360FD", "P302+P352" at the beginning; 0: no code. */
static size_t code_length(struct span entry)
{
    size_t at = 0;
    for (;;) {
        while (at < entry.length && (entry.at[at] == ' ' || entry.at[at] == '+'))
            at++;
        const struct span rest = {entry.at + at, entry.length - at};
        const size_t letters = span_starts(rest, "EUH") ? 3 : span_starts(rest, "H") || span_starts(rest, "P") ? 1 : 0;
        if (!letters || rest.length < letters + 3 || !is_digit(rest.at[letters]) || !is_digit(rest.at[letters + 1]) ||
            !is_digit(rest.at[letters + 2]))
            return at;
        at += letters + 3;
        while (at < entry.length && ((entry.at[at] | 0x20) >= 'a' && (entry.at[at] | 0x20) <= 'z'))
            at++;
    }
}

/* The next entry of a list, spaces at its ends left out. False at the end. */
static bool next_entry(struct span *list, struct span *entry)
{
    if (!list->at)
        return false;
    const char *end = memchr(list->at, HAZARD_LIST_SEPARATOR, list->length);
    *entry = (struct span){list->at, end ? (size_t)(end - list->at) : list->length};
    *list = end ? (struct span){end + 1, list->length - entry->length - 1} : (struct span){NULL, 0};
    while (entry->length > 0 && entry->at[0] == ' ') {
        entry->at++;
        entry->length--;
    }
    while (entry->length > 0 && entry->at[entry->length - 1] == ' ')
        entry->length--;
    return true;
}

bool hazard_parts_check_list(const char *what, const char *list, struct fault *fault)
{
    struct span rest = span_of(list), entry;
    char shown[48];
    if (strcmp(list, NONE) == 0)
        return true;
    while (next_entry(&rest, &entry)) {
        if (entry.length == 0)
            return fault_set(fault, FAULT_INPUT, "'%s' has an empty entry: take out one of the '|'", what);
        if (code_length(entry) == entry.length)
            return fault_set(fault, FAULT_INPUT,
                             "'%s' has the code %s without words: copy the words from section 2 of the SDS", what,
                             text_show(entry, shown, sizeof shown));
    }
    return true;
}

bool hazard_parts_check_pictograms(const char *codes, enum pictogram found[HAZARD_PICTOGRAMS], size_t *count,
                                   struct fault *fault)
{
    unsigned seen = 0;
    size_t have = 0;
    char shown[24];
    if (strcmp(codes, NONE) == 0)
        codes = "";
    while (*codes) {
        const struct span code = {codes, strcspn(codes, " ")};
        enum pictogram pictogram;
        codes += code.length + strspn(codes + code.length, " ");
        if (!pictogram_find(code, &pictogram))
            return fault_set(fault, FAULT_INPUT,
                             "pictogram '%s' is not known: write GHS01 to GHS09 with spaces between, or none",
                             text_show(code, shown, sizeof shown));
        if (seen >> pictogram & 1)
            return fault_set(fault, FAULT_INPUT, "pictogram %s is given twice: give it once",
                             pictogram_code(pictogram));
        if (have == HAZARD_PICTOGRAMS)
            return fault_set(fault, FAULT_INPUT, "over %d pictograms do not go on one label: look at the SDS again",
                             HAZARD_PICTOGRAMS);
        seen |= 1U << pictogram;
        if (found)
            found[have] = pictogram;
        have++;
    }
    if (count)
        *count = have;
    return true;
}

struct reading {
    const struct hazard_element *element;
    const struct label_values *values;
    struct hazard_parts *parts;
    struct builder text;
};

static void add_paragraph(struct reading *reading, size_t start, enum label_field_id field, bool bold)
{
    struct hazard_parts *parts = reading->parts;
    const struct span text = {parts->text + start, reading->text.length - start};
    parts->paragraphs[parts->paragraph_count++] = (struct hazard_paragraph){text, field, bold};
}

static void add_words(struct reading *reading, const char *words, enum label_field_id field, bool bold)
{
    const size_t start = reading->text.length;
    builder_add(&reading->text, words);
    add_paragraph(reading, start, field, bold);
}

/* Is the value there? If not: refused, or "… see SDS", as the shop chose. */
static bool is_given(struct reading *reading, enum label_field_id field, const char *see_sds, bool *given,
                     struct fault *fault)
{
    *given = reading->values->at[field] != NULL;
    if (*given)
        return true;
    if (!reading->element->see_sds)
        return fault_set(fault, FAULT_INPUT,
                         "field '%s' is missing, and this template prints no hazard label without it: enter what "
                         "section 2 of the SDS says, or 'none' where it says none",
                         label_field_name(field));
    if (see_sds)
        add_words(reading, see_sds, LABEL_FIELD_IDS, false);
    return true;
}

static bool read_pictograms(struct reading *reading, struct fault *fault)
{
    struct hazard_parts *parts = reading->parts;
    bool given;
    if (!is_given(reading, LABEL_FIELD_PICTOGRAMS, "Pictograms: see SDS.", &given, fault))
        return false;
    return !given || hazard_parts_check_pictograms(reading->values->at[LABEL_FIELD_PICTOGRAMS], parts->pictograms,
                                                   &parts->pictogram_count, fault);
}

static bool read_words(struct reading *reading, enum label_field_id field, const char *see_sds, bool bold,
                       struct fault *fault)
{
    bool given;
    if (!is_given(reading, field, see_sds, &given, fault))
        return false;
    const char *value = reading->values->at[field];
    if (given && strcmp(value, NONE) != 0)
        add_words(reading, value, field, bold);
    return true;
}

/* One paragraph, statement after statement. */
static bool read_list(struct reading *reading, enum label_field_id field, const char *see_sds, struct fault *fault)
{
    const size_t start = reading->text.length;
    bool given;
    if (!is_given(reading, field, see_sds, &given, fault))
        return false;
    const char *value = reading->values->at[field];
    if (!given || strcmp(value, NONE) == 0)
        return true;
    if (!hazard_parts_check_list(label_field_name(field), value, fault))
        return false;
    struct span rest = span_of(value), entry;
    while (next_entry(&rest, &entry)) {
        if (reading->text.length > start)
            builder_add_char(&reading->text, ' ');
        builder_add_span(&reading->text, entry);
    }
    add_paragraph(reading, start, field, false);
    return true;
}

static bool read_capacity(struct reading *reading, struct fault *fault)
{
    const char *said = reading->values->at[LABEL_FIELD_CAPACITY];
    if (!said)
        return fault_set(fault, FAULT_INPUT,
                         "field 'capacity' is missing: the size of a hazard label goes by it, so enter the item's "
                         "content of a full one");
    return span_read_count(span_of(said), &reading->parts->capacity_ml) ||
           fault_set(fault, FAULT_INPUT, "field 'capacity' is '%s', not whole millilitres", said);
}

bool hazard_parts_read(const struct hazard_element *element, const struct label_values *values,
                       struct hazard_parts *parts, struct fault *fault)
{
    struct reading reading = {.element = element, .values = values, .parts = parts};
    parts->pictogram_count = parts->paragraph_count = 0;
    builder_init(&reading.text, parts->text, sizeof parts->text);
    if (!values->at[LABEL_FIELD_PRODUCT] || strcmp(values->at[LABEL_FIELD_PRODUCT], NONE) == 0)
        return fault_set(fault, FAULT_INPUT,
                         "field 'product' is missing: a hazard label names its product as section 1 of the SDS does");
    add_words(&reading, values->at[LABEL_FIELD_PRODUCT], LABEL_FIELD_PRODUCT, true);
    if (!read_capacity(&reading, fault) || !read_pictograms(&reading, fault) ||
        !read_words(&reading, LABEL_FIELD_SIGNAL_WORD, "Signal word: see SDS.", true, fault) ||
        !read_list(&reading, LABEL_FIELD_STATEMENTS, "Hazard statements: see SDS.", fault) ||
        !read_list(&reading, LABEL_FIELD_PRECAUTIONS, "Precautions: see SDS.", fault) ||
        !read_words(&reading, LABEL_FIELD_SDS, NULL, false, fault))
        return false;
    if (!element->preprinted) /* black frames: no label for a product that is handed on (29 CFR 1910.1200(f)(6)) */
        add_words(&reading, "Workplace label.", LABEL_FIELD_IDS, false);
    return !reading.text.cut ||
           fault_set(fault, FAULT_INPUT, "the hazard text has over %d bytes: shorten it", HAZARD_TEXT_SIZE - 1);
}

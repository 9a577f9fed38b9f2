#include "labels/drawing/hazard_parts.h"

#include <string.h>

#include "labels/content/hazard_words.h"
#include "labels/content/ufi.h"
#include "labels/content/workplace_words.h"

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
    return !given || hazard_words_pictograms(reading->values->at[LABEL_FIELD_PICTOGRAMS], parts->pictograms,
                                             &parts->pictogram_count, fault);
}

static bool read_words(struct reading *reading, enum label_field_id field, const char *see_sds, bool bold,
                       struct fault *fault)
{
    bool given;
    if (!is_given(reading, field, see_sds, &given, fault))
        return false;
    const char *value = reading->values->at[field];
    if (given && strcmp(value, hazard_words_none) != 0)
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
    if (!given || strcmp(value, hazard_words_none) == 0)
        return true;
    if (!hazard_words_check(label_field_name(field), value, fault))
        return false;
    struct span rest = span_of(value), entry;
    while (hazard_words_next(&rest, &entry)) {
        if (reading->text.length > start)
            builder_add_char(&reading->text, ' ');
        builder_add_span(&reading->text, entry);
    }
    add_paragraph(reading, start, field, false);
    return true;
}

/* What is said, and is not "none". */
static const char *said(const struct reading *reading, enum label_field_id field)
{
    const char *value = reading->values->at[field];
    return value && strcmp(value, hazard_words_none) != 0 ? value : NULL;
}

static bool read_quantity_and_ufi(struct reading *reading, struct fault *fault)
{
    const char *quantity = said(reading, LABEL_FIELD_QUANTITY), *ufi = said(reading, LABEL_FIELD_UFI);
    const size_t start = reading->text.length;
    if (!reading->element->preprinted)
        return true;
    if (ufi && !ufi_check("ufi", ufi, fault))
        return false;
    if (quantity)
        builder_add(&reading->text, quantity);
    if (ufi) /* U+00A0 keeps both on one line; "UFI:" stands before it in every language (CLP Annex VIII part A 5.3) */
        builder_addf(&reading->text, "%sUFI:\xC2\xA0%s", quantity ? ", " : "", ufi);
    if (quantity || ufi)
        add_paragraph(reading, start, quantity ? LABEL_FIELD_QUANTITY : LABEL_FIELD_UFI, false);
    return true;
}

/* One paragraph. */
static bool read_supplier(struct reading *reading, struct fault *fault)
{
    static const enum label_field_id fields[] = {LABEL_FIELD_SUPPLIER, LABEL_FIELD_SUPPLIER_ADDRESS,
                                                 LABEL_FIELD_SUPPLIER_PHONE};
    const size_t start = reading->text.length;
    if (!reading->element->preprinted)
        return true;
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        const char *value = said(reading, fields[i]);
        if (!value)
            return fault_set(fault, FAULT_INPUT,
                             "field '%s' is missing: red frames go with what is handed on, and its label names the "
                             "supplier with address and telephone (CLP article 17): enter it, or take a template with "
                             "black frames for the workplace",
                             label_field_name(fields[i]));
        builder_addf(&reading->text, "%s%s", i > 0 ? ", " : "", value);
    }
    add_paragraph(reading, start, LABEL_FIELD_SUPPLIER, false);
    return true;
}

/* Black frames: no label for a product that is handed on. */
static bool read_workplace(struct reading *reading, struct fault *fault)
{
    if (reading->element->preprinted)
        return true;
    const char *language = said(reading, LABEL_FIELD_LANGUAGE), *words = workplace_words_in(language);
    if (!words)
        return fault_set(fault, FAULT_INPUT, "field 'language' is '%s', and there are words in %s: say one of them",
                         language, workplace_words_languages);
    add_words(reading, words, LABEL_FIELD_IDS, false);
    return true;
}

static bool read_capacity(struct reading *reading, struct fault *fault)
{
    const char *ml = reading->values->at[LABEL_FIELD_CAPACITY];
    if (!ml)
        return fault_set(fault, FAULT_INPUT,
                         "field 'capacity' is missing: the size of a hazard label goes by it, so enter the item's "
                         "content of a full one");
    return span_read_count(span_of(ml), &reading->parts->capacity_ml) ||
           fault_set(fault, FAULT_INPUT, "field 'capacity' is '%s', not whole millilitres", ml);
}

bool hazard_parts_read(const struct hazard_element *element, const struct label_values *values,
                       struct hazard_parts *parts, struct fault *fault)
{
    struct reading reading = {.element = element, .values = values, .parts = parts};
    parts->pictogram_count = parts->paragraph_count = 0;
    builder_init(&reading.text, parts->text, sizeof parts->text);
    if (!values->at[LABEL_FIELD_PRODUCT] || strcmp(values->at[LABEL_FIELD_PRODUCT], hazard_words_none) == 0)
        return fault_set(fault, FAULT_INPUT,
                         "field 'product' is missing: a hazard label names its product as section 1 of the SDS does");
    add_words(&reading, values->at[LABEL_FIELD_PRODUCT], LABEL_FIELD_PRODUCT, true);
    if (!read_capacity(&reading, fault) || !read_quantity_and_ufi(&reading, fault) ||
        !read_pictograms(&reading, fault) ||
        !read_words(&reading, LABEL_FIELD_SIGNAL_WORD, "Signal word: see SDS.", true, fault) ||
        !read_list(&reading, LABEL_FIELD_STATEMENTS, "Hazard statements: see SDS.", fault) ||
        !read_list(&reading, LABEL_FIELD_PRECAUTIONS, "Precautions: see SDS.", fault) ||
        !read_supplier(&reading, fault) || !read_words(&reading, LABEL_FIELD_SDS, NULL, false, fault) ||
        !read_workplace(&reading, fault))
        return false;
    return !reading.text.cut ||
           fault_set(fault, FAULT_INPUT, "the hazard text has over %d bytes: shorten it", HAZARD_TEXT_SIZE - 1);
}

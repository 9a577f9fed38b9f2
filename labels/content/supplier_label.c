#include "labels/content/supplier_label.h"

#include <string.h>

#include "labels/content/check_character.h"
#include "labels/content/gs1_date.h"

enum { GTIN_DIGITS = 14, LITRE_UL = 1000000, MILLION = 1000000 };

void supplier_label_warn(char *warning, const char *text)
{
    const size_t length = strlen(warning), more = strlen(text);
    if (strstr(warning, text) || length + 1 + more >= SCAN_WARNING_SIZE)
        return;
    struct builder out;
    builder_init(&out, warning + length, SCAN_WARNING_SIZE - length);
    builder_addf(&out, "%s%s", length > 0 ? "\n" : "", text);
}

static bool printable(struct span text)
{
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] < 0x20 || text.at[i] > 0x7E)
            return false;
    return true;
}

static bool put_text(struct span value, char *at, size_t size, const char *what, struct fault *fault)
{
    char shown[48];
    text_show(value, shown, sizeof shown);
    if (value.length >= size)
        return fault_set(fault, FAULT_INPUT,
                         "the maker's %s '%s' has %zu characters, at most %zu are taken: two fields may have run "
                         "together, set the scanner to send GS (ASCII 29) and scan again",
                         what, shown, value.length, size - 1);
    if (!printable(value))
        return fault_set(fault, FAULT_INPUT, "the maker's %s '%s' holds characters that cannot be printed: scan again",
                         what, shown);
    if (at[0] && !span_equals(value, at))
        return fault_set(fault, FAULT_INPUT, "the code gives two different %ss, '%s' and '%s': type the right one",
                         what, at, shown);
    (void)span_copy(value, at, size);
    return true;
}

static bool put_day(struct day day, bool *has, struct day *at, const char *what, struct fault *fault)
{
    char one[CALENDAR_DATE_SIZE], other[CALENDAR_DATE_SIZE];
    if (*has && at->number != day.number)
        return fault_set(fault, FAULT_INPUT, "the code gives two different %s dates, %s and %s: type the right one",
                         what, calendar_write_date(*at, one), calendar_write_date(day, other));
    *has = true;
    *at = day;
    return true;
}

static bool put_number(int64_t value, int64_t *at, const char *what, struct fault *fault)
{
    if (*at != 0 && value != *at)
        return fault_set(fault, FAULT_INPUT, "the code gives two different %ss: type the right one", what);
    *at = value;
    return true;
}

static bool put_item(struct span value, bool is_gtin, struct supplier_label *label, struct fault *fault)
{
    if (label->item_is_gtin && !is_gtin)
        return true; /* the GTIN says more than the maker's own code */
    if (is_gtin && !label->item_is_gtin)
        label->item[0] = '\0';
    if (!put_text(value, label->item, sizeof label->item, "item code", fault))
        return false;
    label->item_is_gtin = is_gtin;
    return true;
}

bool supplier_label_add_gtin(struct span digits, struct supplier_label *label, struct fault *fault)
{
    char shown[24], gtin[GTIN_DIGITS];
    bool zeros = true;
    text_show(digits, shown, sizeof shown);
    if (digits.length != 8 && digits.length != 12 && digits.length != 13 && digits.length != GTIN_DIGITS)
        return fault_set(
            fault, FAULT_INPUT,
            "item code '%s' has %zu digits, not 8, 12, 13 or 14: the code is cut, or two ran together; scan "
            "again",
            shown, digits.length);
    if (!check_character_mod10_ok(digits))
        return fault_set(fault, FAULT_INPUT, "item code '%s' has a wrong check digit: scan again, or type it anew",
                         shown);
    memset(gtin, '0', sizeof gtin);
    memcpy(gtin + sizeof gtin - digits.length, digits.at, digits.length);
    for (size_t i = 0; i < sizeof gtin; i++)
        zeros = zeros && gtin[i] == '0';
    if (zeros)
        return fault_set(fault, FAULT_INPUT, "item code '%s' is nothing but zeros: scan again", shown);
    return put_item((struct span){gtin, sizeof gtin}, true, label, fault);
}

static bool add_expiry(const struct element_string *elements, struct day today, struct supplier_label *label,
                       char *warning, struct fault *fault)
{
    struct day day = {0};
    bool day_was_00 = false;
    const struct element *const expiry = element_string_find(elements, "17");
    const struct element *const with_time = element_string_find(elements, "7003");
    const struct element *const best_before = element_string_find(elements, "15");
    if (expiry) {
        if (!gs1_date_read(expiry->value, today, true, &day, &day_was_00, fault) ||
            !put_day(day, &label->has_expires, &label->expires, "expiry", fault))
            return false;
        label->expires_day_was_00 = day_was_00;
    }
    if (with_time && (!gs1_date_read((struct span){with_time->value.at, 6}, today, false, &day, NULL, fault) ||
                      !put_day(day, &label->has_expires, &label->expires, "expiry", fault)))
        return false;
    if (!label->has_expires && best_before) {
        if (!gs1_date_read(best_before->value, today, true, &day, &day_was_00, fault))
            return false;
        label->has_expires = true;
        label->expires = day;
        label->expires_day_was_00 = day_was_00;
        supplier_label_warn(warning, "the code has no expiry date; its best-before date is taken: check the label");
    }
    return true;
}

static bool add_made(const struct element_string *elements, struct day today, struct supplier_label *label,
                     struct fault *fault)
{
    static const char *const identifiers[] = {"11", "8008"};
    for (size_t i = 0; i < sizeof identifiers / sizeof *identifiers; i++) {
        struct day day;
        const struct element *const made = element_string_find(elements, identifiers[i]);
        if (made && (!gs1_date_read((struct span){made->value.at, 6}, today, i == 0, &day, NULL, fault) ||
                     !put_day(day, &label->has_made, &label->made, "production", fault)))
            return false;
    }
    return true;
}

/* Six digits of litres (315n) or cubic metres (316n), n of them decimals. What falls below a microlitre is dropped. */
static bool add_volume(const struct element *volume, int64_t unit_ul, struct supplier_label *label, struct fault *fault)
{
    int64_t value;
    if (!volume || !span_read_count(volume->value, &value))
        return true;
    value *= unit_ul;
    for (char n = volume->ai[3]; n > '0'; n--)
        value /= 10;
    return value == 0 || put_number(value, &label->content_ul, "content", fault);
}

/* Each of 8006 and 8026 is a GTIN, then which piece this is and of how many: the parts of one thing in several packs.
 */
static bool add_item(const struct element_string *elements, struct supplier_label *label, char *warning,
                     struct fault *fault)
{
    static const char *const items[] = {"01", "02", "03", "8006", "8026"};
    for (size_t i = 0; i < sizeof items / sizeof *items; i++) {
        const struct element *const found = element_string_find(elements, items[i]);
        if (!found)
            continue;
        if (found->value.length > GTIN_DIGITS && memcmp(found->value.at + GTIN_DIGITS, "0101", 4) != 0) {
            char text[SCAN_SENTENCE_SIZE];
            struct builder out;
            builder_init(&out, text, sizeof text);
            builder_addf(&out, "the code is of piece %.2s of %.2s of one thing: receive it once, when all are here",
                         found->value.at + GTIN_DIGITS, found->value.at + GTIN_DIGITS + 2);
            supplier_label_warn(warning, text);
        }
        return supplier_label_add_gtin((struct span){found->value.at, GTIN_DIGITS}, label, fault);
    }
    return true;
}

bool supplier_label_add_elements(const struct element_string *elements, struct day today, struct supplier_label *label,
                                 char *warning, struct fault *fault)
{
    static const char *const serials[] = {"21", "8004", "8003", "00"};
    static const char *const counts[] = {"30", "37"};
    const struct element *found;
    if ((element_string_find(elements, "02") || element_string_find(elements, "8026")) &&
        !element_string_find(elements, "37"))
        return fault_set(fault, FAULT_INPUT,
                         "(02) or (8026) CONTENT says what is inside, but no (37) COUNT says how many: scan "
                         "again, or scan the code on one unit");
    if (!add_item(elements, label, warning, fault))
        return false;
    if ((found = element_string_find(elements, "10")) &&
        !put_text(found->value, label->lot, sizeof label->lot, "lot", fault))
        return false;
    bool done = false;
    for (size_t i = 0; i < sizeof serials / sizeof *serials && !done; i++)
        if ((found = element_string_find(elements, serials[i]))) {
            done = true;
            if (!put_text(found->value, label->serial, sizeof label->serial, "serial", fault))
                return false;
        }
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        int64_t count;
        if ((found = element_string_find(elements, counts[i])) && span_read_count(found->value, &count) && count > 0 &&
            !put_number(count, &label->count, "count", fault))
            return false;
    }
    return add_expiry(elements, today, label, warning, fault) && add_made(elements, today, label, fault) &&
           add_volume(element_string_find(elements, "315n"), LITRE_UL, label, fault) &&
           add_volume(element_string_find(elements, "316n"), (int64_t)LITRE_UL * 1000, label, fault);
}

/* The first of `names` that is there; all fields of that name must agree. */
static bool pick(const struct data_field *fields, size_t count, const char *const *names, size_t name_count,
                 const struct data_field **found, struct fault *fault)
{
    *found = NULL;
    for (size_t n = 0; n < name_count && !*found; n++)
        for (size_t i = 0; i < count; i++) {
            if (strcmp(fields[i].name, names[n]) != 0)
                continue;
            if (*found && ((*found)->value.length != fields[i].value.length ||
                           memcmp((*found)->value.at, fields[i].value.at, fields[i].value.length) != 0))
                return fault_set(fault, FAULT_INPUT,
                                 "field %s comes twice with different values: scan one code at a time", names[n]);
            if (!*found)
                *found = &fields[i];
        }
    return true;
}

#define PICK(names, found) pick(fields, count, names, sizeof(names) / sizeof *(names), found, fault)

static bool add_texts(const struct data_field *fields, size_t count, struct supplier_label *label, char *warning,
                      struct fault *fault)
{
    static const char *const gtins[] = {"8P"}, *const items[] = {"1P", "25P", "9N"};
    static const char *const lots[] = {"1T", "25T", "T"}, *const serials[] = {"S", "25S", "1S"};
    const struct data_field *gtin, *item, *lot, *serial;
    if (!PICK(gtins, &gtin) || !PICK(items, &item) || !PICK(lots, &lot) || !PICK(serials, &serial))
        return false;
    if (gtin && !supplier_label_add_gtin(gtin->value, label, fault))
        return false;
    if (item && !put_item(item->value, false, label, fault))
        return false;
    if (lot && !put_text(lot->value, label->lot, sizeof label->lot, "lot", fault))
        return false;
    if (lot && strcmp(lot->name, "T") == 0)
        supplier_label_warn(warning,
                            "the lot comes from field T, which a customer numbers: check it against the label");
    return !serial || put_text(serial->value, label->serial, sizeof label->serial, "serial", fault);
}

/* A date field whose three digits after it say `code` (X12 data element 374). */
static bool has_code(const struct data_field *field, const char *code)
{
    const bool coded =
        field->kind && (field->kind->form == DATA_YYMMDD_CODE || field->kind->form == DATA_YYYYMMDD_CODE);
    return coded && memcmp(field->value.at + field->value.length - 3, code, 3) == 0;
}

static bool is_named(const struct data_field *field, const char *one, const char *other)
{
    return strcmp(field->name, one) == 0 || strcmp(field->name, other) == 0;
}

/* What stands in for an expiry that the code does not name: best before, then a date without a meaning. Two different
 * dates without a meaning may be anything, so neither is taken. */
static bool add_vague_expiry(const struct data_field *fields, size_t count, struct supplier_label *label, char *warning,
                             struct fault *fault)
{
    static const char *const best_before[] = {"25D"};
    const struct data_field *taken;
    if (!PICK(best_before, &taken))
        return false;
    const char *text = "the code has no expiry date; its best-before date is taken: check the label";
    if (!taken) {
        taken = data_identifier_find(fields, count, "D");
        text = "the code's date (D) does not say what it means; it is taken as the expiry: check the label";
        for (size_t i = 0; taken && i < count; i++)
            if (strcmp(fields[i].name, "D") == 0 && fields[i].day.number != taken->day.number) {
                supplier_label_warn(warning, "the code has two dates (D) that do not say what they mean: type the "
                                             "expiry from the label");
                return true;
            }
    }
    if (!taken)
        return true;
    label->has_expires = true;
    label->expires = taken->day;
    label->expires_day_was_00 = taken->day_was_00;
    supplier_label_warn(warning, text);
    return true;
}

static bool add_dates(const struct data_field *fields, size_t count, struct supplier_label *label, char *warning,
                      struct fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        const struct data_field *const field = &fields[i];
        if (!field->has_day)
            continue;
        if ((is_named(field, "14D", "15D") || has_code(field, "036")) &&
            !put_day(field->day, &label->has_expires, &label->expires, "expiry", fault))
            return false;
        if ((is_named(field, "16D", "17D") || has_code(field, "094")) &&
            !put_day(field->day, &label->has_made, &label->made, "production", fault))
            return false;
    }
    return label->has_expires || add_vague_expiry(fields, count, label, warning, fault);
}

static bool add_amount(int64_t millionths, const char *unit, struct supplier_label *label, struct fault *fault)
{
    static const struct {
        const char *unit;
        int64_t ul; /* of one; 0: pieces */
    } units[] = {{"ML", 1000}, {"MLT", 1000}, {"LT", LITRE_UL}, {"LTR", LITRE_UL}, {"EA", 0}};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (strcmp(units[i].unit, unit) != 0)
            continue;
        if (units[i].ul == 0 && millionths % MILLION == 0)
            return millionths == 0 || put_number(millionths / MILLION, &label->count, "count", fault);
        const int64_t content_ul = millionths / (MILLION / 1000) * (units[i].ul / 1000);
        return content_ul == 0 || put_number(content_ul, &label->content_ul, "content", fault);
    }
    return true; /* grams and others: nothing here is kept by them */
}

static bool add_amounts(const struct data_field *fields, size_t count, struct supplier_label *label, char *warning,
                        struct fault *fault)
{
    static const char *const quantities[] = {"Q"}, *const quantity_units[] = {"3Q"};
    const struct data_field *quantity, *quantity_unit;
    if (!PICK(quantities, &quantity) || !PICK(quantity_units, &quantity_unit))
        return false;
    int64_t millionths;
    char unit[4] = "EA";
    for (size_t i = 0; i < count; i++)
        if (strcmp(fields[i].name, "7Q") == 0 && data_identifier_measure(fields[i].value, &millionths, unit) &&
            !add_amount(millionths, unit, label, fault))
            return false;
    if (!quantity || !data_identifier_quantity(quantity->value, &millionths))
        return true;
    (void)memcpy(unit, "EA", sizeof "EA");
    if (quantity_unit && !span_copy(quantity_unit->value, unit, sizeof unit))
        return true;
    if (!quantity_unit)
        supplier_label_warn(warning, "the code's quantity (Q) does not say its unit; it is taken as pieces: check it");
    return add_amount(millionths, unit, label, fault);
}

bool supplier_label_add_fields(const struct data_field *fields, size_t count, struct supplier_label *label,
                               char *warning, struct fault *fault)
{
    return add_texts(fields, count, label, warning, fault) && add_dates(fields, count, label, warning, fault) &&
           add_amounts(fields, count, label, warning, fault);
}

void supplier_label_finish(const struct supplier_label *label, char *warning)
{
    if (label->has_made && label->has_expires && label->expires.number < label->made.number)
        supplier_label_warn(warning, "the code says it expired before it was made: check both dates on the label");
}

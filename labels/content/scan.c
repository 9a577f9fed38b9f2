#include "labels/content/scan.h"

#include <string.h>

#include "labels/content/bracketed_string.h"
#include "labels/content/data_identifier.h"
#include "labels/content/digital_link.h"
#include "labels/content/element_string.h"
#include "labels/content/envelope.h"
#include "labels/content/job_label_fields.h"
#include "labels/content/supplier_label.h"
#include "labels/content/symbology.h"
#include "labels/content/unit_label_fields.h"

enum { GS = 0x1D, GTIN_BYTES = 14 };

static bool two_scans(struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT, "two codes ran together in one scan: scan them one at a time");
}

const char *scan_kind_word(enum scan_kind kind)
{
    static const char *const words[] = {"unit", "person", "place", "card", "item", "job", "supplier", "other"};
    _Static_assert(sizeof words / sizeof *words == SCAN_KINDS, "one word a kind");
    return kind < SCAN_KINDS ? words[kind] : "other";
}

/* GS1 element strings, as scanned or as typed, into a supplier's label. */
static bool read_elements(const struct element_string *elements, struct day today, struct scan *scan,
                          struct fault *fault)
{
    struct fault why = {FAULT_NONE, ""};
    size_t gtins = 0;
    for (size_t i = 0; i < elements->count; i++)
        gtins += strcmp(elements->elements[i].ai, "01") == 0;
    if (gtins > 1)
        return two_scans(fault);
    const enum element_pairs pairs = element_string_pairs(elements, &why);
    if (pairs == ELEMENT_PAIRS_INVALID)
        return fault_set(fault, FAULT_INPUT, "%s", why.text);
    if (!supplier_label_add_elements(elements, today, &scan->supplier, scan->warning, fault))
        return false;
    if (pairs == ELEMENT_PAIRS_MISSING)
        (void)span_copy(span_of(why.text), scan->lacks, sizeof scan->lacks);
    scan->kind = SCAN_SUPPLIER;
    return true;
}

/* Does a second symbology identifier stand inside? GS1 data have no ']', so there it always is one. */
static bool has_identifier(struct span text)
{
    for (size_t i = 0; i + SYMBOLOGY_BYTES <= text.length; i++)
        if (symbology_starts((struct span){text.at + i, text.length - i}))
            return true;
    return false;
}

static bool read_scanned_elements(struct span text, struct day today, struct scan *scan, struct fault *fault)
{
    struct element_string elements;
    if (has_identifier(text))
        return two_scans(fault);
    return element_string_read(text, today, &elements, fault) && read_elements(&elements, today, scan, fault);
}

static bool fields_agree(const struct data_field *fields, size_t count, struct fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        const struct data_field *const first = data_identifier_find(fields, count, fields[i].name);
        if (first->value.length != fields[i].value.length ||
            memcmp(first->value.at, fields[i].value.at, first->value.length) != 0)
            return fault_set(fault, FAULT_INPUT, "field %s comes twice with different values: scan one code at a time",
                             fields[i].name);
    }
    return true;
}

/* A code of one field alone, L, Z or P, that has the shape of ours. */
static bool sole_code(const struct data_field *fields, size_t count, const char *name, char *at, size_t size)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(fields[i].name, name) != 0)
            return false;
    return label_code_fits(fields[0].value, size - 1) && span_copy(fields[0].value, at, size);
}

/* A serial of ours with digits missing at its end, at the end of a code that has lost its trailer. */
static bool is_cut_serial(const struct data_field *serial)
{
    if (!serial || serial->value.length >= 8 || !strchr(serial_letters, serial->value.at[0]))
        return false;
    for (size_t i = 1; i < serial->value.length; i++)
        if (serial->value.at[i] < '0' || serial->value.at[i] > '9')
            return false;
    return true;
}

static bool read_format_06(const struct envelope_format *format, bool trailer_missing, struct day today,
                           struct scan *scan, struct fault *fault)
{
    struct data_field fields[ENVELOPE_FIELDS];
    const size_t count = format->field_count;
    if (count == 0)
        return fault_set(fault, FAULT_INPUT, "the code holds no field after its header: it is cut, scan again");
    for (size_t i = 0; i < count; i++)
        if (!data_identifier_read(format->fields[i], today, &fields[i], fault))
            return false;
    const struct data_field *const serial = data_identifier_find(fields, count, "S");
    if (trailer_missing && is_cut_serial(serial) && serial == &fields[count - 1])
        return fault_set(fault, FAULT_INPUT, "the code is cut inside the serial: scan again");
    if (serial && serial_has_shape(serial->value)) {
        if (!fields_agree(fields, count, fault) || !unit_label_from_fields(fields, count, &scan->unit, fault))
            return false;
        scan->kind = scan->unit.serial[0] == 'H' ? SCAN_PERSON : SCAN_UNIT;
        return true;
    }
    if (sole_code(fields, count, "L", scan->place, sizeof scan->place)) {
        scan->kind = SCAN_PLACE;
        return fields_agree(fields, count, fault);
    }
    if (sole_code(fields, count, "Z", scan->card, sizeof scan->card)) {
        scan->kind = SCAN_CARD;
        return fields_agree(fields, count, fault);
    }
    if (sole_code(fields, count, "P", scan->item, sizeof scan->item)) {
        scan->kind = SCAN_ITEM;
        return fields_agree(fields, count, fault);
    }
    if (job_label_is(fields, count)) {
        if (trailer_missing) /* no check character guards it: a shorter code could be another job */
            return fault_set(fault, FAULT_INPUT, "the ticket's code has no end (RS EOT): it may be cut, scan again");
        scan->kind = SCAN_JOB;
        return fields_agree(fields, count, fault) && job_label_from_fields(fields, count, &scan->job, fault);
    }
    scan->kind = SCAN_SUPPLIER;
    return supplier_label_add_fields(fields, count, &scan->supplier, scan->warning, fault);
}

/* Does it say anything that a supplier's label is read for? */
static bool says_something(const struct supplier_label *label)
{
    return label->item[0] || label->lot[0] || label->serial[0] || label->has_expires || label->has_made ||
           label->count > 0 || label->content_ul > 0;
}

static bool read_envelope(struct span text, struct day today, struct scan *scan, struct fault *fault)
{
    struct envelope envelope;
    struct scan extra = {.kind = SCAN_OTHER}; /* what a format after ours says, checked and passed over */
    bool ours = false;
    if (!envelope_read(text, &envelope, fault))
        return false;
    scan->kind = SCAN_OTHER;
    for (size_t i = 0; i < envelope.count; i++) {
        const struct envelope_format *const format = &envelope.formats[i];
        struct scan *const into = ours ? &extra : scan;
        if (format->number == 6 &&
            !read_format_06(format, envelope.trailer_missing && i + 1 == envelope.count, today, into, fault))
            return false;
        if (format->number == 5 && !read_scanned_elements(format->data, today, into, fault))
            return false;
        if (ours && extra.kind < SCAN_SUPPLIER)
            return fault_set(fault, FAULT_INPUT, "the code names two things of ours: scan one at a time");
        ours = ours || scan->kind < SCAN_SUPPLIER;
    }
    if (ours)
        memset(&scan->supplier, 0, sizeof scan->supplier);
    if (scan->kind == SCAN_SUPPLIER && !says_something(&scan->supplier))
        scan->kind = SCAN_OTHER;
    if (envelope.note[0])
        supplier_label_warn(scan->warning, envelope.note);
    return true;
}

static bool read_link(struct span text, struct day today, struct scan *scan, struct fault *fault)
{
    struct element_string elements;
    char values[DIGITAL_LINK_SIZE];
    return digital_link_read(text, today, values, &elements, fault) && read_elements(&elements, today, scan, fault);
}

static bool read_gtin(struct span text, struct scan *scan, struct fault *fault)
{
    scan->kind = SCAN_SUPPLIER;
    return supplier_label_add_gtin(text, &scan->supplier, fault);
}

static bool halves_equal(struct span text)
{
    return text.length % 2 == 0 && memcmp(text.at, text.at + text.length / 2, text.length / 2) == 0;
}

/* A UPC-E that a scanner sends as it stands has eight digits too; taken for an EAN-8 it could be another item. */
static bool read_retail(struct span text, bool is_ean8, struct scan *scan, struct fault *fault)
{
    if (halves_equal(text) && text.length > GTIN_BYTES)
        return two_scans(fault);
    if (is_ean8 ? text.length != 8 : text.length != 12 && text.length != 13)
        return fault_set(fault, FAULT_INPUT,
                         "the code has %zu digits, but an %s: set the scanner to send all digits of EAN and UPC codes, "
                         "and scan again",
                         text.length, is_ean8 ? "EAN-8 has 8" : "EAN-13 has 13, and so has a UPC code when it is sent");
    return read_gtin(text, scan, fault);
}

/* Text for a person: UTF-8, no control characters but blanks and the four separators. */
static bool read_other(struct span text, struct scan *scan, struct fault *fault)
{
    bool readable = text_is_utf8(text);
    for (size_t i = 0; i < text.length; i++) {
        const unsigned char c = (unsigned char)text.at[i];
        readable = readable && ((c >= 0x20 && c != 0x7F) || (c >= 0x1C && c <= 0x1F) || (c >= '\t' && c <= '\r'));
    }
    if (!readable)
        return fault_set(fault, FAULT_INPUT,
                         "the code holds bytes that are no text: it is not a label of the storeroom");
    for (size_t i = 1; i < text.length; i++)
        if (envelope_starts((struct span){text.at + i, text.length - i}))
            return two_scans(fault);
    scan->kind = SCAN_OTHER;
    return true;
}

/* Our serial as a person types it: either case, blanks anywhere. False and `*length` 0: not of that shape. */
static bool typed_serial(struct span text, char serial[SERIAL_SIZE], size_t *length)
{
    size_t n = 0;
    for (size_t i = 0; i < text.length; i++) {
        const char c = text.at[i];
        if (c == ' ')
            continue;
        if (n + 1 == SERIAL_SIZE)
            return false;
        serial[n++] = c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
    }
    serial[n] = '\0';
    *length = n;
    return serial_has_shape((struct span){serial, n});
}

static bool read_typed_serial(const char *serial, size_t length, struct scan *scan, struct fault *fault)
{
    char letter;
    long number;
    if (!serial_read((struct span){serial, length}, &letter, &number, fault))
        return false;
    (void)span_copy((struct span){serial, length}, scan->unit.serial, sizeof scan->unit.serial);
    scan->kind = letter == 'H' ? SCAN_PERSON : SCAN_UNIT;
    return true;
}

/* Element strings of a device that says no symbology: only when they begin with a whole GTIN or SSCC, or carry a GS
 * behind an identifier of the table. */
static bool looks_like_elements(struct span text)
{
    size_t digits;
    struct supplier_label unused = {.item = ""};
    if (text.length > 0 && text.at[0] == GS)
        return true;
    if (text.length > 2 + GTIN_BYTES && (span_starts(text, "01") || span_starts(text, "02")) &&
        supplier_label_add_gtin((struct span){text.at + 2, GTIN_BYTES}, &unused, NULL))
        return true;
    return memchr(text.at, GS, text.length) && application_identifier_find(text, &digits);
}

/* What came without a symbology identifier: typed by a person, or by a scanner that acts as a keyboard. */
static bool read_unmarked(struct span text, struct day today, struct scan *scan, struct fault *fault)
{
    struct element_string elements;
    struct supplier_label unused = {.item = ""};
    char serial[SERIAL_SIZE];
    size_t length;
    int64_t number;
    if (bracketed_string_starts(text))
        return bracketed_string_read(text, today, &elements, fault) && read_elements(&elements, today, scan, fault);
    if (typed_serial(text, serial, &length))
        return read_typed_serial(serial, length, scan, fault);
    if (halves_equal(text) && (typed_serial((struct span){text.at, text.length / 2}, serial, &length) ||
                               supplier_label_add_gtin((struct span){text.at, text.length / 2}, &unused, NULL)))
        return two_scans(fault);
    if (supplier_label_add_gtin(text, &unused, NULL))
        return read_gtin(text, scan, fault);
    if (looks_like_elements(text)) {
        if (!read_scanned_elements(text, today, scan, fault))
            return false;
        if (!memchr(text.at, GS, text.length))
            supplier_label_warn(scan->warning,
                                "this scanner sends no symbology identifier (]d2) and perhaps no separators (GS): "
                                "set it to serial or HID POS, and check lot and date");
        return true;
    }
    if ((text.length == 13 || text.length == GTIN_BYTES) && span_read_count(text, &number))
        supplier_label_warn(scan->warning,
                            "this looks like a GTIN with a wrong check digit, so it is not taken as one: "
                            "scan again, or type it anew");
    return read_other(text, scan, fault);
}

static struct span without_line_end(struct span text)
{
    if (text.length > 0 && text.at[text.length - 1] == '\n')
        text.length--;
    if (text.length > 0 && text.at[text.length - 1] == '\r')
        text.length--;
    return text;
}

static bool read_by_symbology(struct span text, enum symbology_kind kind, struct day today, struct scan *scan,
                              struct fault *fault)
{
    if (envelope_is(text))
        return read_envelope(text, today, scan, fault);
    if ((kind == SYMBOLOGY_NONE || kind == SYMBOLOGY_PLAIN) && digital_link_starts(text))
        return read_link(text, today, scan, fault);
    switch (kind) {
    case SYMBOLOGY_NONE:
        return read_unmarked(text, today, scan, fault);
    case SYMBOLOGY_GS1:
        return read_scanned_elements(text, today, scan, fault);
    case SYMBOLOGY_EAN13:
    case SYMBOLOGY_EAN8:
        return read_retail(text, kind == SYMBOLOGY_EAN8, scan, fault);
    case SYMBOLOGY_CARTON:
        return text.length == GTIN_BYTES ? read_gtin(text, scan, fault) : read_other(text, scan, fault);
    default: /* a first FNC1 that the reader passed on as GS means GS1 data after all */
        return text.at[0] == GS ? read_scanned_elements(text, today, scan, fault) : read_other(text, scan, fault);
    }
}

struct span scan_text(struct span bytes, const char *symbology, char identifier[SCAN_SYMBOLOGY_SIZE])
{
    _Static_assert(SCAN_SYMBOLOGY_SIZE == SYMBOLOGY_BYTES + 1, "room for an identifier");
    struct span text = without_line_end(bytes);
    symbology_take(&text, symbology, identifier);
    if (symbology_has_eci(identifier))
        symbology_strip_eci(&text);
    return text;
}

bool scan_read(struct span bytes, const char *symbology, struct day today, struct scan *scan, struct fault *fault)
{
    struct scan result = {.kind = SCAN_OTHER};
    char identifier[SCAN_SYMBOLOGY_SIZE];
    if (bytes.length > SCAN_BYTES)
        return fault_set(fault, FAULT_INPUT, "the scan has %zu bytes, at most %d are taken: scan one code at a time",
                         bytes.length, SCAN_BYTES);
    const struct span text = scan_text(bytes, symbology, identifier);
    const enum symbology_kind kind = symbology_kind(identifier);
    if (text.length == 0)
        return fault_set(fault, FAULT_INPUT, "the scan is empty: scan again");
    if (identifier[0])
        for (size_t i = 0; i + SYMBOLOGY_BYTES <= text.length; i++)
            if (memcmp(text.at + i, identifier, SYMBOLOGY_BYTES) == 0)
                return two_scans(fault);
    if (!read_by_symbology(text, kind, today, &result, fault))
        return false;
    if (result.kind == SCAN_SUPPLIER)
        supplier_label_finish(&result.supplier, result.warning);
    *scan = result;
    return true;
}

static bool code_write(const char *what, const char *identifier, const char *code, size_t longest, char *text,
                       size_t *length, struct fault *fault)
{
    char shown[48];
    struct builder out;
    if (!label_code_fits(span_of(code), longest))
        return fault_set(fault, FAULT_INPUT,
                         "%s '%s' does not fit a label: use 1 to %zu capital letters, digits or '-'", what,
                         text_show(span_of(code), shown, sizeof shown), longest);
    builder_init(&out, text, UNIT_LABEL_TEXT_SIZE);
    builder_addf(&out, LABEL_HEADER "%s%s" LABEL_TRAILER, identifier, code);
    *length = out.length;
    return true;
}

bool place_label_write(const char *place, char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault)
{
    return code_write("place", "L", place, PLACE_SIZE - 1, text, length, fault);
}

bool card_label_write(const char *card, char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault)
{
    return code_write("card", "Z", card, CARD_SIZE - 1, text, length, fault);
}

bool item_label_write(const char *item, char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault)
{
    return code_write("item", "P", item, ITEM_CODE_SIZE - 1, text, length, fault);
}

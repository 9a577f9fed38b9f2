#include "kiosk/web/symbol_json.h"

#include "labels/basics/text.h"

enum { SENTENCE_SIZE = 1600 };

/* By the symbol's ECIs; where they do not fit, one character a byte (ISO/IEC 8859-1), so that nothing is lost. */
static json_t *text_of(const struct reader_symbol *symbol)
{
    const struct span bytes = {(const char *)symbol->bytes, symbol->length};
    char text[READER_TEXT + 1];
    size_t length = 0;
    if (reader_symbol_text(symbol, text, &length))
        return json_stringn(text, length);
    length = 0;
    for (size_t i = 0; i < bytes.length; i++) {
        const unsigned char byte = (unsigned char)bytes.at[i];
        if (byte >= 0x80)
            text[length++] = (char)(0xC0 | (byte >> 6));
        text[length++] = (char)(byte < 0x80 ? byte : 0x80 | (byte & 0x3F));
    }
    return json_stringn(text, length);
}

static json_t *hex_of(struct span bytes)
{
    char hex[2 * READER_BYTES + 1];
    text_write_hex((const uint8_t *)bytes.at, bytes.length, hex, sizeof hex);
    return json_stringn(hex, 2 * bytes.length);
}

static json_t *corners_of(const struct reader_symbol *symbol)
{
    json_t *corners = json_array();
    for (int i = 0; i < 4; i++)
        json_array_append_new(corners, json_pack("[f, f]", symbol->corners[i][0], symbol->corners[i][1]));
    return corners;
}

static void say_supplier(const struct supplier_label *label, struct builder *text)
{
    char date[CALENDAR_DATE_SIZE];
    builder_add(text, "a maker's code");
    if (label->item[0])
        builder_addf(text, ", item %s", label->item);
    if (label->lot[0])
        builder_addf(text, ", lot %s", label->lot);
    if (label->has_expires)
        builder_addf(text, ", expires %s", calendar_write_date(label->expires, date));
    if (label->count > 0)
        builder_addf(text, ", %lld pieces", (long long)label->count);
}

static void say(const struct scan *scan, struct builder *text)
{
    switch (scan->kind) {
    case SCAN_UNIT:
        builder_addf(text, "unit %s", scan->unit.serial);
        break;
    case SCAN_PERSON:
        builder_addf(text, "badge %s: a badge counts from the hand scanner, never from a photograph",
                     scan->unit.serial);
        break;
    case SCAN_PLACE:
        builder_addf(text, "place %s", scan->place);
        break;
    case SCAN_CARD:
        builder_addf(text, "card %s: a card counts from the hand scanner, never from a photograph", scan->card);
        break;
    case SCAN_ITEM:
        builder_addf(text, "item %s: an item's card counts from the hand scanner, never from a photograph", scan->item);
        break;
    case SCAN_JOB:
        builder_addf(text, "ticket of job %s: a ticket counts from the hand scanner, never from a photograph",
                     scan->job.code);
        break;
    case SCAN_SUPPLIER:
        say_supplier(&scan->supplier, text);
        break;
    default:
        builder_add(text, "readable, but none of our labels and no maker's code that is known here");
        break;
    }
    for (struct span rest = span_of(scan->warning), line; rest.length > 0;) {
        line = text_line(&rest);
        builder_add(text, "; ");
        builder_add_span(text, line);
    }
    if (scan->lacks[0])
        builder_addf(text, "; %s", scan->lacks);
}

json_t *symbol_json_write(const struct reader_symbol *symbol, struct day today, struct scan *scan, bool *readable)
{
    const struct span bytes = {(const char *)symbol->bytes, symbol->length};
    struct fault fault = {0};
    struct builder text;
    char sentence[SENTENCE_SIZE];
    builder_init(&text, sentence, sizeof sentence);
    *readable = scan_read(bytes, symbol->symbology, today, scan, &fault);
    if (*readable)
        say(scan, &text);
    else
        builder_add(&text, fault.text);
    json_t *said = json_string(sentence);
    return json_pack("{s:o, s:o, s:s, s:i, s:i, s:o, s:i, s:o, s:o}", "hex", hex_of(bytes), "text", text_of(symbol),
                     "symbology", symbol->symbology, "rows", symbol->rows, "columns", symbol->columns, "corners",
                     corners_of(symbol), "corrected", symbol->corrected, "kind",
                     *readable ? json_string(scan_kind_word(scan->kind)) : json_null(), "sentence",
                     said ? said : json_null());
}

bool symbol_json_counts(enum scan_kind kind)
{
    return kind == SCAN_UNIT || kind == SCAN_PLACE || kind == SCAN_SUPPLIER;
}

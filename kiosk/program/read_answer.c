#include "kiosk/program/read_answer.h"

#include <stdio.h>

#include <jansson.h>

#include "labels/basics/text.h"

enum { NAME_SIZE = 4096, SHOWN_SIZE = 6 * READER_BYTES + 5 }; /* "<0x9F>" for each byte, "…" */

static struct span bytes_of(const struct reader_symbol *symbol)
{
    return (struct span){(const char *)symbol->bytes, symbol->length};
}

static json_t *text_row(const struct reader_symbol *symbol)
{
    char text[READER_TEXT + 1], shown[SHOWN_SIZE];
    size_t length = 0;
    json_t *row = reader_symbol_text(symbol, text, &length) ? json_stringn(text, length) : NULL;
    return row ? row : json_string(text_show(bytes_of(symbol), shown, sizeof shown));
}

static json_t *symbol_row(const struct reader_symbol *symbol)
{
    char hex[2 * READER_BYTES + 1];
    text_write_hex(symbol->bytes, symbol->length, hex, sizeof hex);
    json_t *corners = json_array();
    for (int i = 0; i < 4; i++)
        json_array_append_new(corners, json_pack("[f,f]", symbol->corners[i][0], symbol->corners[i][1]));
    json_t *row = json_object();
    json_object_set_new(row, "hex", json_string(hex));
    json_object_set_new(row, "text", text_row(symbol));
    json_object_set_new(row, "symbology", json_string(symbol->symbology));
    json_object_set_new(row, "eci", symbol->eci >= 0 ? json_integer(symbol->eci) : json_null());
    json_object_set_new(row, "rows", json_integer(symbol->rows));
    json_object_set_new(row, "columns", json_integer(symbol->columns));
    json_object_set_new(row, "corners", corners);
    json_object_set_new(row, "corrected", json_integer(symbol->corrected));
    if (symbol->structured_total > 0)
        json_object_set_new(row, "structured",
                            json_pack("{s:i,s:i,s:i}", "index", symbol->structured_index, "total",
                                      symbol->structured_total, "file", symbol->structured_file));
    if (symbol->reader_programming)
        json_object_set_new(row, "reader_programming", json_true());
    return row;
}

void read_answer_json(const char *path, const struct grey *grey, const struct reader_result *result, double cpu_ms)
{
    json_t *symbols = json_array(), *line = json_object();
    for (size_t i = 0; i < result->count; i++)
        json_array_append_new(symbols, symbol_row(&result->symbols[i]));
    char shown[NAME_SIZE];
    json_t *name = json_string(path);
    json_object_set_new(line, "file", name ? name : json_string(text_show(span_of(path), shown, sizeof shown)));
    json_object_set_new(line, "width", json_integer(grey->width));
    json_object_set_new(line, "height", json_integer(grey->height));
    json_object_set_new(line, "cpu_ms", json_real(cpu_ms));
    json_object_set_new(line, "symbols", symbols);
    json_dumpf(line, stdout, JSON_COMPACT | JSON_REAL_PRECISION(8));
    putchar('\n');
    json_decref(line);
}

/* Letters as they are, but nothing that moves a terminal's cursor: neither ASCII's control characters nor U+0080 to
 * U+009F (C2 80 to C2 9F). `text` is UTF-8. */
static void print_shown(struct span text)
{
    for (size_t i = 0; i < text.length; i++) {
        char shown[16];
        const unsigned char byte = (unsigned char)text.at[i];
        const bool control = byte == 0xC2 && (unsigned char)text.at[i + 1] < 0xA0;
        if (byte >= 0x80 && !control)
            putchar(byte);
        else
            fputs(text_show((struct span){text.at + i, 1}, shown, sizeof shown), stdout);
        if (control) /* its second byte too */
            fputs(text_show((struct span){text.at + ++i, 1}, shown, sizeof shown), stdout);
    }
}

static void print_symbol(const char *path, const struct reader_symbol *symbol)
{
    char text[READER_TEXT + 1], shown[SHOWN_SIZE];
    size_t length = 0;
    printf("%s: %s ", path, symbol->symbology);
    if (reader_symbol_text(symbol, text, &length))
        print_shown((struct span){text, length});
    else
        fputs(text_show(bytes_of(symbol), shown, sizeof shown), stdout);
    if (symbol->structured_total > 0)
        printf(" (%d of %d)", symbol->structured_index, symbol->structured_total);
    putchar('\n');
}

void read_answer_text(const char *path, const struct reader_result *result)
{
    for (size_t i = 0; i < result->count; i++)
        print_symbol(path, &result->symbols[i]);
    if (result->count == 0)
        printf("%s: no symbol found\n", path);
}

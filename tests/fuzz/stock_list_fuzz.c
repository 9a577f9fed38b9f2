#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/stock_list/stock_list_column.h"
#include "kiosk/desk/stock_list/stock_list_rows.h"
#include "kiosk/desk/stock_list/stock_list_text.h"
#include "kiosk/desk/stock_list/stock_list_value.h"

/* A stock list is whatever file somebody chose: read or refused with a sentence; what is read is UTF-8 in cells within
 * their limits, its rows are in order of their lines, and every cell is a date, number or none. The first byte chooses
 * the encoding that is said. */

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void check_fault(const struct fault *fault)
{
    if (fault->code == FAULT_NONE || fault->text[0] == '\0' || !text_is_utf8(span_of(fault->text)))
        abort(); /* refused without a reason, or with half a character */
}

static void read_cell(const char *cell)
{
    char shown[STOCK_LIST_SHOW_SIZE];
    struct stock_list_amount amount;
    struct stock_list_hours hours;
    struct stock_list_date date;
    int64_t pieces;
    if (!text_is_utf8(span_of(cell)) || strlen(cell) > STOCK_LIST_CELL ||
        !text_is_utf8(span_of(stock_list_show(cell, shown))))
        abort();
    (void)stock_list_is_unknown(cell);
    (void)stock_list_is_shortened(cell);
    for (int order = 0; order < STOCK_LIST_ORDERS; order++) {
        struct fault fault = {FAULT_NONE, ""};
        if (!stock_list_date_read(cell, order, 2026, &date, &fault))
            check_fault(&fault);
        else if (date.asks != (date.asks && order == STOCK_LIST_ORDER_ASK))
            abort(); /* asked although it was said */
    }
    for (int sign = 0; sign < STOCK_LIST_SIGNS; sign++) {
        struct fault fault = {FAULT_NONE, ""};
        if (!stock_list_amount_read(cell, sign, STOCK_LIST_ML, &amount, &fault))
            check_fault(&fault);
        else if (amount.microlitres < 0 || (amount.asks_sign && sign != STOCK_LIST_SIGN_ASK))
            abort();
        if (stock_list_hours_read(cell, sign, &hours, NULL) && hours.minutes < 0)
            abort();
    }
    if (stock_list_pieces_read(cell, 500, &pieces, NULL) && (pieces < 0 || pieces > 500))
        abort();
}

static void read_rows(const struct stock_list_text *text)
{
    struct stock_list_rows rows;
    struct fault fault = {FAULT_NONE, ""};
    if (!stock_list_rows_read((struct span){text->at, text->length}, '\0', &rows, &fault)) {
        check_fault(&fault);
        return;
    }
    if (rows.count == 0 || stock_list_heading_row(&rows) >= rows.count)
        abort();
    for (size_t i = 0; i < rows.count; i++) {
        if (rows.rows[i].line < 1 || (i > 0 && rows.rows[i].line < rows.rows[i - 1].line))
            abort();
        for (int k = 0; k < rows.rows[i].count; k++)
            read_cell(stock_list_cell(&rows, i, k));
    }
    stock_list_rows_clear(&rows);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    static const char *const encodings[] = {"", "utf-8", "windows-1252", "iso-8859-15", "utf-16le", "ibm850"};
    struct stock_list_text text;
    struct fault fault = {FAULT_NONE, ""};
    if (length == 0)
        return 0;
    const char *encoding = encodings[bytes[0] % (sizeof encodings / sizeof *encodings)];
    if (!stock_list_text_read((struct span){(const char *)bytes + 1, length - 1}, encoding, &text, &fault)) {
        check_fault(&fault);
        return 0;
    }
    for (size_t i = 0; i < text.reading_count; i++)
        if (!text_is_utf8(span_of(text.readings[i].sample)))
            abort();
    if (!text.asked) {
        if (!text_is_utf8((struct span){text.at, text.length}) || memchr(text.at, '\0', text.length))
            abort();
        read_rows(&text);
    }
    stock_list_text_clear(&text);
    return 0;
}

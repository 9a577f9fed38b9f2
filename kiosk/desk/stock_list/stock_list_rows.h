#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_ROWS_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_ROWS_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* Text with separators -> rows of cells, by RFC 4180 with comma, semicolon or tab between the cells and CR, LF or CRLF
 * between the rows (libcsv, strict: a quote inside a cell that is not in quotes is a fault, never a guess). Cells come
 * without blanks around them; a row whose cells are all empty is none. Rows remember the line of the file they begin
 * in, as an editor counts it. A first line "sep=;", as spreadsheets write it, says the separator. Pure but for memory:
 * `stock_list_rows_clear` frees it. Any thread. */

enum {
    STOCK_LIST_ROWS = 5000, /* rows with something in them */
    STOCK_LIST_CELLS = 100, /* cells of a row */
    STOCK_LIST_CELL = 1000  /* bytes of a cell */
};

struct stock_list_row {
    int line;     /* 1 is the file's first */
    size_t first; /* index into `cells` */
    int count;
};

struct stock_list_rows {
    char separator;
    struct stock_list_row *rows;
    size_t count, rows_size;
    size_t *cells; /* where in `bytes` each begins; ended with NUL there */
    size_t cell_count, cells_size;
    char *bytes;
    size_t byte_count, bytes_size;
};

/* `separator` 0: said by "sep=", else found by counting over the first lines. FAULT_INPUT names the line. */
bool stock_list_rows_read(struct span text, char separator, struct stock_list_rows *rows, struct fault *fault);
void stock_list_rows_clear(struct stock_list_rows *rows);

/* The cell's text, "" beyond the row's end. Borrowed from `rows`. */
const char *stock_list_cell(const struct stock_list_rows *rows, size_t row, int column);

/* "comma", "semicolon", "tab", else the character itself, and back (0: not known). */
const char *stock_list_separator_word(char separator, char buffer[2]);
char stock_list_separator_read(const char *word);

#endif

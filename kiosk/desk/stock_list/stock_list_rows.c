#include "kiosk/desk/stock_list/stock_list_rows.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <csv.h>

enum { LOOK_ROWS = 20, FIRST_SIZE = 256, SEPARATORS = 3 };

static const struct {
    char separator;
    const char *word;
} separators[SEPARATORS] = {{';', "semicolon"}, {',', "comma"}, {'\t', "tab"}};

const char *stock_list_separator_word(char separator, char buffer[2])
{
    for (size_t i = 0; i < SEPARATORS; i++)
        if (separators[i].separator == separator)
            return separators[i].word;
    buffer[0] = separator;
    buffer[1] = '\0';
    return buffer;
}

char stock_list_separator_read(const char *word)
{
    for (size_t i = 0; i < SEPARATORS; i++)
        if (strcasecmp(separators[i].word, word) == 0)
            return separators[i].separator;
    return '\0';
}

/* ---- one reading ---- */

struct reading {
    struct stock_list_rows *rows;
    int line;     /* of the byte that is fed now */
    int row_line; /* where the present row began; 0: it did not begin yet */
    bool open;    /* the present row has cells already */
    bool filled;  /* … one with something in it */
    size_t most;  /* rows; then it ends quietly */
    bool enough, failed;
    struct fault *fault;
};

static bool grow(void *at, size_t *size, size_t need, size_t item)
{
    void **block = at;
    if (need <= *size)
        return true;
    size_t more = *size ? *size : FIRST_SIZE;
    while (more < need)
        more *= 2;
    void *grown = realloc(*block, more * item);
    if (!grown)
        return false;
    *block = grown;
    *size = more;
    return true;
}

/* How many bytes of blank the text begins or ends with: 0, 1, or 2 of a no-break space (U+00A0). */
static size_t blank_at(struct span text, bool at_end)
{
    const char c = text.length == 0 ? '\0' : at_end ? text.at[text.length - 1] : text.at[0];
    if (c == ' ' || c == '\t' || c == '\r' || c == '\n')
        return 1;
    const char *two = at_end && text.length >= 2 ? text.at + text.length - 2 : text.at;
    return text.length >= 2 && memcmp(two, "\xC2\xA0", 2) == 0 ? 2 : 0;
}

static struct span trim(struct span cell)
{
    for (size_t blank; (blank = blank_at(cell, false)) > 0;)
        cell = (struct span){cell.at + blank, cell.length - blank};
    for (size_t blank; (blank = blank_at(cell, true)) > 0;)
        cell.length -= blank;
    return cell;
}

static bool begin_row(struct reading *reading)
{
    struct stock_list_rows *rows = reading->rows;
    if (rows->count == STOCK_LIST_ROWS)
        return fault_set(reading->fault, FAULT_INPUT,
                         "line %d is one too many: at most %d lines are read at once; divide the file",
                         reading->row_line, STOCK_LIST_ROWS);
    if (!grow(&rows->rows, &rows->rows_size, rows->count + 1, sizeof *rows->rows))
        return fault_set(reading->fault, FAULT_STORAGE, "no memory for line %d: try again", reading->row_line);
    rows->rows[rows->count] = (struct stock_list_row){reading->row_line, rows->cell_count, 0};
    reading->open = true;
    reading->filled = false;
    return true;
}

static bool add_cell(struct reading *reading, struct span cell)
{
    struct stock_list_rows *rows = reading->rows;
    struct stock_list_row *row = &rows->rows[rows->count];
    if (row->count == STOCK_LIST_CELLS)
        return fault_set(reading->fault, FAULT_INPUT, "line %d has more than %d cells: leave out columns", row->line,
                         STOCK_LIST_CELLS);
    if (cell.length > STOCK_LIST_CELL)
        return fault_set(reading->fault, FAULT_INPUT, "line %d has a cell of more than %d bytes: shorten it", row->line,
                         STOCK_LIST_CELL);
    if (!grow(&rows->cells, &rows->cells_size, rows->cell_count + 1, sizeof *rows->cells) ||
        !grow(&rows->bytes, &rows->bytes_size, rows->byte_count + cell.length + 1, 1))
        return fault_set(reading->fault, FAULT_STORAGE, "no memory for line %d: try again", row->line);
    rows->cells[rows->cell_count++] = rows->byte_count;
    if (cell.length > 0)
        memcpy(rows->bytes + rows->byte_count, cell.at, cell.length);
    rows->byte_count += cell.length;
    rows->bytes[rows->byte_count++] = '\0';
    row->count++;
    reading->filled = reading->filled || cell.length > 0;
    return true;
}

/* libcsv: a cell has ended. */
static void take_cell(void *bytes, size_t length, void *context)
{
    struct reading *reading = context;
    if (reading->failed || reading->enough)
        return;
    const struct span cell = trim((struct span){length ? bytes : "", length});
    reading->failed = (!reading->open && !begin_row(reading)) || !add_cell(reading, cell);
}

/* libcsv: a row has ended. */
static void take_row(int end, void *context)
{
    struct reading *reading = context;
    struct stock_list_rows *rows = reading->rows;
    (void)end;
    if (!reading->open)
        return;
    if (reading->filled)
        rows->count++;
    else
        rows->cell_count = rows->rows[rows->count].first;
    reading->open = false;
    reading->row_line = 0;
    reading->enough = rows->count == reading->most;
}

static void feed(struct csv_parser *parser, struct span text, struct reading *reading)
{
    char last = '\0';
    for (size_t i = 0; i < text.length && !reading->failed && !reading->enough; i++) {
        const char c = text.at[i];
        const bool ends = c == '\r' || c == '\n';
        if (c == '\n' && last == '\r') /* the other half of one line's end */
            reading->line--;
        if (reading->row_line == 0 && !ends && (c == reading->rows->separator || (c != ' ' && c != '\t')))
            reading->row_line = reading->line;
        if (csv_parse(parser, &c, 1, take_cell, take_row, reading) != 1 && !reading->failed)
            reading->failed =
                !fault_set(reading->fault, FAULT_INPUT,
                           "line %d has a quote inside a cell that is not in quotes as a whole: let the spreadsheet "
                           "save it as CSV again, or take the quote out",
                           reading->line);
        reading->line += ends;
        last = c;
    }
    if (!reading->failed && !reading->enough && csv_fini(parser, take_cell, take_row, reading) != 0)
        reading->failed = !fault_set(reading->fault, FAULT_INPUT,
                                     "a quote is opened in the row that begins in line %d and never closed: close it",
                                     reading->row_line);
}

/* Reads from `line` on; at most `most` rows. */
static bool read_with(struct span text, char separator, int line, size_t most, struct stock_list_rows *rows,
                      struct fault *fault)
{
    struct csv_parser parser;
    struct stock_list_rows made = {.separator = separator};
    struct reading reading = {.rows = &made, .line = line, .most = most, .fault = fault};
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return fault_set(fault, FAULT_STORAGE, "no memory for the file: try again");
    csv_set_delim(&parser, (unsigned char)separator);
    feed(&parser, text, &reading);
    csv_free(&parser);
    if (reading.failed) {
        stock_list_rows_clear(&made);
        return false;
    }
    *rows = made;
    return true;
}

/* ---- which separator ---- */

/* How many of the first rows have the number of cells that most of them have (two or more); then how many cells. */
static long score(struct span text, char separator, int line)
{
    struct stock_list_rows rows = {.count = 0};
    size_t often[STOCK_LIST_CELLS + 1] = {0};
    long best = 0;
    if (!read_with(text, separator, line, LOOK_ROWS, &rows, NULL))
        return 0;
    for (size_t i = 0; i < rows.count; i++)
        often[rows.rows[i].count]++;
    for (long cells = 2; cells <= STOCK_LIST_CELLS; cells++) {
        const long points = often[cells] > 0 ? (long)often[cells] * 1000 + cells : 0;
        best = points > best ? points : best;
    }
    stock_list_rows_clear(&rows);
    return best;
}

/* What the first line has most of; for the sentence about a file that no separator reads. */
static char commonest(struct span text)
{
    size_t most = 0;
    char found = separators[0].separator;
    for (size_t i = 0; i < SEPARATORS; i++) {
        size_t count = 0;
        for (size_t at = 0; at < text.length && !strchr("\r\n", text.at[at]); at++)
            count += text.at[at] == separators[i].separator;
        if (count > most) {
            most = count;
            found = separators[i].separator;
        }
    }
    return found;
}

static bool find_separator(struct span text, int line, char *separator)
{
    long best = 0;
    for (size_t i = 0; i < SEPARATORS; i++) {
        const long points = score(text, separators[i].separator, line);
        if (points > best) {
            best = points;
            *separator = separators[i].separator;
        }
    }
    return best > 0;
}

/* "sep=;" as the first line, with or without quotes around: takes it off. */
static bool read_sep_line(struct span *text, char *separator)
{
    const bool quoted = text->length > 0 && text->at[0] == '"';
    const size_t at = quoted, end = at + 5;
    if (text->length < end || strncasecmp(text->at + at, "sep=", 4) != 0)
        return false;
    size_t next = end;
    if (quoted && next < text->length && text->at[next] == '"')
        next++;
    if (next < text->length && text->at[next] != '\r' && text->at[next] != '\n')
        return false;
    *separator = text->at[end - 1];
    if (next < text->length && text->at[next] == '\r')
        next++;
    if (next < text->length && text->at[next] == '\n')
        next++;
    text->at += next;
    text->length -= next;
    return true;
}

bool stock_list_rows_read(struct span text, char separator, struct stock_list_rows *rows, struct fault *fault)
{
    char said = '\0', found = '\0';
    const int line = read_sep_line(&text, &said) ? 2 : 1;
    if (said && (strchr("\"\r\n", said) || (said & 0x80)))
        return fault_set(fault, FAULT_INPUT, "the first line names a separator that cannot be one: take the line out");
    if (separator == '\0')
        separator = said;
    if (separator == '\0' && !find_separator(text, line, &found)) {
        struct stock_list_rows one = {.count = 0};
        if (!read_with(text, commonest(text), line, SIZE_MAX, &one, fault)) /* for its sentence */
            return false;
        const bool none = one.count == 0;
        stock_list_rows_clear(&one);
        if (none)
            return fault_set(fault, FAULT_INPUT, "the file has no line with anything in it: choose another");
        return fault_set(fault, FAULT_INPUT,
                         "no line has a semicolon, comma or tab between cells: in the spreadsheet choose Save as, CSV");
    }
    if (!read_with(text, separator ? separator : found, line, SIZE_MAX, rows, fault))
        return false;
    if (rows->count > 0)
        return true;
    stock_list_rows_clear(rows);
    return fault_set(fault, FAULT_INPUT, "the file has no line with anything in it: choose another");
}

void stock_list_rows_clear(struct stock_list_rows *rows)
{
    free(rows->rows);
    free(rows->cells);
    free(rows->bytes);
    memset(rows, 0, sizeof *rows);
}

const char *stock_list_cell(const struct stock_list_rows *rows, size_t row, int column)
{
    if (column < 0 || column >= rows->rows[row].count)
        return "";
    return rows->bytes + rows->cells[rows->rows[row].first + (size_t)column];
}

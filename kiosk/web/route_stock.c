#include <string.h>

#include "kiosk/web/json_rows.h"
#include "kiosk/web/stock_words.h"
#include "labels/basics/text.h"

/* GET /api/stock: lines, by the page; those of one item; those that have some words; or each item added up. */

enum {
    LINES_A_PAGE = 500, /* and the rest of the item that fills them */
    LINES_MOST = 10000  /* in one answer, also of one item */
};

/* ---- lines ---- */

struct lines {
    json_t *rows;
    struct day today;
    struct stock_words *words; /* NULL: all lines */
    char item[ITEM_CODE_SIZE]; /* of the last row */
    bool next, cut;            /* there may be lines of items behind `item`; there are more of it */
};

static bool add_line(const struct stock_line *line, void *context)
{
    struct lines *lines = context;
    const size_t count = json_array_size(lines->rows);
    if (lines->words && !stock_words_match(lines->words, line))
        return true;
    lines->next = count >= LINES_A_PAGE && strcmp(line->item, lines->item) != 0;
    lines->cut = count == LINES_MOST;
    if (lines->next || lines->cut)
        return false;
    memcpy(lines->item, line->item, sizeof lines->item);
    return json_array_append_new(lines->rows, json_rows_stock(line, lines->today)) == 0;
}

static void set_name(json_t *row, const struct item *item)
{
    json_object_set_new(row, "name", item ? json_rows_text(item->name) : json_null());
    json_object_set_new(row, "resin", item ? json_rows_text(item->resin) : json_null());
    json_object_set_new(row, "letter", item ? json_stringn(&item->letter, 1) : json_null());
}

/* Lines come in order of item, so each item is looked up once. */
static bool name_lines(struct ledger *ledger, json_t *rows, struct fault *fault)
{
    struct item item = {.code = ""};
    bool found = false;
    json_t *row;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        const char *code = json_string_value(json_object_get(row, "item"));
        if (code && strcmp(code, item.code) != 0) {
            if (!item_load(ledger, code, &item, &found, fault))
                return false;
            (void)span_copy(span_of(code), item.code, sizeof item.code); /* also of one that is not there */
        }
        set_name(row, code && found ? &item : NULL);
    }
    return true;
}

/* Takes the rows. */
static bool finish(struct ledger *ledger, const char *key, json_t *rows, bool cut, json_t **body, struct fault *fault)
{
    uint8_t hash[HASH_BYTES];
    int64_t head = 0;
    if (!ledger_head(ledger, &head, hash, fault)) {
        json_decref(rows);
        return false;
    }
    *body = json_pack("{s:o, s:b, s:I}", key, rows, "cut", (int)cut, "seq", (json_int_t)head);
    return *body || fault_set(fault, FAULT_STORAGE, "no memory for the stock: try again");
}

static bool read_lines(struct request *request, struct ledger *ledger, const char *after, json_t **body,
                       struct fault *fault)
{
    const char *item = request_query(request, "item"), *words = request_query(request, "words");
    struct lines lines = {.rows = json_array(), .today = json_rows_today(request)};
    bool read = !words || stock_words_read(ledger, words, &lines.words, fault);
    if (read && item)
        read = stock_each_of_item(ledger, item, add_line, &lines, fault);
    else if (read)
        read = stock_each(ledger, after, add_line, &lines, fault);
    stock_words_free(lines.words);
    if (!read || !name_lines(ledger, lines.rows, fault)) {
        json_decref(lines.rows);
        return false;
    }
    if (!finish(ledger, "stock", lines.rows, lines.cut, body, fault))
        return false;
    json_object_set_new(*body, "next", lines.next ? json_rows_text(lines.item) : json_null());
    return true;
}

/* ---- totals ---- */

struct totals {
    json_t *rows;
    struct day today;
};

static bool add_total(const struct stock_total *total, void *context)
{
    const struct totals *totals = context;
    return json_array_append_new(totals->rows, json_rows_total(total, totals->today)) == 0;
}

/* Totals and catalogue come in the same order, and nearly every item has a total. */
struct naming {
    json_t *rows;
    size_t here;
};

static bool name_totals_of(const struct item *item, void *context)
{
    struct naming *naming = context;
    json_t *row = json_array_get(naming->rows, naming->here);
    const char *code = json_string_value(json_object_get(row, "item"));
    for (; code && strcmp(code, item->code) < 0; code = json_string_value(json_object_get(row, "item"))) {
        set_name(row, NULL); /* not in the catalogue: verify tells */
        row = json_array_get(naming->rows, ++naming->here);
    }
    if (code && strcmp(code, item->code) == 0) {
        set_name(row, item);
        naming->here++;
    }
    return row != NULL;
}

static bool read_totals(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct totals totals = {json_array(), json_rows_today(request)};
    struct naming naming = {.rows = totals.rows};
    if (!stock_each_total(ledger, totals.today, add_total, &totals, fault) ||
        !item_each(ledger, name_totals_of, &naming, fault)) {
        json_decref(totals.rows);
        return false;
    }
    return finish(ledger, "totals", totals.rows, false, body, fault);
}

static bool read_stock(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    const char *item = request_query(request, "item"), *words = request_query(request, "words"),
               *by = request_query(request, "by"), *after = request_query(request, "after");
    if (by && strcmp(by, "item") != 0)
        return fault_set(fault, FAULT_INPUT, "the stock is added up by item only: ask with by=item");
    if ((item != NULL) + (words != NULL) + (by != NULL) > 1 || (after && (item || by)))
        return fault_set(fault, FAULT_INPUT,
                         "the stock is listed by item=, by words= or added up with by=item, and after= goes with words "
                         "or alone: ask for one at a time");
    if (by)
        return read_totals(request, ledger, body, fault);
    return read_lines(request, ledger, after ? after : "", body, fault);
}

enum MHD_Result route_stock_get(struct request *request)
{
    return json_rows_reply(request, read_stock);
}

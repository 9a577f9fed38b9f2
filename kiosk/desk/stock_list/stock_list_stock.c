#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/stock_list/stock_list_cells.h"
#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/stock.h"

/* A stock list beside what the ledger has already: the same units twice, and one lot with two use-by dates. */

/* The use-by date of a lot is the maker's: two of them for one lot mean that one may be wrong. `first`: the line that
 * named the lot first, NULL when it is this one. */
static void compare_lot(struct stock_list *list, struct stock_list_line *line, const struct stock_list_line *first,
                        const char *item, const char *lot, const char *expires)
{
    char sentence[FAULT_TEXT_SIZE], date[CALENDAR_DATE_SIZE];
    const char *theirs = first ? json_string_value(json_object_get(first->content, "expires")) : expires;
    struct builder text;
    struct lot row;
    bool found = false;
    builder_init(&text, sentence, sizeof sentence);
    if (strcmp(theirs, expires) != 0) {
        builder_addf(&text, "lot %s has use-by date %s in line %d: is one of them wrong?", STOCK_LIST_SHOW(lot), theirs,
                     first->line);
        stock_list_line_notice(line, sentence);
        return;
    }
    if (!lot_load(list->ledger, item, lot, &row, &found, NULL) || !found || row.expires == MOVEMENT_NULL)
        return;
    calendar_write_date((struct day){(int32_t)row.expires}, date);
    if (strcmp(date, expires) == 0)
        return;
    builder_addf(&text, "lot %s has use-by date %s in the ledger: is one of them wrong?", STOCK_LIST_SHOW(lot), date);
    stock_list_line_notice(line, sentence);
}

static bool compare_lots(struct stock_list *list, struct fault *fault)
{
    json_t *firsts = json_object(); /* "ITEM LOT": index of the line that names it first */
    bool good = firsts != NULL;
    for (size_t i = 0; i < list->line_count && good; i++) {
        struct stock_list_line *line = &list->lines[i];
        const char *resin = json_string_value(json_object_get(line->content, "resin"));
        const char *item = resin ? resin : json_string_value(json_object_get(line->content, "item"));
        const char *lot = json_string_value(json_object_get(line->content, "lot"));
        const char *expires = json_string_value(json_object_get(line->content, "expires"));
        char key[STOCK_LIST_CELL + ITEM_CODE_SIZE + 2];
        struct builder text;
        if (!item || !lot || !expires || line->state == STOCK_LIST_FAULT)
            continue;
        builder_init(&text, key, sizeof key);
        builder_addf(&text, "%s %s", item, lot);
        const json_t *first = json_object_get(firsts, key);
        compare_lot(list, line, first ? &list->lines[json_integer_value(first)] : NULL, item, lot, expires);
        good = first || json_object_set_new(firsts, key, json_integer((json_int_t)i)) == 0;
    }
    json_decref(firsts);
    return good || fault_set(fault, FAULT_STORAGE, "no memory for %zu lines: try again", list->line_count);
}

/* ---- the same units twice ---- */

/* Units alike: item, lot and use-by date. */
struct alike {
    char item[ITEM_CODE_SIZE], lot[LOT_SIZE];
    int64_t expires;
    int64_t planned, here, booked; /* of this file; in the ledger; of these by this file */
    int64_t others;                /* in the ledger, and not by this file */
};
struct alike_list {
    struct alike *rows;
    size_t count;
};

static struct alike *find_alike(struct alike_list *list, const char *item, const char *lot, int64_t expires)
{
    for (size_t i = 0; i < list->count; i++) {
        struct alike *row = &list->rows[i];
        if (row->expires == expires && strcmp(row->item, item) == 0 && strcmp(row->lot, lot) == 0)
            return row;
    }
    return NULL;
}

static void key_of(const struct stock_list_line *line, struct alike *key)
{
    const char *item = json_string_value(json_object_get(line->content, "item"));
    const char *lot = json_string_value(json_object_get(line->content, "lot"));
    const char *expires = json_string_value(json_object_get(line->content, "expires"));
    struct day day;
    memset(key, 0, sizeof *key);
    (void)span_copy(span_of(item), key->item, sizeof key->item);
    (void)span_copy(span_of(lot), key->lot, sizeof key->lot);
    key->expires = expires && calendar_read_date(expires, strlen(expires), &day, NULL) ? day.number : MOVEMENT_NULL;
}

static struct alike *of_line(struct alike_list *list, const struct stock_list_line *line)
{
    struct alike key;
    key_of(line, &key);
    return find_alike(list, key.item, key.lot, key.expires);
}

static void gather(const struct stock_list *list, struct alike_list *alike)
{
    for (size_t i = 0; i < list->line_count; i++) {
        const struct stock_list_line *line = &list->lines[i];
        struct alike key;
        if (line->state != STOCK_LIST_TAKE_ON)
            continue;
        key_of(line, &key);
        struct alike *row = find_alike(alike, key.item, key.lot, key.expires);
        if (!row) {
            row = &alike->rows[alike->count++];
            *row = key;
        }
        row->planned += line->pieces;
    }
}

static bool count_here(const struct stock_line *stock, void *context)
{
    struct alike *row = find_alike(context, stock->item, stock->lot, stock->expires);
    if (row)
        row->here += stock->units;
    return true;
}

static bool is_booked(struct stock_list *list, int line, int64_t piece, bool *booked, struct fault *fault)
{
    char id[ACT_ID_SIZE];
    struct act_row act;
    stock_list_act_id(list, line, piece, id);
    return act_row_find(list->ledger, id, &act, NULL, booked, fault);
}

/* Pieces of a line are booked in turn or side by side: all are looked up where the first is, or something alike stands.
 */
static bool count_line(struct stock_list *list, struct stock_list_line *line, const struct alike *row,
                       struct fault *fault)
{
    bool found = false;
    if (!is_booked(list, line->line, 1, &found, fault))
        return false;
    line->booked = found;
    for (int64_t piece = 2; piece <= line->pieces && (line->booked > 0 || row->here > 0); piece++) {
        if (!is_booked(list, line->line, piece, &found, fault))
            return false;
        line->booked += found;
    }
    return true;
}

static bool count_booked(struct stock_list *list, struct alike_list *alike, struct fault *fault)
{
    for (size_t i = 0; i < list->line_count; i++) {
        struct stock_list_line *line = &list->lines[i];
        struct alike *row = line->state == STOCK_LIST_TAKE_ON ? of_line(alike, line) : NULL;
        if (!row)
            continue;
        if (!count_line(list, line, row, fault))
            return false;
        row->booked += line->booked;
        list->booked += line->booked;
    }
    return true;
}

/* Pieces that stand here already stay out, from each line's first on, so that the same ones do the next time too. */
static void leave_out_same(struct stock_list *list, struct alike_list *alike)
{
    for (size_t i = 0; i < list->line_count; i++) {
        struct stock_list_line *line = &list->lines[i];
        struct alike *row = line->state == STOCK_LIST_TAKE_ON ? of_line(alike, line) : NULL;
        if (!row || row->others <= 0)
            continue;
        line->here = row->others < line->pieces ? row->others : line->pieces;
        row->others -= line->here;
        list->units -= line->here;
        if (line->here < line->pieces)
            continue;
        line->state = STOCK_LIST_LEFT_OUT;
        stock_list_line_notice(line, "it stands here already");
    }
}

bool stock_list_stock_compare(struct stock_list *list, struct fault *fault)
{
    struct alike_list alike = {.rows = calloc(list->line_count > 0 ? list->line_count : 1, sizeof *alike.rows)};
    if (!alike.rows)
        return fault_set(fault, FAULT_STORAGE, "no memory for %zu lines: try again", list->line_count);
    gather(list, &alike);
    const bool good = compare_lots(list, fault) && stock_each(list->ledger, "", count_here, &alike, fault) &&
                      count_booked(list, &alike, fault);
    for (size_t i = 0; i < alike.count && good; i++) {
        struct alike *row = &alike.rows[i];
        row->others = row->here - row->booked;
        if (row->others > 0)
            list->doubles += row->others < row->planned ? row->others : row->planned;
    }
    if (good && strcmp(list->answers.again, "same") == 0)
        leave_out_same(list, &alike);
    free(alike.rows);
    return good;
}

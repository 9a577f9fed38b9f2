#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/stock_list/stock_list_cells.h"
#include "kiosk/desk/stock_list/stock_list_word.h"
#include "kiosk/desk/take_on.h"
#include "kiosk/ledger/unit.h"

/* One line of a stock list -> the content of its take-on, its fault, or what is open. */

/* ---- words that have to be known ---- */

/* Notes that `text` has to be asked about. */
static void ask_word(struct stock_list *list, const struct stock_list_line *line, enum stock_list_field field,
                     const char *text)
{
    const char *word = stock_list_field_word(field);
    json_t *texts = json_object_get(list->words, word);
    if (!texts) {
        texts = json_object();
        json_object_set_new(list->words, word, texts);
    }
    json_t *lines = json_object_get(texts, text);
    if (!lines) {
        lines = json_array();
        json_object_set_new(texts, text, lines);
    }
    json_array_append_new(lines, json_integer(line->line));
}

/* What was answered about a text: NULL nothing, a null, or a code. */
static const json_t *answer_to(const struct stock_list *list, enum stock_list_field field, const char *text)
{
    return json_object_get(list->answers.words[field], text);
}

/* ---- what it is ---- */

static const enum stock_list_field naming[] = {STOCK_LIST_ITEM, STOCK_LIST_GTIN, STOCK_LIST_MAKER_CODE,
                                               STOCK_LIST_NAME};

static void take_answered_item(struct stock_list *list, struct stock_list_line *line, int column, const char *text)
{
    const json_t *answer = answer_to(list, STOCK_LIST_ITEM, text);
    struct fault fault = {0};
    ask_word(list, line, STOCK_LIST_ITEM, text);
    if (!answer) {
        stock_list_line_open(line);
    } else if (json_is_null(answer)) {
        line->state = line->state == STOCK_LIST_FAULT ? line->state : STOCK_LIST_LEFT_OUT;
    } else {
        line->item = stock_list_find_item(&list->catalogue, json_string_value(answer));
        if (line->item)
            return;
        fault_set(&fault, FAULT_INPUT, "'%s' was mapped to item %s, which is not known here: enter it first",
                  STOCK_LIST_SHOW(text), STOCK_LIST_SHOW(json_string_value(answer)));
        stock_list_line_fail(line, column, &fault);
    }
}

/* Every column that names the item is looked at: two that name different ones are a fault, never a choice. */
static void read_item(struct stock_list *list, struct stock_list_line *line)
{
    const char *unknown = NULL;
    int unknown_column = -1;
    bool any = false;
    for (size_t i = 0; i < sizeof naming / sizeof *naming; i++) {
        const int column = list->column_of[naming[i]];
        const char *text = stock_list_line_said(list, line, naming[i]);
        if (!text[0] || stock_list_line_is_lost(line, column, text))
            continue;
        any = true;
        const struct item *item = stock_list_find_item(&list->catalogue, text);
        if (!item && !unknown) {
            unknown = text;
            unknown_column = column;
        }
        if (item && line->item && item != line->item) {
            struct fault fault = {0};
            fault_set(&fault, FAULT_INPUT, "'%s' is %s, but another cell of the line says %s: correct one",
                      STOCK_LIST_SHOW(text), item->code, line->item->code);
            stock_list_line_fail(line, column, &fault);
        }
        if (item && !line->item)
            line->item = item;
    }
    if (line->item || line->state == STOCK_LIST_FAULT)
        return;
    if (any) {
        take_answered_item(list, line, unknown_column, unknown);
        return;
    }
    struct fault fault = {0};
    fault_set(&fault, FAULT_INPUT, "the line does not say what it is: fill the cell, or take the line out");
    bool asked = true; /* no column was chosen for it yet */
    for (size_t i = 0; i < sizeof naming / sizeof *naming; i++)
        asked = asked && list->column_of[naming[i]] < 0;
    if (asked)
        stock_list_line_open(line);
    else
        stock_list_line_fail(line, list->column_of[STOCK_LIST_ITEM], &fault);
}

static void read_kind(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_KIND);
    char letter;
    if (!text[0])
        return;
    if (!stock_list_kind_read(text, &letter)) {
        const json_t *answer = answer_to(list, STOCK_LIST_KIND, text);
        ask_word(list, line, STOCK_LIST_KIND, text);
        if (!answer)
            stock_list_line_open(line);
        if (!json_is_string(answer))
            return;
        letter = json_string_value(answer)[0];
    }
    if (!line->item || letter == line->item->letter || (letter == 'V' && line->item->letter == 'T'))
        return;
    struct fault fault = {0};
    fault_set(&fault, FAULT_INPUT, "'%s' is not what item %s is: correct one of the two", STOCK_LIST_SHOW(text),
              line->item->code);
    stock_list_line_fail(line, list->column_of[STOCK_LIST_KIND], &fault);
}

static bool is_vat(const struct item *item)
{
    return item && (item->letter == 'V' || item->letter == 'T');
}

static void read_resin(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_RESIN);
    const int column = list->column_of[STOCK_LIST_RESIN];
    struct fault fault = {0};
    if (!text[0] || !line->item)
        return;
    char folded[STOCK_LIST_FOLDED], own[STOCK_LIST_FOLDED];
    const struct item *resin = stock_list_find_resin(&list->catalogue, text);
    if (!is_vat(line->item)) { /* a cartridge's resin is its own item: the cell can only agree */
        if (resin == line->item ||
            strcmp(stock_list_fold_value(text, folded), stock_list_fold_value(line->item->resin, own)) == 0)
            return;
        fault_set(&fault, FAULT_INPUT, "'%s' is not the resin of item %s: correct one of the two",
                  STOCK_LIST_SHOW(text), line->item->code);
        stock_list_line_fail(line, column, &fault);
        return;
    }
    if (!resin) {
        const json_t *answer = answer_to(list, STOCK_LIST_RESIN, text);
        ask_word(list, line, STOCK_LIST_RESIN, text);
        if (!answer)
            stock_list_line_open(line);
        if (!json_is_string(answer))
            return;
        resin = stock_list_find_resin(&list->catalogue, json_string_value(answer));
        if (!resin) {
            fault_set(&fault, FAULT_INPUT, "'%s' was mapped to resin %s, which is not known here: enter it first",
                      STOCK_LIST_SHOW(text), STOCK_LIST_SHOW(json_string_value(answer)));
            stock_list_line_fail(line, column, &fault);
            return;
        }
    }
    stock_list_line_set(line, "resin", resin->code);
}

static void read_film(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_FILM), *film = NULL;
    if (!text[0])
        return;
    if (!stock_list_film_read(text, &film)) {
        const json_t *answer = answer_to(list, STOCK_LIST_FILM, text);
        ask_word(list, line, STOCK_LIST_FILM, text);
        if (!answer)
            stock_list_line_open(line);
        film = json_string_value(answer);
    }
    if (film)
        stock_list_line_set(line, "film", film);
}

static void read_place(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_PLACE);
    if (list->several[STOCK_LIST_PLACE])
        return;
    if (!text[0]) {
        list->placeless++;
        if (list->answers.place[0])
            stock_list_line_set(line, "place", list->answers.place);
        else
            stock_list_line_open(line);
        return;
    }
    const struct place *place = stock_list_find_place(&list->catalogue, text);
    if (place) {
        stock_list_line_set(line, "place", place->code);
        return;
    }
    const json_t *answer = answer_to(list, STOCK_LIST_PLACE, text);
    ask_word(list, line, STOCK_LIST_PLACE, text);
    if (json_is_string(answer))
        stock_list_line_set(line, "place", json_string_value(answer));
    else
        stock_list_line_open(line);
}

/* ---- the rest ---- */

/* Raised as take-on raises it, so that lots compare. */
static void read_lot(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_LOT);
    char lot[STOCK_LIST_CELL + 1];
    if (!text[0] || stock_list_line_is_lost(line, list->column_of[STOCK_LIST_LOT], text) ||
        !span_copy(span_of(text), lot, sizeof lot))
        return;
    for (char *at = lot; *at; at++)
        if (*at >= 'a' && *at <= 'z')
            *at = (char)(*at - 'a' + 'A');
    stock_list_line_set(line, "lot", lot);
}

static void add_note(struct builder *note, const char *name, const char *text)
{
    if (text[0])
        builder_addf(note, "%s%s%s%s", note->length ? "; " : "", name, name[0] ? " " : "", text);
}

static void add_day_note(struct stock_list *list, struct stock_list_line *line, struct builder *note,
                         enum stock_list_field field, const char *name)
{
    struct stock_list_date date;
    char text[CALENDAR_DATE_SIZE];
    if (stock_list_line_date(list, line, field, &date))
        add_note(note, name, calendar_write_date(date.day, text));
}

/* What has no place of its own in the ledger is kept as words. */
static void read_note(struct stock_list *list, struct stock_list_line *line)
{
    char text[TAKE_ON_NOTE + 1], reference[STOCK_LIST_CELL + 2];
    struct builder note, name;
    const char *printer = stock_list_line_said(list, line, STOCK_LIST_PRINTER);
    builder_init(&note, text, sizeof text);
    builder_init(&name, reference, sizeof reference);
    if (stock_list_line_said(list, line, STOCK_LIST_REFERENCE)[0])
        builder_addf(&name, "%s:", list->columns[list->column_of[STOCK_LIST_REFERENCE]].heading);
    add_note(&note, reference, stock_list_line_said(list, line, STOCK_LIST_REFERENCE));
    add_day_note(list, line, &note, STOCK_LIST_RECEIVED, "received");
    add_day_note(list, line, &note, STOCK_LIST_OPENED, "opened");
    add_note(&note, "in printer", printer);
    add_note(&note, "", stock_list_line_said(list, line, STOCK_LIST_NOTE));
    for (char *at = text; *at; at++) /* a cell may have lines of its own */
        if ((unsigned char)*at < ' ')
            *at = ' ';
    if (note.cut) {
        struct fault fault = {0};
        fault_set(&fault, FAULT_INPUT, "note, own number and dates together are longer than %d bytes: shorten them",
                  TAKE_ON_NOTE);
        stock_list_line_fail(line, list->column_of[STOCK_LIST_NOTE], &fault);
        return;
    }
    stock_list_line_set(line, "note", text);
    if (printer[0])
        stock_list_line_notice(line, "it is in a printer: once its label is on, check it out to that printer");
}

static void check_width(const struct stock_list *list, struct stock_list_line *line)
{
    const int count = list->rows.rows[line->row].count;
    struct fault fault = {0};
    if (count < list->column_count)
        fault_set(&fault, FAULT_INPUT,
                  "the line has %d cells, the headings have %d: a separator is missing, or a line "
                  "was broken in two",
                  count, list->column_count);
    for (int i = list->column_count; i < count && fault.code == FAULT_NONE; i++)
        if (stock_list_cell(&list->rows, line->row, i)[0])
            fault_set(&fault, FAULT_INPUT,
                      "the line has more cells than the %d headings: a separator stands inside a cell without quotes",
                      list->column_count);
    if (fault.code != FAULT_NONE)
        stock_list_line_fail(line, -1, &fault);
}

/* The act's own check; its sentence begins with the key. */
static bool check_content(struct stock_list *list, struct stock_list_line *line, struct fault *fault)
{
    static const struct {
        const char *key;
        enum stock_list_field field;
    } keys[] = {{"'lot'", STOCK_LIST_LOT},     {"'place'", STOCK_LIST_PLACE},      {"place", STOCK_LIST_PLACE},
                {"'film'", STOCK_LIST_FILM},   {"'minutes'", STOCK_LIST_HOURS},    {"'hours'", STOCK_LIST_HOURS},
                {"'resin'", STOCK_LIST_RESIN}, {"'amount_ml'", STOCK_LIST_AMOUNT}, {"'note'", STOCK_LIST_NOTE}};
    struct fault why = {0};
    const bool loose = is_vat(line->item) && !json_object_get(line->content, "resin") &&
                       (json_object_get(line->content, "lot") || json_object_get(line->content, "expires") ||
                        json_object_get(line->content, "amount_ml"));
    if (loose)
        fault_set(&why, FAULT_INPUT,
                  "lot, use-by date and content of a vat are its resin's, which is not said: say the resin, or leave "
                  "them empty");
    else if (take_on_check(list->ledger, line->content, &why))
        return true;
    if (why.code == FAULT_STORAGE || why.code == FAULT_BUSY) {
        if (fault)
            *fault = why;
        return false;
    }
    int column = loose ? list->column_of[STOCK_LIST_RESIN] : -1;
    for (size_t i = 0; i < sizeof keys / sizeof *keys && column < 0; i++)
        if (strncmp(why.text, keys[i].key, strlen(keys[i].key)) == 0)
            column = list->column_of[keys[i].field];
    stock_list_line_fail(line, column, &why);
    return true;
}

static bool read_line(struct stock_list *list, struct stock_list_line *line, struct fault *fault)
{
    line->fault_column = -1;
    line->content = json_object();
    line->notices = json_array();
    if (!line->content || !line->notices)
        return fault_set(fault, FAULT_STORAGE, "no memory for line %d: try again", line->line);
    check_width(list, line);
    if (line->state == STOCK_LIST_FAULT) /* its cells stand in the wrong columns: they say nothing */
        return true;
    for (int field = 0; field < STOCK_LIST_FIELD_COUNT; field++)
        if (list->several[field])
            stock_list_line_open(line);
    stock_list_line_read_quantity(list, line);
    if (line->state == STOCK_LIST_NOTHING)
        return true;
    read_item(list, line);
    if (line->state == STOCK_LIST_LEFT_OUT)
        return true;
    if (line->item)
        stock_list_line_set(line, "item", line->item->code);
    read_kind(list, line);
    read_resin(list, line);
    read_lot(list, line);
    stock_list_line_read_expires(list, line);
    stock_list_line_read_filled(list, line);
    stock_list_line_read_amount(list, line);
    stock_list_line_read_hours(list, line);
    read_film(list, line);
    read_place(list, line);
    read_note(list, line);
    return line->state != STOCK_LIST_TAKE_ON || check_content(list, line, fault);
}

bool stock_list_lines_read(struct stock_list *list, struct fault *fault)
{
    const size_t count = list->rows.count - list->heading_row - 1;
    list->words = json_object();
    list->lines = calloc(count > 0 ? count : 1, sizeof *list->lines);
    if (!list->words || !list->lines)
        return fault_set(fault, FAULT_STORAGE, "no memory for %zu lines: try again", count);
    for (size_t i = 0; i < count; i++) {
        struct stock_list_line *line = &list->lines[list->line_count++];
        line->row = list->heading_row + 1 + i;
        line->line = list->rows.rows[line->row].line;
        if (!read_line(list, line, fault))
            return false;
        list->faults += line->state == STOCK_LIST_FAULT;
        list->units += line->state == STOCK_LIST_TAKE_ON ? line->pieces : 0;
    }
    if (list->units > STOCK_LIST_UNITS)
        return fault_set(fault, FAULT_INPUT, "the file has %lld units, more than %d at once: divide it",
                         (long long)list->units, STOCK_LIST_UNITS);
    return true;
}

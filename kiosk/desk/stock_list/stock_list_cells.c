#include "kiosk/desk/stock_list/stock_list_cells.h"

#include <string.h>

/* Dates, contents, hours, pieces: cells of a line that a person may have to say how to read. */

enum { OVERFULL_TENTHS = 15 };

/* The first fault of a line counts; the rest of it is read all the same, so that every question is found. */
void stock_list_line_fail(struct stock_list_line *line, int column, const struct fault *fault)
{
    if (line->state == STOCK_LIST_FAULT)
        return;
    line->state = STOCK_LIST_FAULT;
    line->fault = *fault;
    line->fault_column = column;
}

void stock_list_line_open(struct stock_list_line *line)
{
    if (line->state == STOCK_LIST_TAKE_ON)
        line->state = STOCK_LIST_OPEN;
}

void stock_list_line_notice(struct stock_list_line *line, const char *sentence)
{
    json_array_append_new(line->notices, json_string(sentence));
}

/* The cell as it stands; "" where there is no column, or nobody knows. */
const char *stock_list_line_said(const struct stock_list *list, const struct stock_list_line *line,
                                 enum stock_list_field field)
{
    const char *cell = stock_list_cell(&list->rows, line->row, list->column_of[field]);
    return stock_list_is_unknown(cell) ? "" : cell;
}

static bool is_spreadsheet_error(const char *cell)
{
    return cell[0] == '#' && cell[1] >= 'A' && cell[1] <= 'Z';
}

/* A cell whose digits or value the spreadsheet lost. */
bool stock_list_line_is_lost(struct stock_list_line *line, int column, const char *cell)
{
    struct fault fault = {0};
    if (stock_list_is_shortened(cell))
        fault_set(&fault, FAULT_INPUT,
                  "the spreadsheet has shortened '%s' and lost digits: make the column text there, type the number "
                  "anew and save as CSV",
                  STOCK_LIST_SHOW(cell));
    else if (is_spreadsheet_error(cell))
        fault_set(&fault, FAULT_INPUT, "'%s' is the spreadsheet's own error: correct the cell there",
                  STOCK_LIST_SHOW(cell));
    else
        return false;
    stock_list_line_fail(line, column, &fault);
    return true;
}

void stock_list_line_set(struct stock_list_line *line, const char *key, const char *text)
{
    if (text[0])
        json_object_set_new(line->content, key, json_string(text));
}

/* ---- dates and numbers ---- */

static void count_orders(struct stock_list *list, enum stock_list_field field, const char *text)
{
    struct stock_list_tally *tally = &list->tallies[field];
    tally->dates++;
    if (!tally->date_sample)
        tally->date_sample = text;
    for (int order = STOCK_LIST_YMD; order < STOCK_LIST_ORDERS; order++) {
        struct stock_list_date date;
        tally->fits[order] += stock_list_date_read(text, order, list->this_year, &date, NULL);
    }
}

/* False: there is none, it is open, or a fault was noted. */
bool stock_list_line_date(struct stock_list *list, struct stock_list_line *line, enum stock_list_field field,
                          struct stock_list_date *date)
{
    const char *text = stock_list_line_said(list, line, field);
    const int column = list->column_of[field];
    struct fault fault = {0};
    if (!text[0] || stock_list_line_is_lost(line, column, text))
        return false;
    bool good = stock_list_date_read(text, STOCK_LIST_ORDER_ASK, list->this_year, date, &fault);
    if (good && date->asks) {
        count_orders(list, field, text);
        good = stock_list_date_read(text, list->answers.orders[field], list->this_year, date, &fault);
    }
    if (good && date->asks) {
        stock_list_line_open(line);
        return false;
    }
    if (good && field != STOCK_LIST_EXPIRES && date->month_only)
        good = fault_set(&fault, FAULT_INPUT, "'%s' says no day: write it as 2026-03-31, or leave the cell empty",
                         STOCK_LIST_SHOW(text));
    if (good && field != STOCK_LIST_EXPIRES && date->day.number > list->today.number)
        good = fault_set(&fault, FAULT_INPUT, "'%s' has not come yet: correct the date, or its order",
                         STOCK_LIST_SHOW(text));
    if (!good)
        stock_list_line_fail(line, column, &fault);
    return good;
}

void stock_list_line_read_expires(struct stock_list *list, struct stock_list_line *line)
{
    struct stock_list_date date;
    char text[CALENDAR_DATE_SIZE];
    if (!stock_list_line_date(list, line, STOCK_LIST_EXPIRES, &date))
        return;
    stock_list_line_set(line, "expires", calendar_write_date(date.day, text));
    line->month_only = date.month_only;
    if (date.month_only)
        stock_list_line_notice(line, "the day is not said: the month's last day counts");
    if (date.day.number < list->today.number)
        stock_list_line_notice(line, "its use-by date has passed");
}

void stock_list_line_read_filled(struct stock_list *list, struct stock_list_line *line)
{
    struct stock_list_date date;
    char text[CALENDAR_DATE_SIZE];
    if (stock_list_line_date(list, line, STOCK_LIST_FILLED, &date))
        stock_list_line_set(line, "filled", calendar_write_date(date.day, text));
}

static void count_sign(struct stock_list *list, enum stock_list_field field, const char *text, bool asks)
{
    struct stock_list_tally *tally = &list->tallies[field];
    tally->signs += asks;
    if (asks && !tally->sign_sample)
        tally->sign_sample = text;
    if (!asks && !tally->evidence && strpbrk(text, ",."))
        tally->evidence = text;
}

static bool is_overfull(const struct stock_list_line *line, int64_t microlitres)
{
    return line->item && strchr("CR", line->item->letter) && line->item->content_ul > 0 &&
           microlitres / OVERFULL_TENTHS > line->item->content_ul / 10;
}

void stock_list_line_read_amount(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_AMOUNT);
    const int column = list->column_of[STOCK_LIST_AMOUNT];
    struct stock_list_amount amount;
    struct fault fault = {0};
    if (!text[0] || stock_list_line_is_lost(line, column, text))
        return;
    const enum stock_list_volume own = list->columns[column].unit;
    if (!stock_list_amount_read(text, STOCK_LIST_SIGN_ASK, own, &amount, &fault)) {
        stock_list_line_fail(line, column, &fault);
        return;
    }
    count_sign(list, STOCK_LIST_AMOUNT, text, amount.asks_sign);
    if (amount.asks_unit) {
        list->unitless++;
        if (!list->unit_sample)
            list->unit_sample = text;
    }
    const enum stock_list_volume unit = own != STOCK_LIST_VOLUME_NONE ? own : list->answers.unit;
    if (!stock_list_amount_read(text, list->answers.signs[STOCK_LIST_AMOUNT], unit, &amount, &fault)) {
        stock_list_line_fail(line, column, &fault);
        return;
    }
    if (amount.asks_sign || amount.asks_unit) {
        stock_list_line_open(line);
        return;
    }
    if (is_overfull(line, amount.microlitres)) {
        fault_set(&fault, FAULT_INPUT, "'%s' is more than a full %s holds (%lld ml): correct the number or its unit",
                  STOCK_LIST_SHOW(text), line->item->code, (long long)(line->item->content_ul / 1000));
        stock_list_line_fail(line, column, &fault);
        return;
    }
    const int64_t ul = amount.microlitres;
    json_object_set_new(line->content, "amount_ml",
                        ul % 1000 == 0 ? json_integer(ul / 1000) : json_real((double)ul / 1000));
}

void stock_list_line_read_hours(struct stock_list *list, struct stock_list_line *line)
{
    const char *text = stock_list_line_said(list, line, STOCK_LIST_HOURS);
    const int column = list->column_of[STOCK_LIST_HOURS];
    struct stock_list_hours hours;
    struct fault fault = {0};
    if (!text[0] || stock_list_line_is_lost(line, column, text))
        return;
    if (!stock_list_hours_read(text, STOCK_LIST_SIGN_ASK, &hours, &fault)) {
        stock_list_line_fail(line, column, &fault);
        return;
    }
    count_sign(list, STOCK_LIST_HOURS, text, hours.asks_sign);
    if (!stock_list_hours_read(text, list->answers.signs[STOCK_LIST_HOURS], &hours, &fault)) {
        stock_list_line_fail(line, column, &fault);
    } else if (hours.asks_sign) {
        stock_list_line_open(line);
    } else if (hours.minutes > 0 || !line->item || strchr("VTP", line->item->letter)) {
        json_object_set_new(line->content, "minutes", json_integer(hours.minutes));
    } /* a sheet's 0 hours of a cartridge say nothing */
}

void stock_list_line_read_quantity(struct stock_list *list, struct stock_list_line *line)
{
    const int column = list->column_of[STOCK_LIST_QUANTITY];
    const char *text = stock_list_line_said(list, line, STOCK_LIST_QUANTITY);
    struct fault fault = {0};
    line->pieces = 1;
    if (column < 0)
        return;
    if (!text[0]) {
        fault_set(&fault, FAULT_INPUT, "the line does not say how many: write a number, 0 for none");
        stock_list_line_fail(line, column, &fault);
    } else if (!stock_list_line_is_lost(line, column, text) &&
               !stock_list_pieces_read(text, STOCK_LIST_PIECES, &line->pieces, &fault)) {
        stock_list_line_fail(line, column, &fault);
    }
    if (line->state != STOCK_LIST_FAULT && line->pieces == 0)
        line->state = STOCK_LIST_NOTHING;
}

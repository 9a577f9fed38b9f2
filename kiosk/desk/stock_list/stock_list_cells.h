#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_CELLS_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_CELLS_H

#include "kiosk/desk/stock_list/stock_list_parts.h"

/* Cells of one line of a stock list, for stock_list_line.c. Each call reads its field into the line's content, or notes
 * the fault, or leaves the line open and counts what has to be asked. */

/* The first fault of a line counts; the rest of it is read all the same, so that every question is found. */
void stock_list_line_fail(struct stock_list_line *line, int column, const struct fault *fault);
void stock_list_line_open(struct stock_list_line *line);
void stock_list_line_notice(struct stock_list_line *line, const char *sentence);
void stock_list_line_set(struct stock_list_line *line, const char *key, const char *text); /* "" is not said */

/* The cell as it stands; "" where there is no column, or nobody knows. Borrowed from the rows. */
const char *stock_list_line_said(const struct stock_list *list, const struct stock_list_line *line,
                                 enum stock_list_field field);
/* A cell whose digits or value the spreadsheet lost: its fault is noted. */
bool stock_list_line_is_lost(struct stock_list_line *line, int column, const char *cell);

/* False: there is none, it is open, or its fault was noted. */
bool stock_list_line_date(struct stock_list *list, struct stock_list_line *line, enum stock_list_field field,
                          struct stock_list_date *date);
void stock_list_line_read_expires(struct stock_list *list, struct stock_list_line *line);
void stock_list_line_read_filled(struct stock_list *list, struct stock_list_line *line);
void stock_list_line_read_amount(struct stock_list *list, struct stock_list_line *line);
void stock_list_line_read_hours(struct stock_list *list, struct stock_list_line *line);
/* Sets `pieces`; 0 of them is STOCK_LIST_NOTHING. */
void stock_list_line_read_quantity(struct stock_list *list, struct stock_list_line *line);

#endif

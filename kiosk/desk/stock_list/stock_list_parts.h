#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_PARTS_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_PARTS_H

#include <jansson.h>

#include "kiosk/desk/stock_list/stock_list.h"
#include "kiosk/desk/stock_list/stock_list_catalogue.h"
#include "kiosk/desk/stock_list/stock_list_column.h"
#include "kiosk/desk/stock_list/stock_list_rows.h"
#include "kiosk/desk/stock_list/stock_list_value.h"

/* The insides of stock_list.c, for its own files only: answers, columns, lines, questions, in this order. */

struct stock_list_answers {
    const char *encoding; /* borrowed from the answers, as the rest; "" when not said */
    char separator;       /* 0 */
    int64_t heading_line; /* 0 */
    const json_t *columns;
    enum stock_list_order orders[STOCK_LIST_FIELD_COUNT];
    enum stock_list_sign signs[STOCK_LIST_FIELD_COUNT];
    enum stock_list_volume unit;
    const char *unit_word;
    const json_t *words[STOCK_LIST_FIELD_COUNT];
    char place[PLACE_SIZE];
    const char *again; /* "", "others", "same" */
    int64_t leave_out; /* -1 */
};
/* Knows the keys and their kinds; what they name is looked up later. */
bool stock_list_answers_read(const json_t *answers, struct stock_list_answers *read, struct fault *fault);

struct stock_list_column {
    const char *heading; /* borrowed from the rows */
    enum stock_list_field field;
    enum stock_list_volume unit;
    const char *why; /* it is not used; static, NULL: nothing to say */
};

/* What has to be asked, counted over the lines. */
struct stock_list_tally {
    size_t dates, fits[STOCK_LIST_ORDERS]; /* dates that need an order, and how many of them each order reads */
    size_t signs;                          /* numbers that may be one or a thousand */
    const char *date_sample, *sign_sample, *evidence; /* evidence: a number whose sign is beyond doubt */
};

struct stock_list_line {
    int line;
    size_t row;
    enum stock_list_state {
        STOCK_LIST_TAKE_ON,
        STOCK_LIST_FAULT,
        STOCK_LIST_OPEN,
        STOCK_LIST_NOTHING,
        STOCK_LIST_LEFT_OUT
    } state;
    int64_t pieces, booked;
    int64_t here;            /* pieces that stand here already, from the first on: they stay out */
    const struct item *item; /* NULL: not known */
    json_t *content;         /* of the act; owned */
    json_t *notices;         /* owned */
    bool month_only;
    int fault_column; /* -1: the line as a whole */
    struct fault fault;
};

struct stock_list {
    struct ledger *ledger;
    struct stock_list_answers answers;
    struct stock_list_text text;
    struct stock_list_rows rows;
    struct stock_list_catalogue catalogue;
    struct day today;
    int this_year;
    char digest[17];
    size_t heading_row;
    struct stock_list_column columns[STOCK_LIST_CELLS];
    int column_count;
    int column_of[STOCK_LIST_FIELD_COUNT]; /* -1: none */
    bool several[STOCK_LIST_FIELD_COUNT];  /* columns mean it, and none was chosen: asked */
    struct stock_list_tally tallies[STOCK_LIST_FIELD_COUNT];
    size_t unitless; /* contents without a unit */
    const char *unit_sample;
    size_t placeless; /* lines that do not say where */
    json_t *words;    /* {field: {text: [line]}} that need an answer, in the order of the file; owned */
    struct stock_list_line *lines;
    size_t line_count;
    int64_t units, booked, faults, doubles;
};

/* Fills columns, column_of and several from the headings and the answers. */
bool stock_list_columns_choose(struct stock_list *list, struct fault *fault);
/* Reads every row into `lines`, filling the tallies. */
bool stock_list_lines_read(struct stock_list *list, struct fault *fault);
/* Beside the ledger: units with the same item, lot and use-by date as some there (`doubles`), what this file booked
 * before
 * (`booked`), and lots whose use-by dates differ (notices). */
bool stock_list_stock_compare(struct stock_list *list, struct fault *fault);
void stock_list_act_id(const struct stock_list *list, int line, int64_t piece, char id[ACT_ID_SIZE]);

/* New arrays and objects. `*open`: questions without an answer. */
json_t *stock_list_questions(const struct stock_list *list, const struct stock_list_text *encodings, int64_t *open);
json_t *stock_list_columns_json(const struct stock_list *list);
json_t *stock_list_lines_json(const struct stock_list *list);
json_t *stock_list_totals_json(const struct stock_list *list);

#endif

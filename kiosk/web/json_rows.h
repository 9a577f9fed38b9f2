#ifndef KIOSK_WEB_JSON_ROWS_H
#define KIOSK_WEB_JSON_ROWS_H

#include <stdint.h>

#include <jansson.h>

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/ledger/substitutions.h"
#include "kiosk/ledger/unit.h"
#include "kiosk/web/request.h"

/* The ledger's rows as JSON objects for the pages, and the way a GET reads them. What is not known is null, never 0.
 * Amounts are millilitres (whole where they are), days "YYYY-MM-DD", instants UTC. */

/* Reads in one transaction of a reader's ledger. `*body` is a new value. */
typedef bool json_rows_read(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault);
/* Takes a reader, reads, gives the reader back, replies with the body or the fault. */
enum MHD_Result json_rows_reply(struct request *request, json_rows_read *read);

json_t *json_rows_text(const char *text);    /* "" is null; bytes that are no UTF-8 are shown as <0x9F> */
json_t *json_rows_number(int64_t number);    /* MOVEMENT_NULL is null */
json_t *json_rows_amount(int64_t amount_ul); /* microlitres -> millilitres */
json_t *json_rows_day(int64_t day);
json_t *json_rows_instant(int64_t ms);

json_t *json_rows_item(const struct item *item);
json_t *json_rows_place(const struct place *place);
json_t *json_rows_machine(const struct machine *machine);
json_t *json_rows_person(const struct person *person);
json_t *json_rows_delivery(const struct delivery *delivery);
json_t *json_rows_substitution(const struct substitution *substitution);
json_t *json_rows_sticker(const struct sticker *sticker);
json_t *json_rows_question(const struct question *question);
json_t *json_rows_print(const struct print *print);
json_t *json_rows_job(const struct job *job);
json_t *json_rows_stock(const struct stock_line *line, struct day today);
json_t *json_rows_total(const struct stock_total *total, struct day today);

/* Serials of units, gathered first and described afterwards: no statement runs inside another's rows. */
enum { JSON_ROWS_SERIALS = 500 };
struct serial_list {
    char serials[JSON_ROWS_SERIALS][SERIAL_SIZE];
    size_t count;
};
unit_visitor json_rows_gather; /* context: a serial_list; stops when full */
/* A new array of units as desk_unit gives them. */
bool json_rows_units(struct ledger *ledger, const struct serial_list *list, struct day today, json_t **units,
                     struct fault *fault);
/* The kiosk's day now. */
struct day json_rows_today(const struct request *request);

#endif

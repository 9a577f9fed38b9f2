#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_H

#include <jansson.h>

#include "kiosk/desk/stock_list/stock_list_text.h" /* STOCK_LIST_BYTES */
#include "kiosk/ledger/ledger.h"

/* A stock list: the room's units as a shop's spreadsheet has them, saved as CSV, on the day it moves in. This reads it
 * and says what would be booked, and asks whatever it would have to guess; it books nothing. What is ready comes out as
 * acts "take-on", one for each unit, with ids made of the file's bytes, the line and the piece: sent twice, or in
 * parts, nothing is booked twice. docs/stock-list.md tells it to a storekeeper.
 *
 * answers, an object; each key may be left out
 *   encoding    name (stock_list_text.h)
 *   separator   comma|semicolon|tab            else found by counting
 *   headings    line of the headings           else found by the table of headings
 *   columns     {field: heading, number of the column from 1, or null for none}     over what the headings say
 *   dates       ymd|dmy|mdy for all columns, or {field: …}
 *   decimal     comma|point, or {field: …}     what "1.234" and "1,234" mean
 *   unit        ml|cl|dl|l                     of contents that say none
 *   words       {item|resin|place|kind|film: {text of the file: code, or null}}     null: an item's lines stay out;
 *               of the others it is not said
 *   place       code                           where lines without a place stand
 *   again       others|same                    units of the same item, lot and use-by date as some that stand here: to
 *               be taken on besides, or the same ones, which stay out
 *   leave_out   count of the lines with faults, which are to stay out
 *
 * the plan, an object
 *   file        {digest, encoding, separator, heading_line, lines}
 *   questions   [{id, field?, text?, heading?, sentence, choices: [{value, words, sample?}], answer: value|null}]
 *               id: encoding, column, dates, decimal, unit, word, place, again, leave-out
 *   columns     [{column, heading, field: word|null, sample, why?: sentence when it is not used}]
 *   lines       [{line, state: take-on|fault|open|nothing|left-out, units, booked, here, item, name, content,
 *               month_only, notices: [sentence], fault: {heading, cell, sentence}|null}]
 *               here: pieces that stand here already and stay out; booked: pieces this file has taken on before
 *   totals      [{item, name, units, lines, amount_ml, amount_unknown, first_expires, last_expires}]
 *   places      [{code, name}] and items [{code, name, letter}] of the room, to answer with
 *   units, booked, faults, open                counts: units to take on, of these booked before; lines; questions
 *   ready       nothing is open and no line has a fault that was not left out
 *   acts        [{id, line, content}] when ready, else []
 *   sentence    what all that comes to */

enum { STOCK_LIST_UNITS = 2000, STOCK_LIST_PIECES = 500, STOCK_LIST_ACT_VERSION = 1 };

/* `ledger` a reader's. `*plan` is a new object. FAULT_INPUT: the file cannot be read at all, or an answer makes no
 * sense; its sentence says what to do. */
bool stock_list_plan(struct ledger *ledger, struct span file, const json_t *answers, struct day today, json_t **plan,
                     struct fault *fault);

#endif

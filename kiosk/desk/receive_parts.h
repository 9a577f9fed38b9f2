#ifndef KIOSK_DESK_RECEIVE_PARTS_H
#define KIOSK_DESK_RECEIVE_PARTS_H

#include "kiosk/desk/receive.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/rules/verdict.h"

/* What receive.c, receive_carton.c, receive_unopened.c and receive_typed.c share. */

/* `code`, the `number`th of its carton, with its item if the catalogue has it. */
bool receive_code_begin(struct ledger *ledger, const struct receive_code *code, size_t number, struct carton_code *made,
                        struct fault *fault);
/* The proposal becomes what all codes of the counter's carton say. */
void receive_propose(struct counter *counter);
/* A stop of `title`: both values of everything in which `code` differs, and where each came from. True: there was such.
 */
bool receive_say_differences(struct counter *counter, const struct carton *before, const struct carton_code *code,
                             const char *title);
/* "Is this pack part of the 4?" */
void receive_ask_inner(struct counter *counter, const struct carton_code *code);
/* receive_scan with no delivery open. */
bool receive_unopened(struct turn *turn, const struct receive_code *codes, size_t count, struct fault *fault);

/* The item of a proposal, or what a provisional one would be. */
bool receive_item_of(struct ledger *ledger, const struct counter_receipt *receipt, struct item *item,
                     struct fault *fault);
/* The hold its units get, "" = none, and the reasons (receipt.h). */
const char *receive_judge(const struct moment *moment, const struct item *item, int64_t expires,
                          struct verdict_list *list);
/* Books `receipt` of a known item: units, receipts, labels. */
bool receive_book(struct turn *turn, const struct item *item, const struct counter_receipt *receipt, const char *hold,
                  struct fault *fault);
/* Thousands of labels may be a slip of the finger: over 200 it asks once, with the number, before anything is booked.
 * True: it asked. */
bool receive_must_ask(struct turn *turn, const struct counter_receipt *receipt, const char *name);
/* What comes next: each label on its thing, and scanned back; with several lots the maker's code before each. */
bool receive_say(struct turn *turn, const struct item *item, const struct counter_receipt *receipt, const char *hold,
                 struct fault *fault);

#endif

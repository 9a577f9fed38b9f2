#ifndef KIOSK_DESK_RECEIVE_PARTS_H
#define KIOSK_DESK_RECEIVE_PARTS_H

#include "kiosk/desk/receive.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/rules/verdict.h"

/* What receive.c, receive_carton.c and receive_typed.c share. */

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

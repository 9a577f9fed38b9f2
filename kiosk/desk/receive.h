#ifndef KIOSK_DESK_RECEIVE_H
#define KIOSK_DESK_RECEIVE_H

#include "kiosk/desk/turn.h"
#include "labels/content/scan.h"

/* Receiving: with a delivery open, a maker's code proposes item, lot, expiry and quantity; YES books that many units
 * with serials, receipts and labels. Further codes of the same pack or carton add to the proposal, the same code again
 * counts one more, what contradicts is shown and asked about (kiosk/rules/carton.h). An item nobody has entered is made
 * provisional from the scan, and its units are held until a storekeeper completes it. */

/* What a maker's code says. */
struct receive_code {
    struct supplier_label label;
    const char *source; /* in which kind of code, for sentences; static */
};

/* Makers' codes of one carton, 1 to CARTON_CODES: one that was scanned, or all of a photograph. Once one of them has to
 * be asked about, of the rest only what contradicts is looked at.
 *
 * With no delivery open they are combined all the same (receive_unopened.c), and what is asked is whether a delivery
 * came or one of our units is in the hand; once a delivery is open, receive_begin goes on with all of them. */
bool receive_scan(struct turn *turn, const struct receive_code *codes, size_t count, struct fault *fault);
/* A delivery was opened for what is proposed. */
bool receive_begin(struct turn *turn, struct fault *fault);
/* The answer to what receive_scan asked: YES, or OTHER (another pack; beside the carton; not one more). */
bool receive_answer(struct turn *turn, bool yes, struct fault *fault);
/* The proposal as it is now, with what speaks against it. */
bool receive_show(struct turn *turn, struct fault *fault);
/* The hold its units would get, "" = none. */
bool receive_hold(struct ledger *ledger, const struct counter_receipt *receipt, const struct moment *moment,
                  char hold[WORD_SIZE], struct fault *fault);
/* Does it name an item, known or not? Lot and date alone are no receipt yet. */
bool receive_names_item(const struct counter_receipt *receipt);
/* Forgets the group, but not what was proposed to be received. */
void receive_keep_proposal(struct counter *counter);
/* YES; `quantity` MOVEMENT_NULL = as proposed. */
bool receive_confirm(struct turn *turn, int64_t quantity, struct fault *fault);

bool receive_act(struct act_context *context, json_t **answer, struct fault *fault); /* typed, without a code */

#endif

#ifndef KIOSK_DESK_UNDO_H
#define KIOSK_DESK_UNDO_H

#include "kiosk/desk/turn.h"

/* UNDO: takes an act back by counter-movements, newest first; nothing is erased. Only what nobody touched since can be
 * taken back. Asks when another person is signed in. */

/* {act, sentence} naming the act and the person, or null when there is nothing to undo. `act_now` is the act that is
 * just being booked (its answer is stored after it is made), "" none. */
bool undo_view(struct ledger *ledger, const char *counter, const char *act_now, json_t **row, struct fault *fault);

/* The card UNDO: the counter's last act; asks first when it was another person's. */
bool undo_card(struct turn *turn, struct fault *fault);
/* YES to that question. */
bool undo_confirm(struct turn *turn, struct fault *fault);

bool undo_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "undo" */

#endif

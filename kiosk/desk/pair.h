#ifndef KIOSK_DESK_PAIR_H
#define KIOSK_DESK_PAIR_H

#include "kiosk/desk/turn.h"

/* Two labels of one vat: the case's, which is the unit, and the tray's, which is read only while the case is open. The
 * tray's label counts as its vat. Scanned with another vat in hand it stops the group ("other-tray") and asks which of
 * the two it is: TRAY-MOVED pairs it with the case in hand and tells the storekeeper, TRAY-STAYS leaves the pair and
 * goes on with the vat that the tray belongs to. */

/* The tray's label was scanned. `vat`: which unit it stands for; "": the counter says what is wrong. */
bool pair_scanned(struct turn *turn, const struct unit *tray, char vat[SERIAL_SIZE], struct fault *fault);
/* The case is what one scans where nobody opens it: said beside what the scan of a tray led to. */
void pair_say_case(struct turn *turn, const char *tray, const char *vat);
/* The movement: they are a pair (word ""), or no more ("apart"). */
bool pair_book(struct turn *turn, const char *vat, const char *tray, const char *word, struct fault *fault);

/* Until it is said which vat is in hand nothing goes on: whatever is scanned or pressed asks again, but for NO, DONE,
 * UNDO, HOLD and the answers. */
bool pair_is_asked(const struct counter *counter);
bool pair_ask(struct turn *turn, struct fault *fault);
/* TRAY-MOVED or TRAY-STAYS. `*mine` false: no such card, or nothing was asked. `vat`: what is in hand then, "" when the
 * counter says why not. */
bool pair_card(struct turn *turn, const char *card, bool *mine, char vat[SERIAL_SIZE], struct fault *fault);

bool pair_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "pair" */

#endif

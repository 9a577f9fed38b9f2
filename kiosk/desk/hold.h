#ifndef KIOSK_DESK_HOLD_H
#define KIOSK_DESK_HOLD_H

#include "kiosk/desk/turn.h"

/* Hold and release. Anyone may put a thing on hold; a storekeeper releases, with a PIN. */

bool hold_group(struct turn *turn, struct fault *fault); /* the card HOLD: all things scanned so far */

/* OUTLET-STUCK, OUTLET-LEAKS: of the one cartridge in hand, with a question "supplier-claim" that names item, lot,
 * delivery and supplier. `*mine` false: no such card. The act "hold" with the reason outlet-stuck or outlet-leaks does
 * the same. */
bool hold_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);

bool hold_act(struct act_context *context, json_t **answer, struct fault *fault);    /* act "hold" */
bool release_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "release" */

#endif

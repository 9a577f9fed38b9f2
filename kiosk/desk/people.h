#ifndef KIOSK_DESK_PEOPLE_H
#define KIOSK_DESK_PEOPLE_H

#include "kiosk/desk/turn.h"

/* People, and the PINs of those who approve. Badges identify; a storekeeper's PIN approves (turn_approve). Whoever
 * makes a PIN (the web room) hands in its hash as the act's `aside`: no PIN ever comes here. */

/* act "person-entry" */
bool person_entry_act(struct act_context *context, json_t **answer, struct fault *fault);

/* act "pin-issue": a storekeeper gets a new PIN, approved by a storekeeper's old one. */
bool pin_issue_act(struct act_context *context, json_t **answer, struct fault *fault);

/* act "enrol": the first storekeeper of a room, or the first PIN of a room where nobody has one, by the code that the
 * kiosk wrote where it was started. Whoever checked the code hands in the hash; there is none without it. */
bool enrol_act(struct act_context *context, json_t **answer, struct fault *fault);

/* act "pin-tried", from this program alone: the PIN of `person` was right or wrong, the word stands in `aside`. */
bool pin_tried_act(struct act_context *context, json_t **answer, struct fault *fault);

/* Is there another storekeeper left when `before` becomes `role`? FAULT_REFUSED when not. */
bool people_keep_storekeeper(struct turn *turn, const struct person *before, const char *role, struct fault *fault);

#endif

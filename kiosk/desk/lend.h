#ifndef KIOSK_DESK_LEND_H
#define KIOSK_DESK_LEND_H

#include "kiosk/desk/turn.h"

/* Lending to another room (a place of kind room), with a day by which the thing is promised back. By scans: badge,
 * each thing, the room's label, a card 1D, 3D, 7D … or UNKNOWN. A thing that is lent is scanned again with such a card,
 * or with the room's label, to promise another day. It comes back by a check-in. Judged as a check-out without a
 * printer. docs/lending.md. */

/* The most that is promised, and the card that says it: "7D", of days from today; false: it is no such card. */
enum { LEND_DAYS_MAX = 366 };
bool lend_card_days(const char *card, int64_t *days);

bool lend_is_lent(const struct unit *unit);

/* The room's label was scanned; and a thing, after that. */
bool lend_room_scanned(struct turn *turn, const struct place *room, struct fault *fault);
bool lend_add(struct turn *turn, const char *serial, struct fault *fault);
/* What speaks against it, what is still asked, or the booking when all is there. */
bool lend_show(struct turn *turn, struct fault *fault);
/* A card that says a day, or UNKNOWN; of what is lent and scanned again too. `*mine` false: it is none. */
bool lend_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);
/* YES to an ask; and TAKEN: it is there already, whatever speaks against it. */
bool lend_confirm(struct turn *turn, struct fault *fault);
bool lend_taken(struct turn *turn, struct fault *fault);
/* The key OVERRULE: a storekeeper lets what is stopped go, with the PIN. */
bool lend_overrule(struct turn *turn, struct fault *fault);

bool lend_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "lend" */

/* The day by which something is promised back, of an act's `due`. FAULT_INPUT when it is past. */
bool lend_read_due(const struct turn *turn, const json_t *content, int64_t *due, struct fault *fault);

#endif

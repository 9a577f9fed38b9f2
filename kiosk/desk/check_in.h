#ifndef KIOSK_DESK_CHECK_IN_H
#define KIOSK_DESK_CHECK_IN_H

#include "kiosk/desk/turn.h"

/* Check-in: things come back with hours, content and film condition noted. By scans: badge, each thing, for a vat a
 * film card, then the shelf (which closes the group). Hours not said are taken from the time it was out; content not
 * said stays as the ledger has it; UNKNOWN makes both unknown. An amount off by a thousand is asked about (amount.h). A
 * film that is dented, leaks or carries cured bits puts the vat on hold (common practice, no source). */

bool check_in_add(struct turn *turn, const char *serial, struct fault *fault);
/* Is something said of the thing that comes back, and not booked yet? Another act about it would throw that away, so
 * the counter then asks to finish first: true. */
bool check_in_comes_first(struct counter *counter);
/* What the counter waits for now. */
void check_in_say_next(struct turn *turn);
/* The shelf was scanned. Asks for the film of a vat that nobody spoke of. */
bool check_in_close(struct turn *turn, const char *place, struct fault *fault);
/* YES: an amount that was asked about is so. */
bool check_in_confirm(struct turn *turn, struct fault *fault);
/* A film card, an amount (250ML), hours (12H) or UNKNOWN: about the last thing it can be about. False and no fault
 * text: not such a card. */
bool check_in_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);

bool check_in_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "check-in" */

#endif

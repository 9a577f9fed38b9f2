#ifndef KIOSK_DESK_LIFE_SHOWN_H
#define KIOSK_DESK_LIFE_SHOWN_H

#include "kiosk/desk/turn.h"

/* How many hours of life a printer shows for a vat or platform on its own screen, noted beside ours. It changes no
 * hours of ours: where the two differ (kiosk/rules/life_shown.h), the storekeeper gets the question "life-differs", one
 * for a thing until it is settled. By scans: badge, the thing, the card LIFE-SHOWN, cards of hours, YES. The cards add
 * up, for no sheet has one for each number; 0H begins anew. STEP_LIFE: units[0] with the minutes said. */

bool life_shown_begin(struct turn *turn, struct fault *fault); /* the card LIFE-SHOWN */
/* Asks what is still to be said. */
bool life_shown_show(struct turn *turn, struct fault *fault);
/* `*mine` false: no such thing is going on. */
bool life_shown_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);
bool life_shown_confirm(struct turn *turn, struct fault *fault); /* YES */

bool life_shown_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "life-shown" */

#endif

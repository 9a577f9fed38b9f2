#ifndef KIOSK_DESK_INSPECT_H
#define KIOSK_DESK_INSPECT_H

#include "kiosk/desk/turn.h"

/* Somebody has looked at a vat's film or a platform's surface. With nothing wrong it releases what a failed job put on
 * hold, and no storekeeper is needed; what is wrong puts it on hold for that. Other holds stay. By scans: badge, the
 * thing, the card INSPECTED, then a film card (FILM-CLEAR …) or a surface card (SURFACE-FINE, -SCRATCHED, -LOOSE); of a
 * vat MIXER-MISSING and FLOAT-STUCK may come before. STEP_INSPECT: units[0] with what was said. */

/* The card INSPECTED. */
bool inspect_begin(struct turn *turn, struct fault *fault);
/* What is asked, or the booking when all is said and somebody is there. */
bool inspect_show(struct turn *turn, struct fault *fault);
/* `*mine` false: no card of an inspection, or none is going on. */
bool inspect_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);

bool inspect_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "inspect" */

#endif

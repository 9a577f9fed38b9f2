#ifndef KIOSK_DESK_KEEP_H
#define KIOSK_DESK_KEEP_H

#include "kiosk/desk/turn.h"

/* Keeping a thing for a person or for a job, until the end of a day or until somebody frees it (docs/lending.md). By
 * scans: badge, each thing, the card KEEP, then a card 1D, 3D, 7D … or UNKNOWN (until it is freed). It is kept for
 * whoever showed the badge; when a printer is scanned before the day, for the job that runs there. The card FREE ends
 * it. */

/* The card KEEP, and the card FREE: all things scanned so far. */
bool keep_begin(struct turn *turn, struct fault *fault);
bool keep_free(struct turn *turn, struct fault *fault);
/* Scanned meanwhile: a printer, and one more thing. */
bool keep_machine(struct turn *turn, const char *machine, struct fault *fault);
bool keep_add(struct turn *turn, const char *serial, struct fault *fault);
/* What is asked, or the booking when all is said. */
bool keep_show(struct turn *turn, struct fault *fault);
/* A card that says a day, or UNKNOWN; `*mine` false: it is none, or nothing is to be kept. */
bool keep_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);

/* Kept for a person who leaves: nobody could ever take it. */
bool keep_end_of_person(struct turn *turn, const char *person, struct fault *fault);

bool reserve_act(struct act_context *context, json_t **answer, struct fault *fault);   /* act "reserve" */
bool unreserve_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "unreserve" */

#endif

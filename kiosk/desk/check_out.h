#ifndef KIOSK_DESK_CHECK_OUT_H
#define KIOSK_DESK_CHECK_OUT_H

#include "kiosk/desk/turn.h"

/* Check-out: things go to a person and a printer. By scans: badge, each thing, printer (which closes the group) in
 * any order; or in one act of a script. */

/* A scanned thing joins the group; shows the verdict so far, and books when a printer was scanned before. */
bool check_out_add(struct turn *turn, const char *serial, struct fault *fault);
/* The verdict of the group as it is now, and the booking when all is there. */
bool check_out_show(struct turn *turn, struct fault *fault);
/* The printer was scanned, before the things or after: judge all, and book what may go. */
bool check_out_close(struct turn *turn, const char *machine, struct fault *fault);
/* An amount's card, or UNKNOWN, when it was asked what the job needs; `*mine` false: it was not, or it is no such card.
 */
bool check_out_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);
/* YES to an ask. Judges again: what became a stop meanwhile stays here. */
bool check_out_confirm(struct turn *turn, struct fault *fault);
/* The card TAKEN: reality is booked whatever the verdict, and a question opened. */
bool check_out_taken(struct turn *turn, struct fault *fault);
/* The key OVERRULE: a storekeeper lets what is stopped go, with the PIN. */
bool check_out_overrule(struct turn *turn, struct fault *fault);

bool check_out_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "check-out" */

#endif

#ifndef KIOSK_DESK_RETIRE_H
#define KIOSK_DESK_RETIRE_H

#include "kiosk/desk/turn.h"

/* A thing's service ends. A vat with resin in it gives all of it to a fresh one, and both know of each other; its own
 * labels are dead from then on, and say so when they turn up. With scans: badge, the old one, the fresh one when there
 * is resin, the card RETIRE, and YES. What has left the room is disposed of. */

bool retire_add(struct turn *turn, const char *serial, struct fault *fault); /* scanned meanwhile: the fresh one */
bool retire_begin(struct turn *turn, struct fault *fault);                   /* the card RETIRE */
bool retire_confirm(struct turn *turn, struct fault *fault);                 /* YES in STEP_RETIRE */
bool retire_overrule(struct turn *turn, struct fault *fault);                /* the key OVERRULE, with a PIN */
bool retire_act(struct act_context *context, json_t **answer, struct fault *fault);  /* act "retire" */
bool dispose_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "dispose" */

#endif

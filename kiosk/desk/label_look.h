#ifndef KIOSK_DESK_LABEL_LOOK_H
#define KIOSK_DESK_LABEL_LOOK_H

#include "kiosk/desk/turn.h"

/* How labels came out: what the picture reader measured of our labels is kept per label printer, so that a printer is
 * seen to get worse. Whose labels they are, and which printer made them, the ledger knows. */

bool label_look_act(struct act_context *context, json_t **answer, struct fault *fault);     /* act "label-look" */
bool label_baseline_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "label-baseline" */

#endif

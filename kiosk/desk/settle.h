#ifndef KIOSK_DESK_SETTLE_H
#define KIOSK_DESK_SETTLE_H

#include "kiosk/desk/turn.h"

/* What the storekeeper settles: a question, and whether the clock is right. */
bool settle_act(struct act_context *context, json_t **answer, struct fault *fault);        /* act "settle" */
bool clock_confirm_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "clock-confirm" */

#endif

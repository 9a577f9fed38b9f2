#ifndef KIOSK_DESK_DELIVERY_H
#define KIOSK_DESK_DELIVERY_H

#include "kiosk/desk/turn.h"

/* Deliveries: opened, gone on with at another counter, closed. What comes with one is received into it (receive.h). */

/* Is the counter's delivery still open? Forgets one that was closed elsewhere. */
bool delivery_is_open(struct turn *turn, bool *open, struct fault *fault);
/* The key DELIVERY: opens one whose supplier was not said, and proposes what was just scanned. */
bool delivery_key(struct turn *turn, struct fault *fault);

bool delivery_open_act(struct act_context *context, json_t **answer, struct fault *fault);
bool delivery_resume_act(struct act_context *context, json_t **answer, struct fault *fault);
bool delivery_close_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

#ifndef KIOSK_DESK_TAKE_ON_H
#define KIOSK_DESK_TAKE_ON_H

#include "kiosk/desk/turn.h"

/* Take-on: books what already stands in the room, unknowns allowed. */
bool take_on_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "take-on" */

#endif

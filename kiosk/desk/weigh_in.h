#ifndef KIOSK_DESK_WEIGH_IN_H
#define KIOSK_DESK_WEIGH_IN_H

#include "kiosk/desk/turn.h"

/* Act "weigh": what is in a container, by its weight, its weight when empty and the resin's density. Within what both
 * can be off, weight and books are fused and the difference is booked; beyond that somebody is asked. */
bool weigh_in_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

#ifndef KIOSK_DESK_GROUP_H
#define KIOSK_DESK_GROUP_H

#include "kiosk/desk/turn.h"

/* The things of an act that names several: `units` of its content, 1 to COUNTER_UNITS serials, each once. They are the
 * counter's group from now on. */
bool group_read_units(struct turn *turn, const json_t *content, struct fault *fault);

#endif

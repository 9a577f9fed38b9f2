#ifndef KIOSK_DESK_CARE_H
#define KIOSK_DESK_CARE_H

#include "kiosk/desk/turn.h"

/* What is done to a thing so that it goes on serving: its resin is stirred, a platform gets a new removable surface. By
 * scans: badge, the thing, the card STIRRED or NEW-SURFACE. Where that was asked at a check-out, the check-out goes on;
 * else the group is closed. */

/* The card STIRRED: all of the group that holds resin. */
bool care_stirred(struct turn *turn, struct fault *fault);
/* The card NEW-SURFACE: the platforms of the group. */
bool care_new_surface(struct turn *turn, struct fault *fault);

bool stir_act(struct act_context *context, json_t **answer, struct fault *fault);            /* act "stir" */
bool surface_renewed_act(struct act_context *context, json_t **answer, struct fault *fault); /* "surface-renewed" */

#endif

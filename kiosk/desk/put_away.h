#ifndef KIOSK_DESK_PUT_AWAY_H
#define KIOSK_DESK_PUT_AWAY_H

#include "kiosk/desk/turn.h"

/* Put-away: things in storage to a shelf. */

/* The shelf was scanned with things in the group that are in storage. */
bool put_away_group(struct turn *turn, const char *place, struct fault *fault);

bool put_away_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "put-away" */

#endif

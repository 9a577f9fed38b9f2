#ifndef KIOSK_DESK_VIEW_H
#define KIOSK_DESK_VIEW_H

#include "kiosk/desk/counter.h"

/* The counter's view (form in desk.h): what is on the screen, made from the counter's row and the present state.
 * `act_now`: the act that is being booked, "" none. */
bool view_make(struct ledger *ledger, const struct counter *counter, const char *act_now, const struct moment *moment,
               json_t **view, struct fault *fault);

/* A unit as views and /api/units show it. */
bool view_unit(struct ledger *ledger, const struct unit *unit, struct day today, json_t **row, struct fault *fault);

/* null for MOVEMENT_NULL. */
json_t *view_day(int64_t day);
json_t *view_ml(int64_t amount_ul);

#endif

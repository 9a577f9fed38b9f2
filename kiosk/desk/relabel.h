#ifndef KIOSK_DESK_RELABEL_H
#define KIOSK_DESK_RELABEL_H

#include "kiosk/desk/turn.h"

/* A thing whose label is lost gets a new serial, linked to the old one, and a new label: the old may lie about and
 * alarms when it turns up (alarm.h). While the old label is in hand it is a reprint (reprint.h): same serial. */

/* Who may, and whether the thing is still there under this serial. */
bool relabel_judge(struct turn *turn, const struct unit *unit, struct verdict_list *list, struct fault *fault);
/* Books it, orders the label and says so. `chosen`: somebody chose it among several, so the storekeeper is asked.
 * A thing whose label was never proved needs no new serial: its label is printed again. */
bool relabel_book(struct turn *turn, const struct unit *unit, bool chosen, char fresh[SERIAL_SIZE],
                  struct fault *fault);

bool relabel_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "relabel" */

#endif

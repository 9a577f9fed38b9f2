#ifndef KIOSK_DESK_ALARM_H
#define KIOSK_DESK_ALARM_H

#include "kiosk/desk/turn.h"

/* A label that was given up as lost has turned up: its thing has another serial and another label now (relabel.h). It
 * stops wherever it is scanned, is never proposed, and a storekeeper is asked about it once. */

bool alarm_scanned(struct turn *turn, const struct unit *old, struct fault *fault);

/* "already taken" of such a serial: reality is booked with the serial that the thing has now, and the storekeeper is
 * asked. A tray stands for its vat (pair.h). Changes the counter's units. */
bool alarm_stand_in(struct turn *turn, struct fault *fault);

#endif

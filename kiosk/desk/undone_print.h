#ifndef KIOSK_DESK_UNDONE_PRINT_H
#define KIOSK_DESK_UNDONE_PRINT_H

#include "kiosk/desk/turn.h"

/* Takes back what a person did to a label: an order is withdrawn while it waits, a withdrawn label waits (or has
 * failed) again, a moved one goes back to its turn. What has happened to the label since stands: then nothing is
 * booked. */
bool undone_print_take_back(struct turn *turn, const struct movement *done, struct fault *fault);

#endif

#ifndef KIOSK_DESK_SUPPLY_H
#define KIOSK_DESK_SUPPLY_H

#include "kiosk/desk/turn.h"

/* After a group went out to a printer: from now on each cartridge there may run into each vat there, and each vat's
 * resin may go into the job's parts. Booked for the pairs of which one or both are of the turn's group, and for a vat
 * that stood there before, when the job is a new one. How much runs is known later, or never; that a lot may be in the
 * vat and in the parts must be known from here on (common practice, no source: a printer opens its cartridges when it
 * likes). */
bool supply_book(struct turn *turn, const char *machine, const char *job, struct fault *fault);

#endif

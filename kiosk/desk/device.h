#ifndef KIOSK_DESK_DEVICE_H
#define KIOSK_DESK_DEVICE_H

#include "kiosk/desk/turn.h"

/* Devices that speak for themselves. A storekeeper gives a printer, a slicer or a script its credential and takes it
 * back; what it does is booked without a person, with its name in the detail of the movements. */

/* May a device do this kind of act? Only what a printer can know by itself. */
bool device_may_do(const char *act_kind);
/* FAULT_REFUSED when the act is a device's whose credential is for another printer, or was taken back meanwhile. */
bool device_may_speak_of(struct turn *turn, const char *machine, struct fault *fault);

bool device_entry_act(struct act_context *context, json_t **answer, struct fault *fault);  /* act "device-entry" */
bool device_revoke_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "device-revoke" */

#endif

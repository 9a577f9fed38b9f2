#ifndef KIOSK_DESK_ERASE_NAME_H
#define KIOSK_DESK_ERASE_NAME_H

#include "kiosk/desk/turn.h"

/* Somebody has left and is to be forgotten: the name goes (kiosk/ledger/erasure.h says from where), the badge's serial
 * stays in the ledger, its role is "left", and it opens nothing any more. Only a storekeeper does it; not for the last
 * storekeeper, and not for somebody who still has things out. Old backups and exports keep the name until they are
 * deleted: the kiosk can't reach them. It can't be undone; entering the badge again with person-entry brings the person
 * back under a new name. */
bool name_erase_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "name-erase" */

#endif

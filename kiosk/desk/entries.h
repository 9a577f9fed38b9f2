#ifndef KIOSK_DESK_ENTRIES_H
#define KIOSK_DESK_ENTRIES_H

#include "kiosk/desk/turn.h"
#include "kiosk/ledger/catalogue.h"

/* What the room knows of: items, places, printers, people. A storekeeper enters them; in a room without any
 * storekeeper the first person entered must be one. */
bool item_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool place_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool printer_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool person_entry_act(struct act_context *context, json_t **answer, struct fault *fault);

/* May the person enter what the room knows of? FAULT_REFUSED when not. */
bool entries_may_enter(struct turn *turn, bool *room_is_new, struct fault *fault);

/* Is there another storekeeper left when `before` becomes `role`? FAULT_REFUSED when not. */
bool entries_keep_storekeeper(struct turn *turn, const struct person *before, const char *role, struct fault *fault);

#endif

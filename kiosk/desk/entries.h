#ifndef KIOSK_DESK_ENTRIES_H
#define KIOSK_DESK_ENTRIES_H

#include "kiosk/desk/turn.h"

/* What the room knows of: items, places, printers. A storekeeper enters them. People: people.h. */
bool item_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool place_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool printer_entry_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

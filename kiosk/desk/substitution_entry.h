#ifndef KIOSK_DESK_SUBSTITUTION_ENTRY_H
#define KIOSK_DESK_SUBSTITUTION_ENTRY_H

#include "kiosk/desk/turn.h"

/* Which revision of a resin may stand in for which, and until when (kiosk/rules/substitution.h). Entering lets
 * something through, and needs a storekeeper's PIN; ending it lets nothing through, and needs a storekeeper alone. */
bool substitution_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool substitution_end_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

#ifndef KIOSK_DESK_AMOUNT_H
#define KIOSK_DESK_AMOUNT_H

#include "kiosk/desk/turn.h"

/* Act "amount": so much is in a container, as somebody saw or was told. The books follow; the difference is what the
 * movement says. */
bool amount_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

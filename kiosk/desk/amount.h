#ifndef KIOSK_DESK_AMOUNT_H
#define KIOSK_DESK_AMOUNT_H

#include "kiosk/desk/thing.h"
#include "kiosk/desk/turn.h"

/* Act "amount": so much is in a container, as somebody saw or was told. The books follow; the difference is what the
 * movement says. An amount that is off by a thousand is asked about (kiosk/rules/amount_likely.h). */
bool amount_act(struct act_context *context, json_t **answer, struct fault *fault);

/* The same question of an amount that comes with another act. MOVEMENT_NULL: none was said. */
void amount_judge_said(const struct thing *thing, int64_t amount_ul, struct verdict_list *list);

#endif

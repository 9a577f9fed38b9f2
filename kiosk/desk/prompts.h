#ifndef KIOSK_DESK_PROMPTS_H
#define KIOSK_DESK_PROMPTS_H

#include "kiosk/desk/counter.h"

/* The cautions that stand beside an act at its moment: they answer nothing and hold nothing up. `units`: the counter's
 * things as the view shows them. */
json_t *prompts_of(const struct counter *counter, const json_t *units); /* [sentence] */

#endif

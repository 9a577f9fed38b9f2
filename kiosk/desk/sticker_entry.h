#ifndef KIOSK_DESK_STICKER_ENTRY_H
#define KIOSK_DESK_STICKER_ENTRY_H

#include "kiosk/desk/turn.h"

/* Teaching what a supplier's stickers of plain text look like, from one example whose parts a person points at, and
 * forgetting it. A pattern is kept only when it reads its own example. Who may enter items may teach. */
bool sticker_entry_act(struct act_context *context, json_t **answer, struct fault *fault);
bool sticker_forget_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

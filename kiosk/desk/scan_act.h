#ifndef KIOSK_DESK_SCAN_ACT_H
#define KIOSK_DESK_SCAN_ACT_H

#include "kiosk/desk/turn.h"

/* Scan first, no menu: what was scanned means what it can mean now. */
bool scan_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "scan" */

/* The cards; a key on the page is the card of its word. */
bool press_card(struct turn *turn, const char *card, int64_t quantity, struct fault *fault);
bool press_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "press" */

#endif

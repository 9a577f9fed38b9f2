#ifndef KIOSK_DESK_CLEAN_H
#define KIOSK_DESK_CLEAN_H

#include "kiosk/desk/turn.h"

/* A vat or bottle is emptied into the waste and wiped: it holds no lot any more. With scans: badge, the vat, perhaps
 * the waste container, the card CLEAN, and YES when resin was left in it. */

bool clean_add(struct turn *turn, const char *serial, struct fault *fault); /* a waste container scanned meanwhile */
bool clean_begin(struct turn *turn, struct fault *fault);                   /* the card CLEAN */
bool clean_confirm(struct turn *turn, struct fault *fault);                 /* YES in STEP_CLEAN */
bool clean_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "clean" */

#endif

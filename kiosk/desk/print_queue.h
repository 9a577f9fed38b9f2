#ifndef KIOSK_DESK_PRINT_QUEUE_H
#define KIOSK_DESK_PRINT_QUEUE_H

#include "kiosk/desk/turn.h"

/* What a person does to labels that wait, one or a batch: to the front, withdraw; and sets a stopped label printer
 * going. UNDO puts a moved label back to its turn, and lets a withdrawn one wait again at its turn. */

bool print_move_act(struct act_context *context, json_t **answer, struct fault *fault);     /* act "print-move" */
bool print_withdraw_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "print-withdraw" */
bool print_go_act(struct act_context *context, json_t **answer, struct fault *fault);       /* act "print-go" */
/* This label must not come out any more: withdrawn, or the printer is told to drop it. */
bool print_queue_drop(struct turn *turn, const struct print *label, struct fault *fault);
bool print_calibration_act(struct act_context *context, json_t **answer, struct fault *fault);

#endif

#ifndef KIOSK_DESK_UNDONE_ACT_H
#define KIOSK_DESK_UNDONE_ACT_H

#include "kiosk/desk/turn.h"

/* An act that is to be taken back: its movements, what stands in the way, and the counter-movements, newest first. */
struct undone_act {
    struct movement *movements; /* owned: free() */
    size_t count;
    bool cut; /* it booked more than can be taken back at once */
};

/* Enough to tell what an act was, at every view; and all that can be taken back: a receipt of the largest quantity. */
enum { UNDONE_ACT_TOLD = 1024, UNDONE_ACT_MOST = 2 * RECEIPT_QUANTITY_MAX + 2 };
bool undone_act_load(struct ledger *ledger, const char *id, size_t most, struct undone_act *act, struct fault *fault);

/* The step of a label to this state, by hand: what the printer did, or a scan proved, is not taken back. */
bool undone_is_print(const struct movement *movement, enum print_state state);

/* FAULT_REFUSED: something happened since that has to be taken back first. Books nothing, so that a refusal can be a
 * sentence on the screen. */
bool undone_act_may(struct turn *turn, const struct undone_act *act, struct fault *fault);
bool undone_act_take_back(struct turn *turn, const struct undone_act *act, struct fault *fault);

#endif

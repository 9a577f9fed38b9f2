#ifndef KIOSK_DESK_UNDONE_ACT_H
#define KIOSK_DESK_UNDONE_ACT_H

#include "kiosk/desk/turn.h"

/* An act that is to be taken back: its movements, what stands in the way, and the counter-movements, newest first. */
struct undone_act {
    struct movement *movements; /* owned: free() */
    size_t count;
    bool cut; /* it booked more than can be taken back at once */
};

bool undone_act_load(struct ledger *ledger, const char *id, struct undone_act *act, struct fault *fault);

/* A step of a label that was ordered before: sent, printed, proved. */
bool undone_is_later_print(const struct movement *movement);

/* FAULT_REFUSED: something happened since that has to be taken back first. Books nothing, so that a refusal can be a
 * sentence on the screen. */
bool undone_act_may(struct turn *turn, const struct undone_act *act, struct fault *fault);
bool undone_act_take_back(struct turn *turn, const struct undone_act *act, struct fault *fault);

#endif

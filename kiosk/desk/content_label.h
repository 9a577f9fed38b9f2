#ifndef KIOSK_DESK_CONTENT_LABEL_H
#define KIOSK_DESK_CONTENT_LABEL_H

#include "kiosk/desk/turn.h"
#include "kiosk/ledger/contents.h"

/* A container's label says resin, lots and use-by day: when something flows into it and one of these changes, it gets a
 * new one. Note before, follow after. */

struct content_label {
    struct unit unit;
    struct contents contents;
};

bool content_label_note(struct turn *turn, const char *serial, struct content_label *before, struct fault *fault);
bool content_label_follow(struct turn *turn, const struct content_label *before, struct fault *fault);

#endif

#ifndef KIOSK_DESK_STICKER_SCAN_H
#define KIOSK_DESK_STICKER_SCAN_H

#include "kiosk/desk/turn.h"
#include "labels/content/scan.h"

/* Plain text was scanned while a delivery is open: the patterns that were taught for its supplier are tried. */

enum sticker_reading {
    STICKER_UNTAUGHT, /* there is no pattern for that supplier, or no delivery is open */
    STICKER_UNREAD,   /* none reads it: `why` says where the newest of them stops */
    STICKER_READ,     /* one does, or all that do agree */
    STICKER_TWO_WAYS  /* two do, with different answers: `why` names both */
};

bool sticker_scan(struct turn *turn, struct span text, enum sticker_reading *reading, struct supplier_label *label,
                  struct fault *why, struct fault *fault);

/* Capitals, small letters and blanks at either end make no difference. */
bool sticker_same_supplier(const char *one, const char *other);

#endif

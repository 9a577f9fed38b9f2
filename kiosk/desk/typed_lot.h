#ifndef KIOSK_DESK_TYPED_LOT_H
#define KIOSK_DESK_TYPED_LOT_H

#include <jansson.h>

#include "kiosk/ledger/ledger.h"

/* A lot typed by hand, in `content`'s keys lot and lot_sure: one that is spelt almost like a lot of the item that is
 * here (kiosk/rules/lot_spelling.h) is asked about, unless the person was asked before.
 *
 * True and `*ask` NULL: `lot` is filled, "" when none was typed; it is the very spelling of the lot in stock when
 * capitals are all that differ. True and `*ask` set: {sentence, typed, lots: [{lot, units, how}]}, the caller's; most
 * alike first. False: the lot holds what no label can. */
bool typed_lot_read(struct ledger *ledger, const json_t *content, const char *item, char lot[LOT_SIZE], json_t **ask,
                    struct fault *fault);

#endif

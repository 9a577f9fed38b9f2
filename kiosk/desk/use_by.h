#ifndef KIOSK_DESK_USE_BY_H
#define KIOSK_DESK_USE_BY_H

#include <jansson.h>
#include <stdint.h>

#include "labels/basics/calendar.h"

/* What a use-by day means today, for a person to see, decided by the rule that check-out and receipt ask
 * (kiosk/rules/shelf_life.h): {"state": "expired"|"soon"|"good", "days_left": whole days, negative when it has passed}.
 * Null when there is no day (MOVEMENT_NULL). Soon: fewer than USE_BY_SOON_DAYS are left (common practice, no source). A
 * new value. */
enum { USE_BY_SOON_DAYS = 31 };

json_t *use_by_json(int64_t expires, struct day today);

#endif

#ifndef KIOSK_LEDGER_MOVEMENT_JSON_H
#define KIOSK_LEDGER_MOVEMENT_JSON_H

#include <jansson.h>

#include "kiosk/ledger/movement.h"

/* A movement as a JSON object: what export writes, import reads and the web's event stream sends. Keys as in
 * movement_field.c; what was not said is left out. kind is its word, at "2026-02-14T09:30:00.000Z", day, filled and
 * expires "2026-02-14" (a whole number of days when outside the years 1900 to 2999), detail an object, hash 64 hex
 * digits. Lossless: read(write(m)) is m, byte for byte. */

/* A new object, the caller's; NULL when there is no memory or a text is not UTF-8. */
json_t *movement_json_write(const struct movement *movement);

/* FAULT_INPUT names the key: unknown, missing (seq, act, kind, at, day, trusted, kiosk, hash), of a wrong type, too
 * long. `*movement` is untouched on failure. */
bool movement_json_read(const json_t *object, struct movement *movement, struct fault *fault);

#endif

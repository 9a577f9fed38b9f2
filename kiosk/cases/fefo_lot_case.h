#ifndef KIOSK_CASES_FEFO_LOT_CASE_H
#define KIOSK_CASES_FEFO_LOT_CASE_H

#include "kiosk/cases/case_in.h"
#include "kiosk/rules/fefo.h"

/* `lots` of the rules that use them in FEFO order: `id` (unique), `quantity`, an expiry, `opened`, `received`. `keys`:
 * all that a lot may have there; `expires_key`: which of them is the expiry; `whole`: it is a whole number. */
struct fefo_lot *fefo_lots_read(struct case_in *in, const char *const *keys, const char *expires_key, bool whole,
                                size_t *count);

#endif

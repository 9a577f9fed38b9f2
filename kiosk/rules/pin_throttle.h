#ifndef KIOSK_RULES_PIN_THROTTLE_H
#define KIOSK_RULES_PIN_THROTTLE_H

#include <stdint.h>

/* How long nobody may try a PIN after wrong ones: two are free, the third makes it 30 seconds, each further one twice
 * as long, 15 minutes at most. At that pace guessing one of a million PINs takes fourteen years at even odds, and who
 * only slipped waits half a minute. Nobody is locked out for ever. The numbers are ours; that a throttle is needed is
 * NIST SP 800-63B section 5.2.2. Pure. */

enum { PIN_FREE_TRIES = 2, PIN_FIRST_WAIT_S = 30, PIN_LONGEST_WAIT_S = 900 };

/* Seconds to wait after the `wrong`th wrong one in a row, counted from it. */
int64_t pin_throttle_wait_s(int64_t wrong);

/* Seconds still to wait, rounded up, 0: try. `since_ms`: between the last wrong one and now; a clock that was set back
 * (below 0) counts as no time, so that it never adds to the wait. */
int64_t pin_throttle_left_s(int64_t wrong, int64_t since_ms);

#endif

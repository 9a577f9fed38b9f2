#ifndef KIOSK_DEVICES_DEVICE_RETRY_H
#define KIOSK_DEVICES_DEVICE_RETRY_H

#include <stdbool.h>
#include <stdint.h>

/* When to look again for a device that is not there: soon after it vanished, then ever less often, at most
 * DEVICE_RETRY_LONGEST_MS apart, so that a scanner plugged in again works before somebody asks why it does not.
 * Times are monotonic milliseconds, given by the caller. Pure. */

enum { DEVICE_RETRY_FIRST_MS = 250, DEVICE_RETRY_LONGEST_MS = 4000 };

struct device_retry {
    int64_t due_ms;
    int wait_ms;
};

void device_retry_init(struct device_retry *retry); /* due at once */
bool device_retry_is_due(const struct device_retry *retry, int64_t now_ms);
void device_retry_failed(struct device_retry *retry, int64_t now_ms); /* waits twice as long as before */
int device_retry_left_ms(const struct device_retry *retry, int64_t now_ms);

#endif

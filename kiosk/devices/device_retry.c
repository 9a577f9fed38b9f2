#include "kiosk/devices/device_retry.h"

void device_retry_init(struct device_retry *retry)
{
    retry->due_ms = INT64_MIN;
    retry->wait_ms = 0;
}

bool device_retry_is_due(const struct device_retry *retry, int64_t now_ms)
{
    return now_ms >= retry->due_ms;
}

void device_retry_failed(struct device_retry *retry, int64_t now_ms)
{
    if (retry->wait_ms == 0)
        retry->wait_ms = DEVICE_RETRY_FIRST_MS;
    else if (retry->wait_ms < DEVICE_RETRY_LONGEST_MS)
        retry->wait_ms *= 2;
    retry->due_ms = now_ms + retry->wait_ms;
}

int device_retry_left_ms(const struct device_retry *retry, int64_t now_ms)
{
    if (device_retry_is_due(retry, now_ms))
        return 0;
    const int64_t left = retry->due_ms - now_ms;
    return left < retry->wait_ms ? (int)left : retry->wait_ms;
}

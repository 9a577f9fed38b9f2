#include "kiosk/rules/pin_throttle.h"

int64_t pin_throttle_wait_s(int64_t wrong)
{
    int64_t wait = wrong > PIN_FREE_TRIES ? PIN_FIRST_WAIT_S : 0;
    for (int64_t i = PIN_FREE_TRIES + 1; i < wrong && wait < PIN_LONGEST_WAIT_S; i++)
        wait *= 2;
    return wait < PIN_LONGEST_WAIT_S ? wait : PIN_LONGEST_WAIT_S;
}

int64_t pin_throttle_left_s(int64_t wrong, int64_t since_ms)
{
    const int64_t left_ms = pin_throttle_wait_s(wrong) * 1000 - (since_ms > 0 ? since_ms : 0);
    return left_ms > 0 ? (left_ms + 999) / 1000 : 0;
}

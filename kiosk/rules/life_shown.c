#include "kiosk/rules/life_shown.h"

enum { MINUTES_AN_HOUR = 60, TOLERATED_SHARE = 10 };

int64_t life_shown_left(const struct life_shown *reading)
{
    if (reading->used_minutes < 0)
        return -1;
    return reading->used_minutes < reading->life_minutes ? reading->life_minutes - reading->used_minutes : 0;
}

int64_t life_shown_used(const struct life_shown *reading)
{
    return reading->shown_minutes < reading->life_minutes ? reading->life_minutes - reading->shown_minutes : 0;
}

bool life_shown_differs(const struct life_shown *reading)
{
    const int64_t left = life_shown_left(reading), share = reading->life_minutes / TOLERATED_SHARE;
    const int64_t tolerated = share > MINUTES_AN_HOUR ? share : MINUTES_AN_HOUR;
    const int64_t apart = left > reading->shown_minutes ? left - reading->shown_minutes : reading->shown_minutes - left;
    return left >= 0 && apart > tolerated;
}

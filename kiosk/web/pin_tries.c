#include "kiosk/web/pin_tries.h"

#include <stdbool.h>
#include <string.h>

#include "kiosk/rules/pin_throttle.h"
#include "labels/basics/text.h"

static int find(const struct pin_tries *tries, const char *name)
{
    for (int i = 0; i < PIN_TRIES_TERMINALS; i++)
        if (tries->terminals[i].wrong > 0 && strcmp(tries->terminals[i].name, name) == 0)
            return i;
    return -1;
}

/* A free place, else the one whose last wrong try is longest ago. */
static int choose(const struct pin_tries *tries)
{
    int oldest = 0;
    for (int i = 0; i < PIN_TRIES_TERMINALS; i++) {
        if (tries->terminals[i].wrong == 0)
            return i;
        if (tries->terminals[i].last_ms < tries->terminals[oldest].last_ms)
            oldest = i;
    }
    return oldest;
}

int64_t pin_tries_left_s(const struct pin_tries *tries, const char *name, int64_t now_ms)
{
    const int at = find(tries, name);
    return at < 0 ? 0 : pin_throttle_left_s(tries->terminals[at].wrong, now_ms - tries->terminals[at].last_ms);
}

int64_t pin_tries_add(struct pin_tries *tries, const char *name, int64_t now_ms)
{
    int at = find(tries, name);
    if (at < 0) {
        at = choose(tries);
        tries->terminals[at].wrong = 0;
        (void)span_copy(span_of(name), tries->terminals[at].name, sizeof tries->terminals[at].name);
    }
    tries->terminals[at].last_ms = now_ms;
    return ++tries->terminals[at].wrong;
}

void pin_tries_forget(struct pin_tries *tries, const char *name)
{
    const int at = find(tries, name);
    if (at >= 0)
        tries->terminals[at].wrong = 0;
}

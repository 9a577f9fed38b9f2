#include "kiosk/rules/care.h"

enum { MINUTES_AN_HOUR = 60, MS_A_DAY = 24 * 60 * 60 * 1000 };

static bool is_platform(const char *serial)
{
    return serial[0] == 'P';
}

/* Minutes since a thing stood at `then`; all of them when it never did. */
static int64_t run_since(const struct care *care, int64_t then)
{
    return then < 0 ? care->minutes : care->minutes - then;
}

static void judge_inspection(const struct care *care, const char *serial, struct verdict_list *list)
{
    const int64_t run = run_since(care, care->inspected_minutes);
    if (care->inspect_minutes <= 0 || care->minutes < 0 || run < care->inspect_minutes)
        return;
    verdict_add(list, REASON_INSPECTION_DUE, serial, "The %s of %s has run %lld h %s; every %lld h is asked.",
                is_platform(serial) ? "surface" : "film", serial, (long long)run / MINUTES_AN_HOUR,
                care->inspected_minutes < 0 ? "and nobody has looked at it" : "since it was last looked at",
                (long long)care->inspect_minutes / MINUTES_AN_HOUR);
}

static void judge_surface(const struct care *care, const char *serial, struct verdict_list *list)
{
    const int64_t run = run_since(care, care->surface_minutes);
    if (care->surface_life <= 0 || care->minutes < 0 || run < care->surface_life)
        return;
    verdict_add(list, REASON_SURFACE_WORN, serial, "The removable surface of %s has run %lld h; it lasts %lld h.",
                serial, (long long)run / MINUTES_AN_HOUR, (long long)care->surface_life / MINUTES_AN_HOUR);
}

static void judge_rest(const struct care *care, const char *serial, const char *resin, int64_t now_ms,
                       struct verdict_list *list)
{
    if (care->stir_days <= 0 || care->stood_ms < 0 || now_ms < care->stood_ms || resin[0] == '\0')
        return;
    const int64_t days = (now_ms - care->stood_ms) / MS_A_DAY;
    if (days >= care->stir_days)
        verdict_add(list, REASON_STIR_DUE, serial, "The %s in %s has stood for %lld day%s; it is stirred after %lld.",
                    resin, serial, (long long)days, days == 1 ? "" : "s", (long long)care->stir_days);
}

void care_judge(const struct care *care, const char *serial, const char *resin, bool held, int64_t now_ms,
                struct verdict_list *list)
{
    if (!held)
        judge_inspection(care, serial, list);
    if (!held && care->scratched)
        verdict_add(list, REASON_SURFACE_SCRATCHED, serial,
                    "The surface of %s was scratched when it was last looked at: parts come off harder.", serial);
    judge_surface(care, serial, list);
    judge_rest(care, serial, resin, now_ms, list);
}

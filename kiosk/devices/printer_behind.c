#include "kiosk/basics/clock.h"
#include "kiosk/devices/printer.h"

/* A queue's word is second-hand: the printer behind it is asked, too. A queue that sends a label again makes a new job
 * of the same name at the printer, so all of them are looked at. */

/* What a printer says of since when it is on, and how long ago a label was sent, are whole seconds, cut off: each may
 * be nearly one more. And a printer counts from 0 or from 1. */
enum { SECONDS_APART = 2 };

struct found {
    int under_way, came_out, not_told; /* jobs of that name; not told: given up, taken back */
};

static bool count_jobs(const struct printer *printer, enum printer_jobs which, const char *name, struct found *found,
                       struct fault *fault)
{
    struct printer_standing list[PRINTER_JOBS_MOST];
    size_t count = 0;
    if (!printer_list(printer, which, list, PRINTER_JOBS_MOST, &count, fault))
        return false;
    for (size_t i = 0; i < count; i++) {
        if (!printer_standing_has_name(&list[i], name))
            continue;
        found->under_way += list[i].certainty == PRINTER_UNDER_WAY;
        found->came_out += list[i].certainty == PRINTER_CAME_OUT;
        found->came_out += list[i].certainty == PRINTER_CAME_OUT_TWICE ? 2 : 0;
        found->not_told += list[i].certainty == PRINTER_MAY_HAVE || list[i].certainty == PRINTER_DID_NOT;
    }
    return true;
}

/* One that came out decides over one that was given up before it: the queue sent it again. */
static bool judge(const struct found *found, bool forgot, enum printer_certainty *certainty)
{
    if (found->under_way > 0)
        *certainty = PRINTER_UNDER_WAY;
    else if (found->came_out > 1)
        *certainty = PRINTER_CAME_OUT_TWICE;
    else if (found->came_out == 1)
        *certainty = PRINTER_CAME_OUT;
    else if (found->not_told > 0 || forgot)
        *certainty = PRINTER_MAY_HAVE;
    else
        return false;
    return true;
}

/* Whether it was switched on since; `up_seconds` was said just now. */
static bool on_since(int up_seconds, int64_t sent_ms)
{
    return up_seconds >= 0 &&
           (sent_ms == PRINTER_SENT_EARLIER || up_seconds - SECONDS_APART <= (clock_mono_ms() - sent_ms) / 1000);
}

static bool ask(const struct printer *printer, const char *name, int64_t sent_ms, enum printer_certainty *certainty,
                struct fault *fault)
{
    struct printer_facts facts;
    struct found found = {0};
    if (!printer_query(printer, &facts, fault) || !facts.can_list)
        return false;
    const bool forgot = on_since(facts.up_seconds, sent_ms);
    if (!count_jobs(printer, PRINTER_JOBS_WAITING, name, &found, fault) ||
        !count_jobs(printer, PRINTER_JOBS_ENDED, name, &found, fault))
        return false;
    return judge(&found, forgot, certainty);
}

bool printer_ask_behind(const struct printer *queue, const char *name, int64_t sent_ms,
                        enum printer_certainty *certainty)
{
    struct printer_facts facts;
    struct fault fault = {.code = FAULT_NONE}; /* whatever it is, the queue's word stands */
    if (!printer_query(queue, &facts, &fault) || !facts.is_queue || facts.behind[0] == '\0')
        return false;
    struct printer *const printer = printer_open(facts.behind, &fault);
    const bool ok = printer && ask(printer, name, sent_ms, certainty, &fault);
    printer_close(printer);
    return ok;
}

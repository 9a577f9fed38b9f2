#include "kiosk/desk/job_need.h"

#include <string.h>

#include "kiosk/desk/card_number.h"
#include "kiosk/rules/job_need.h"

enum { VESSELS = 64 };

struct vessels {
    struct job_need_vessel list[VESSELS];
    size_t count;
};

static void add_vessels(const struct thing *things, size_t count, struct vessels *vessels)
{
    for (size_t i = 0; i < count && vessels->count < VESSELS; i++) {
        const struct thing *thing = &things[i];
        if (strchr("VTC", thing->unit.serial[0]) && thing->unit.resin[0])
            vessels->list[vessels->count++] = (struct job_need_vessel){.amount_ul = thing->unit.amount_ul,
                                                                       .full_ul = thing->item.content_ul,
                                                                       .estimated = thing->unit.estimated};
    }
}

static bool goes_for_resin(const struct thing *things, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strchr("VTC", things[i].unit.serial[0]))
            return true;
    return false;
}

/* Into a printer that has none yet, or for a need that was said just now. */
static void judge(const struct vessels *vessels, int64_t need_ul, const struct job_need_asking *asking,
                  struct verdict_list *list)
{
    if (vessels->count > 0 && need_ul != MOVEMENT_NULL)
        job_need_judge(&(struct job_need_case){.vessels = vessels->list,
                                               .count = vessels->count,
                                               .need_ul = need_ul,
                                               .printer = asking->machine,
                                               .printer_name = asking->machine_name},
                       list);
}

void job_need_add(const struct turn *turn, const struct job_need_asking *asking, struct verdict_list *list)
{
    const struct counter *counter = &turn->counter;
    const struct job *running = asking->running;
    struct vessels vessels = {.count = 0};
    if (!goes_for_resin(asking->things, asking->thing_count))
        return;
    add_vessels(asking->inside, asking->inside_count, &vessels);
    const bool had_resin = vessels.count > 0;
    add_vessels(asking->things, asking->thing_count, &vessels);
    if (running && !had_resin)
        judge(&vessels, running->need_ul, asking, list);
    else if (!running && counter->need_said)
        judge(&vessels, counter->need_ul, asking, list);
    else if (!running && turn->desk->ask_need && list->verdict != VERDICT_STOP) /* what stays here needs nothing */
        verdict_add(list, REASON_NEED_UNKNOWN, asking->machine, "How much resin will the job on %s need?",
                    asking->machine_name);
}

static bool says(const struct counter *counter, enum reason_code code)
{
    const struct verdict_list *list = &counter->verdict;
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code)
            return true;
    return false;
}

bool job_need_is_asked(const struct counter *counter)
{
    return says(counter, REASON_NEED_UNKNOWN) || says(counter, REASON_TOO_LITTLE) ||
           says(counter, REASON_PERHAPS_TOO_LITTLE);
}

bool job_need_note(struct counter *counter, const char *card, bool told)
{
    int64_t amount = MOVEMENT_NULL;
    const bool unknown = strcmp(card, "UNKNOWN") == 0;
    if (!unknown && !card_number_amount(card, &amount))
        return false;
    if (told || (unknown && says(counter, REASON_TOO_LITTLE)))
        return true;
    counter->need_said = true;
    counter->need_ul = amount;
    return true;
}

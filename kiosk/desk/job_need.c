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
static void judge(const struct vessels *vessels, int64_t need_ul, const char *machine, const char *machine_name,
                  struct verdict_list *list)
{
    if (vessels->count > 0 && need_ul != MOVEMENT_NULL)
        job_need_judge(&(struct job_need_case){.vessels = vessels->list,
                                               .count = vessels->count,
                                               .need_ul = need_ul,
                                               .printer = machine,
                                               .printer_name = machine_name},
                       list);
}

bool job_need_add(struct turn *turn, const char *machine, const char *machine_name, const struct thing *things,
                  size_t thing_count, const struct thing *inside, size_t inside_count, struct verdict_list *list,
                  struct fault *fault)
{
    const struct counter *counter = &turn->counter;
    struct vessels vessels = {.count = 0};
    struct job running;
    bool runs;
    if (!goes_for_resin(things, thing_count))
        return true;
    if (!job_load_running(turn->ledger, machine, &running, &runs, fault))
        return false;
    add_vessels(inside, inside_count, &vessels);
    const bool had_resin = vessels.count > 0;
    add_vessels(things, thing_count, &vessels);
    if (runs && !had_resin)
        judge(&vessels, running.need_ul, machine, machine_name, list);
    else if (!runs && counter->need_said)
        judge(&vessels, counter->need_ul, machine, machine_name, list);
    else if (!runs && turn->desk->ask_need && list->verdict != VERDICT_STOP) /* what stays here needs nothing */
        verdict_add(list, REASON_NEED_UNKNOWN, machine, "How much resin will the job on %s need?", machine_name);
    return true;
}

bool job_need_is_asked(const struct counter *counter)
{
    const struct verdict_list *list = &counter->verdict;
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == REASON_NEED_UNKNOWN || list->reasons[i].code == REASON_TOO_LITTLE ||
            list->reasons[i].code == REASON_PERHAPS_TOO_LITTLE)
            return true;
    return false;
}

bool job_need_note(struct counter *counter, const char *card)
{
    int64_t amount = MOVEMENT_NULL;
    if (strcmp(card, "UNKNOWN") != 0 && !card_number_amount(card, &amount))
        return false;
    counter->need_said = true;
    counter->need_ul = amount;
    return true;
}

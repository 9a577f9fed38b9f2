#include "kiosk/rules/kept.h"

#include <string.h>

bool kept_counts(const struct kept *kept, struct day today, bool clock_trusted)
{
    return kept->whom[0] != '\0' && (!kept->has_until || !clock_trusted || today.number <= kept->until.number);
}

bool kept_suits(const struct kept *kept, const struct kept_asking *asking)
{
    return strcmp(kept->whom, kept->is_person ? asking->person : asking->job) == 0;
}

void kept_judge(const char *serial, const struct kept *kept, const struct kept_asking *asking,
                struct verdict_list *list)
{
    char date[CALENDAR_DATE_SIZE];
    if (!kept_counts(kept, asking->today, asking->clock_trusted) || kept_suits(kept, asking) ||
        !(kept->is_person ? asking->person[0] != '\0' : asking->job_known))
        return;
    const bool says_who = kept->by[0] != '\0' && strcmp(kept->by, kept->named) != 0;
    const char *until = kept->has_until ? calendar_write_date(kept->until, date) : "";
    verdict_add(list, REASON_RESERVED, serial, "%s is kept for %s%s%s%s%s%s.", serial, kept->named,
                until[0] ? " until " : "", until, says_who ? " (by " : "", says_who ? kept->by : "",
                says_who ? ")" : "");
}

#include "tests/rules/fefo_by_day.h"

#include <string.h>

/* Is `a` to be used before `b`? Common practice, said again here. */
static int is_before(const struct fefo_lot *a, const struct fefo_lot *b)
{
    const int a_day = rule_has_day(a->received) ? a->received.number : INT32_MAX,
              b_day = rule_has_day(b->received) ? b->received.number : INT32_MAX;
    if (a->expires != b->expires)
        return a->expires < b->expires;
    if (a->opened != b->opened)
        return a->opened;
    if (a_day != b_day)
        return a_day < b_day;
    return strcmp(a->id, b->id) < 0;
}

void fefo_by_day(const struct fefo_lot *lots, size_t count, const double *demand, int days, struct fefo_by_day *end)
{
    memset(end, 0, sizeof *end);
    for (size_t i = 0; i < count; i++)
        end->left[i] = lots[i].quantity;
    for (int day = 1; day <= days; day++) {
        double wanted = demand[day - 1];
        while (wanted > 0) {
            size_t best = count;
            for (size_t i = 0; i < count; i++)
                if (end->left[i] > 0 && lots[i].expires >= day && (best == count || is_before(&lots[i], &lots[best])))
                    best = i;
            if (best == count)
                break;
            const double taken = wanted < end->left[best] ? wanted : end->left[best];
            if (end->first_day[best] == 0)
                end->first_day[best] = day;
            end->left[best] -= taken;
            wanted -= taken;
        }
        end->unmet += wanted;
    }
}

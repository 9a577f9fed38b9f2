#include "kiosk/rules/fefo.h"

#include <math.h>
#include <string.h>

#define MOST_CELLS 9007199254740992.0 /* 2^53: up to there a double counts */

static int compare(const void *a, const void *b)
{
    const struct fefo_lot *one = a, *two = b;
    if (one->expires != two->expires)
        return one->expires < two->expires ? -1 : 1;
    if (one->opened != two->opened)
        return one->opened ? -1 : 1;
    if (rule_has_day(one->received) != rule_has_day(two->received))
        return rule_has_day(one->received) ? -1 : 1;
    if (one->received.number != two->received.number)
        return one->received.number < two->received.number ? -1 : 1;
    return strcmp(one->id, two->id);
}

struct fefo_lot *fefo_sort(const struct fefo_lot *lots, size_t count, struct arena *arena)
{
    struct fefo_lot *sorted = arena_take(arena, count, sizeof *sorted);
    if (!sorted)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        sorted[i] = lots[i];
        sorted[i].place = i;
    }
    return rule_sort(arena, sorted, count, sizeof *sorted, compare) ? sorted : NULL;
}

double fefo_total(const struct fefo_lot *lots, size_t count)
{
    double total = 0;
    for (size_t i = 0; i < count; i++)
        total += lots[i].quantity;
    return total;
}

bool fefo_to_cells(struct fefo_lot *lots, size_t count, double grid, const char *list, struct arena *arena,
                   struct rule_fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        const double exact = lots[i].quantity / grid, cells = round(exact);
        if (!(cells <= MOST_CELLS) || fabs(exact - cells) > RULE_SLACK * fmax(1, cells)) {
            const char *key = rule_text(arena, "%s.%zu.quantity", list, lots[i].place);
            return rule_fault_set(fault, RULE_RANGE, key,
                                  "'%s' is %.17g, which is no whole number of cells of %.17g: give a multiple of the "
                                  "grid, or another grid",
                                  key, lots[i].quantity, grid);
        }
        lots[i].quantity = cells;
    }
    return true;
}

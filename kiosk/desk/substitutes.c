#include "kiosk/desk/substitutes.h"

#include <stdlib.h>

#include "kiosk/ledger/substitutions.h"

struct substitute {
    struct substitution row;
    char approver[NAME_SIZE];
};

static bool keep(const struct substitution *row, void *context)
{
    struct substitutes *substitutes = context;
    if (substitutes->table.count == substitutes->room) {
        const size_t room = substitutes->room ? 2 * substitutes->room : 16;
        struct substitute *more = realloc(substitutes->kept, room * sizeof *more);
        substitutes->full = !more;
        if (!more)
            return false;
        substitutes->kept = more;
        substitutes->room = room;
    }
    substitutes->kept[substitutes->table.count++] = (struct substitute){.row = *row};
    return true;
}

static bool name_approvers(struct ledger *ledger, const struct substitutes *substitutes, struct fault *fault)
{
    for (size_t i = 0; i < substitutes->table.count; i++) {
        struct substitute *kept = &substitutes->kept[i];
        struct person person;
        bool found;
        if (!person_load(ledger, kept->row.approver, &person, &found, fault))
            return false;
        turn_copy(kept->approver, sizeof kept->approver, found && person.name[0] ? person.name : kept->row.approver);
    }
    return true;
}

bool substitutes_load(struct turn *turn, struct substitutes *substitutes, struct fault *fault)
{
    *substitutes = (struct substitutes){.kept = NULL};
    if (!substitution_each(turn->ledger, keep, substitutes, fault))
        return false;
    const size_t count = substitutes->table.count;
    struct substitution_row *rows = count ? calloc(count, sizeof *rows) : NULL;
    substitutes->table.rows = rows;
    if (substitutes->full || (count && !rows))
        return fault_set(fault, FAULT_STORAGE, "no memory to read which revision stands in for which: try again");
    if (!name_approvers(turn->ledger, substitutes, fault))
        return false;
    for (size_t i = 0; i < count; i++) {
        const struct substitution *row = &substitutes->kept[i].row;
        rows[i] = (struct substitution_row){.resin = row->resin,
                                            .wanted = row->wanted,
                                            .given = row->given,
                                            .approver = substitutes->kept[i].approver,
                                            .until = {(int32_t)row->until},
                                            .ended = row->ended};
    }
    return true;
}

void substitutes_free(struct substitutes *substitutes)
{
    free((void *)substitutes->table.rows);
    free(substitutes->kept);
    *substitutes = (struct substitutes){.kept = NULL};
}

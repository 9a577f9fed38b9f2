#include "kiosk/rules/substitution.h"

#include <string.h>

#include "labels/basics/text.h"

static const struct substitution_row *find(const struct substitution_case *asked)
{
    const size_t count = asked->table ? asked->table->count : 0;
    for (size_t i = 0; i < count; i++) {
        const struct substitution_row *row = &asked->table->rows[i];
        if (strcmp(row->resin, asked->resin) == 0 && strcmp(row->wanted, asked->wanted) == 0 &&
            strcmp(row->given, asked->given) == 0)
            return row;
    }
    return NULL;
}

enum substitution_answer substitution_judge(const struct substitution_case *asked, const struct substitution_row **row)
{
    const struct substitution_row *found = asked->wanted[0] && asked->given[0] ? find(asked) : NULL;
    if (!found)
        return SUBSTITUTION_NONE;
    if (row)
        *row = found;
    if (found->ended)
        return SUBSTITUTION_OVER;
    if (!asked->clock_trusted)
        return SUBSTITUTION_ASK;
    return asked->today.number <= found->until.number ? SUBSTITUTION_GO : SUBSTITUTION_OVER;
}

bool substitution_add(const struct substitution_case *asked, const char *subject, struct verdict_list *list,
                      char over[SUBSTITUTION_OVER_SIZE])
{
    const struct substitution_row *row = NULL;
    const enum substitution_answer answer = substitution_judge(asked, &row);
    char until[CALENDAR_DATE_SIZE];
    struct builder out;
    over[0] = '\0';
    if (!row)
        return false;
    calendar_write_date(row->until, until);
    if (answer == SUBSTITUTION_OVER) {
        builder_init(&out, over, SUBSTITUTION_OVER_SIZE);
        builder_addf(&out, " The substitution ended on %s.", until);
        return false;
    }
    if (answer == SUBSTITUTION_GO)
        verdict_add(list, REASON_SUBSTITUTED, subject, "%s: revision %s stands in for %s until %s (approved by %s).",
                    row->resin, row->given, row->wanted, until, row->approver);
    else
        verdict_add(list, REASON_SUBSTITUTION_CLOCK, subject,
                    "The kiosk's clock is not confirmed: %s revision %s stands in for %s until %s (approved by %s).",
                    row->resin, row->given, row->wanted, until, row->approver);
    return true;
}

#ifndef KIOSK_RULES_SUBSTITUTION_H
#define KIOSK_RULES_SUBSTITUTION_H

#include "kiosk/rules/verdict.h"
#include "labels/basics/calendar.h"

/* May one revision of a resin stand in for another? Only where a storekeeper has said so, one row each: `given` may
 * come where `wanted` is asked for, or is in the vat or the printer already, through the day `until`. A row says
 * nothing of the other way, and two rows make no third. Common practice of the trade, no source. Pure. Texts are
 * borrowed for the call. */

struct substitution_row {
    const char *resin, *wanted, *given;
    const char *approver; /* name, for sentences */
    struct day until;     /* last day on which it counts; of an ended one the day it was ended */
    bool ended;           /* by somebody, before its day: no clock changes that */
};

struct substitution_table {
    const struct substitution_row *rows; /* one for each three of resin, wanted and given */
    size_t count;
};

struct substitution_case {
    const struct substitution_table *table; /* NULL: the room has none */
    const char *resin, *wanted, *given;
    struct day today;
    bool clock_trusted;
};

enum substitution_answer {
    SUBSTITUTION_NONE, /* nobody has said so */
    SUBSTITUTION_OVER, /* somebody had, until a day that is past */
    SUBSTITUTION_ASK,  /* until a day, and nobody vouches for the clock */
    SUBSTITUTION_GO
};

/* `*row` (may be NULL): the row that says so; untouched when none does. An unknown revision ("") has none. */
enum substitution_answer substitution_judge(const struct substitution_case *asked, const struct substitution_row **row);

/* The same for a verdict: adds the note or the question about `subject`, and true; or false, and `over` is what the
 * sentence of the stop goes on with: "", or since when it is over. */
enum { SUBSTITUTION_OVER_SIZE = 64 };
bool substitution_add(const struct substitution_case *asked, const char *subject, struct verdict_list *list,
                      char over[SUBSTITUTION_OVER_SIZE]);

#endif

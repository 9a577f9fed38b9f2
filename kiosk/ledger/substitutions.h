#ifndef KIOSK_LEDGER_SUBSTITUTIONS_H
#define KIOSK_LEDGER_SUBSTITUTIONS_H

#include "kiosk/ledger/ledger.h"

/* Which revision of a resin may stand in for which (docs/substitution.md): one row for each three of resin, wanted and
 * given, kept by apply. A row that ended stays, so that people read when it did. */

enum { SUBSTITUTION_RESIN_SIZE = 33, SUBSTITUTION_REVISION_SIZE = 17 };
struct substitution {
    char resin[SUBSTITUTION_RESIN_SIZE];     /* type, as items name it */
    char wanted[SUBSTITUTION_REVISION_SIZE]; /* revision that is asked for, or there already */
    char given[SUBSTITUTION_REVISION_SIZE];  /* revision that may come instead */
    char approver[SERIAL_SIZE];              /* badge of the storekeeper whose PIN approved it */
    int64_t until;                           /* last day on which it counts; of an ended one the day it was ended */
    bool ended;                              /* by somebody, before its day */
    int64_t version;
};
/* By the three texts of `row` that are its key. */
bool substitution_load(struct ledger *ledger, struct substitution *row, bool *found, struct fault *fault);
typedef bool substitution_visitor(const struct substitution *row, void *context);
/* All, in the order of the key. */
bool substitution_each(struct ledger *ledger, substitution_visitor *visit, void *context, struct fault *fault);

#endif

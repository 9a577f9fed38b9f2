#ifndef KIOSK_DESK_THING_H
#define KIOSK_DESK_THING_H

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/unit.h"
#include "kiosk/rules/check_out.h"

/* A unit with all that the rules and the screen want to know of it. */
struct thing {
    struct unit unit;
    struct item item;
    struct item resin; /* zeroed when it holds none */
    char holder_name[NAME_SIZE];
    char machine_name[NAME_SIZE];
    char failed_job[JOB_SIZE], failed_how[WORD_SIZE]; /* on hold to be inspected: since which job, and how it ended */
};

/* `*found` false: no such unit. A unit whose item is gone from the catalogue is FAULT_STORAGE. */
bool thing_load(struct ledger *ledger, const char *serial, struct thing *thing, bool *found, struct fault *fault);
/* The same where it must be there: FAULT_MISSING when it is not; and its row alone. */
bool thing_require(struct ledger *ledger, const char *serial, struct thing *thing, struct fault *fault);
bool thing_require_unit(struct ledger *ledger, const char *serial, struct unit *unit, struct fault *fault);
bool thing_of_unit(struct ledger *ledger, const struct unit *unit, struct thing *thing, struct fault *fault);

/* Points into `thing`. */
struct check_out_thing thing_for_rule(const struct thing *thing);

#endif

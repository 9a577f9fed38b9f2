#ifndef KIOSK_RULES_CARE_H
#define KIOSK_RULES_CARE_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/rules/verdict.h"

/* What is looked after between two repairs, asked when a thing goes out and never withheld for; common practice of the
 * trade, no source:
 *  - film and surface are looked at every so many hours of light;
 *  - a resin whose filler or pigment settles is stirred before it is used;
 *  - a platform's removable surface wears apart from its body, and parts come off a scratched one harder.
 * How often is what the item says; an item that says nothing is not asked about. Pure. */

/* Minutes of light, an instant in milliseconds, days. A limit of 0 or less: nobody asks; a number of the thing itself
 * below 0 (MOVEMENT_NULL is): not known, or never. */
struct care {
    int64_t minutes;           /* so far */
    int64_t inspected_minutes; /* of these, when it was last looked at */
    int64_t surface_minutes;   /* of these, when its removable surface was renewed */
    int64_t stood_ms;          /* since when its resin stands */
    int64_t inspect_minutes;   /* looked at after so many */
    int64_t surface_life;      /* the surface lasts so many */
    int64_t stir_days;         /* its resin may stand so long */
    bool scratched;            /* the surface, when it was last looked at */
};

/* `resin`: name of what is in it, "" nothing. `held`: it is on hold, so what an inspection would find is not asked
 * besides. `now_ms` below 0: the clock is not trusted, and nobody can tell how long anything stood. */
void care_judge(const struct care *care, const char *serial, const char *resin, bool held, int64_t now_ms,
                struct verdict_list *list);

#endif

#ifndef KIOSK_RULES_LIFE_SHOWN_H
#define KIOSK_RULES_LIFE_SHOWN_H

#include <stdbool.h>
#include <stdint.h>

/* What a printer shows on its own screen as a vat's or platform's life left, beside the same by our books. Two books of
 * one thing: when they are far apart, one of them has missed something, and nobody can tell which from here. Pure. */

/* Whole minutes of light. */
struct life_shown {
    int64_t life_minutes;  /* rated, above 0 */
    int64_t used_minutes;  /* by our books; below 0 (MOVEMENT_NULL is): not known */
    int64_t shown_minutes; /* left, as the printer shows it: whole hours of its own rounding */
};

/* Minutes left by our books: none once the rated ones have run, below 0 when nobody knows what has. */
int64_t life_shown_left(const struct life_shown *reading);

/* Minutes used by what the printer shows, at least 0: what our books take where they know none. */
int64_t life_shown_used(const struct life_shown *reading);

/* Are the two further apart than a tenth of the rated life, and than an hour? Common practice, no source: printers
 * round to whole hours, so an hour is no difference; and they count light, or their motor, by their own rules. */
bool life_shown_differs(const struct life_shown *reading);

#endif

#ifndef KIOSK_LEDGER_TRACE_ACCOUNT_H
#define KIOSK_LEDGER_TRACE_ACCOUNT_H

#include "kiosk/ledger/trace.h"

/* How much of a lot is where: the walk of trace.h, and for each container that it reaches the container's own history.
 * Whole microlitres; what the books do not know is MOVEMENT_NULL, never 0.
 *
 *     received + corrected = held + used + wasted + unaccounted
 *
 * holds by definition of the last. It is 0 as long as every amount was known, and otherwise what lies in, went into or
 * left by the places whose amount nobody knows. Mixing is perfect, and shared out as when it was booked (contents.h).
 */

struct trace_place {
    struct trace_stop stop;
    bool booked;    /* the books say that some of the lot came here; false: it only may have (a supply, a check-out) */
    bool estimated; /* the amount was reckoned, neither weighed nor told */
    int64_t lot_ul; /* of the lot: what is in the container now, what went into the job */
    int64_t of_ul;  /* of all lots: likewise; into the job: from the containers that are told here */
};
typedef bool trace_place_visitor(const struct trace_place *place, void *context); /* false stops */

/* Sums of what is known, and how many things, jobs, times have an amount that nobody knows. */
struct trace_account {
    int64_t received_ul, corrected_ul, held_ul, used_ul, wasted_ul;
    int64_t received_unknown, held_unknown, used_unknown, wasted_unknown;
    int64_t unaccounted_ul; /* MOVEMENT_NULL: what was received is not known */
};

/* Places in the order in which the lot came to them, each once, after the account is complete. Faults, memory and
 * transactions as trace_lot. */
bool trace_account_read(struct ledger *ledger, const char *item, const char *lot, struct trace_account *account,
                        trace_place_visitor *visit, void *context, struct fault *fault);

#endif

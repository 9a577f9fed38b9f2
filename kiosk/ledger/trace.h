#ifndef KIOSK_LEDGER_TRACE_H
#define KIOSK_LEDGER_TRACE_H

#include "kiosk/ledger/ledger.h"

/* Where a lot went, by the ledger: the same walk as `ambershelf compute recall` (kiosk/rules/recall.h), over the
 * movements instead of a case. A thing that came in with the lot has it; a cartridge that stood over a vat may have run
 * into it (movement "supply"); what was in a printer for a job may have gone into its parts. What was taken back
 * (corrections) did not happen. */

struct trace_stop {
    char serial[SERIAL_SIZE]; /* of a container; "": a job */
    char job[JOB_SIZE];
    bool present;      /* a container's: it is there now; else it was cleaned since. Of a job always true */
    int64_t since_seq; /* the movement that brought it there */
};
typedef bool trace_visitor(const struct trace_stop *stop, void *context);

/* How much was looked at. */
struct trace_cost {
    int64_t containers, edges;
};

/* Containers and jobs in the order in which the lot came to them. `item`: of the catalogue (a resin's). A lot nobody
 * knows has none. The visitor returns false to stop. `cost` may be NULL. Bracket it with a transaction where movements
 * may be booked meanwhile. FAULT_STORAGE without memory: some 200 bytes for each container, job and movement of a
 * container reached. */
bool trace_lot(struct ledger *ledger, const char *item, const char *lot, trace_visitor *visit, void *context,
               struct trace_cost *cost, struct fault *fault);

#endif

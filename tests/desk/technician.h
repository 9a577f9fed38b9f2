#ifndef TESTS_DESK_TECHNICIAN_H
#define TESTS_DESK_TECHNICIAN_H

#include <stdint.h>
#include <time.h>

#include "labels/basics/calendar.h"

/* Somebody at work in a grown room (tests/support/grown_room.h), through the real writer and desk, so that what an act
 * costs can be told by how many things the room ever had. A round is the life of one cartridge: received, proved, put
 * away, taken to a printer with a vat, a job, brought back, weighed, poured out, retired. Aborts with a sentence when
 * an act is refused or asks. */

#define TECHNICIAN_ACTS(X)                                                                                             \
    X(DELIVERY_OPEN, "delivery-open")                                                                                  \
    X(RECEIVE, "receive")                                                                                              \
    X(PROVE, "prove")                                                                                                  \
    X(SCAN_SHELF, "scan of a shelf")                                                                                   \
    X(PUT_AWAY, "put-away")                                                                                            \
    X(UNDO, "undo")                                                                                                    \
    X(HOLD, "hold")                                                                                                    \
    X(RELEASE, "release")                                                                                              \
    X(REPRINT, "reprint")                                                                                              \
    X(SCAN_BADGE, "scan of a badge")                                                                                   \
    X(SCAN_LATER, "scan beside older stock")                                                                           \
    X(SCAN_VAT, "scan of a vat")                                                                                       \
    X(SCAN_CARTRIDGE, "scan of a cartridge")                                                                           \
    X(SCAN_PRINTER, "scan of a printer")                                                                               \
    X(CHECK_OUT, "check-out of both")                                                                                  \
    X(JOB_START, "job-start")                                                                                          \
    X(JOB_END, "job-end")                                                                                              \
    X(CHECK_IN, "check-in of both")                                                                                    \
    X(INSPECT, "inspect")                                                                                              \
    X(WEIGH, "weigh")                                                                                                  \
    X(POUR, "pour")                                                                                                    \
    X(RETIRE, "retire")                                                                                                \
    X(CLEAN, "clean")

enum technician_act {
#define X(name, words) TECHNICIAN_##name,
    TECHNICIAN_ACTS(X)
#undef X
        TECHNICIAN_ACT_COUNT
};
const char *technician_act_words(enum technician_act act);

struct technician;

/* Starts the kiosk on a grown room's ledger; its clock stands at the morning of `today`. */
struct technician *technician_create(const char *address, struct day today);
void technician_destroy(struct technician *technician);

/* One round. `read` is asked before each act and after its answer; what it rose by stands in `spent`. */
typedef int64_t technician_meter(void *context);
void technician_round(struct technician *technician, technician_meter *read, void *context,
                      int64_t spent[TECHNICIAN_ACT_COUNT]);

/* CPU clock of the writer's thread. */
clockid_t technician_writer_clock(struct technician *technician);

#endif

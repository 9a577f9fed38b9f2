#ifndef TESTS_FAULTS_ALLOCATIONS_MORE_H
#define TESTS_FAULTS_ALLOCATIONS_MORE_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* What allocations.c shares with its other parts, and what else than acts allocates. */

struct allocations_options {
    int every, jobs;
    uint64_t seed;
};

struct allocations_tally {
    int64_t points, lasting, openings, audits, failed;
};

/* A seeded one in `every`. */
bool allocations_is_chosen(const struct allocations_options *options, int every, int where, int64_t nth);
/* Does the sentence say that memory ran out, and what to do? */
bool allocations_is_told(const struct fault *fault);

/* Opens a ledger that is not there yet, one that was left in good order and one whose log was never moved into it, each
 * allocation failing once; job `which` of options->jobs. `*nth` is kept for whoever wants to know where it died. */
void allocations_open_all(const struct allocations_options *options, int which, int64_t *nth,
                          struct allocations_tally *tally);

/* Verify, export and import of a ledger, each allocation failing once: verify never calls a good ledger bad, an export
 * is whole or refused, an import leaves all or nothing. As allocations_open_all. */
void allocations_audit_all(const struct allocations_options *options, int which, int64_t *nth,
                           struct allocations_tally *tally);

/* Parsers of scanned bytes and the rules: with no memory at all they answer as ever. Says what does not. */
bool allocations_need_none(void);

#endif

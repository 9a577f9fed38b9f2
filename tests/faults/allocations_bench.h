#ifndef TESTS_FAULTS_ALLOCATIONS_BENCH_H
#define TESTS_FAULTS_ALLOCATIONS_BENCH_H

#include <stddef.h>

#include "tests/faults/act_run.h"
#include "tests/faults/act_run_state.h"

/* A ledger on which one act is tried again and again while memory fails at another place each time. What an act booked
 * is taken back between tries by writing the file as it was before: under the running writer, whose statements stay
 * prepared as they are on any day (its log is emptied and its index wiped, so that SQLite reads everything anew), or,
 * when the writer may be about to checkpoint, with the writer stopped. */

enum { BENCH_PATH_SIZE = 200 };

struct bench {
    char folder[BENCH_PATH_SIZE], path[BENCH_PATH_SIZE];
    struct act_run *run;
    int number;     /* the act that is tried */
    uint8_t *bytes; /* the file before it */
    size_t length;
    struct state before, after; /* without it, with it */
    bool kept;                  /* they differ */
    int64_t count;              /* allocations it takes when nothing fails */
    int64_t sent_ms;            /* when an act was last sent */
};

/* All of them end the program with a line when the harness itself cannot go on. */
void bench_init(struct bench *bench);
void bench_clear(struct bench *bench);

/* Books act `number` as it should be, without looking. */
void bench_pass(struct bench *bench, int number);
/* Gets ready to try act `number`, the next one: learns what it does and takes it back. */
void bench_begin(struct bench *bench, int number);
/* Sends it. */
bool bench_send(struct bench *bench, struct fault *fault);
/* What is there now: false when it is neither `before` (only if `may_be_away`) nor `after` (only if `may_be_there`). */
bool bench_look(struct bench *bench, bool may_be_away, bool may_be_there, char *sentence, size_t size);
/* Takes it back. */
void bench_take_back(struct bench *bench);

#endif

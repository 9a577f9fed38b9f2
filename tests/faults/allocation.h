#ifndef TESTS_FAULTS_ALLOCATION_H
#define TESTS_FAULTS_ALLOCATION_H

#include <stdbool.h>
#include <stdint.h>

/* Memory that runs out when it is told to: malloc, calloc, realloc, posix_memalign, aligned_alloc and what else glibc
 * lets a program replace, linked into the program, for every library in it. Without an order they are glibc's own.
 * Not with sanitizers, which replace them too. */

/* From now on allocations of all threads are counted, and number `nth` (from 1; 0: none) fails, once; with `stays`
 * every one from there on. */
void allocation_arm(int64_t nth, bool stays);
/* Ends that. How many there were; `*struck` (may be NULL): did one fail? */
int64_t allocation_disarm(bool *struck);

/* What has to be allocated once and for all, so that it does not fall among what is counted. Before the first arm. */
void allocation_prepare(void);
/* Writes where the last one failed: addresses for addr2line, innermost first. */
void allocation_say_where(int descriptor);

#endif

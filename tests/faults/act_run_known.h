#ifndef TESTS_FAULTS_ACT_RUN_KNOWN_H
#define TESTS_FAULTS_ACT_RUN_KNOWN_H

#include <stdbool.h>
#include <stddef.h>

/* Fills in what act_run_day.h writes in angle brackets, as it stands in the SQLite ledger `path` before act `number`.
 * False: something there is not known, or it does not fit. */
bool known_expand(const char *path, int number, const char *text, char *out, size_t size);

#endif

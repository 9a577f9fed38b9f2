#ifndef TESTS_FAULTS_POWER_RUN_H
#define TESTS_FAULTS_POWER_RUN_H

#include "tests/faults/power_disk.h"

/* The recorded day, and the moments at which power is cut. */

enum { POWER_PATH_SIZE = 400 };

/* A folder of its own under /dev/shm, and the ledger's path in it. */
bool power_run_make_folder(char folder[POWER_PATH_SIZE], char path[POWER_PATH_SIZE]);
void power_run_remove_folder(const char *folder); /* and the ledger's files in it */

/* Runs acts 0 … acts-1 on a new ledger: alone and in groups of up to 12, with idle checkpoints and two restarts in the
 * middle, and records what the files were told. False: a line on standard error says why. */
bool power_run_record(int acts, bool lying, struct power_event **events, size_t *count);

/* Is power cut before this event? Before every sync of a file or the folder takes effect, and after every answer;
 * `at` == count is after the last. */
bool power_run_is_cut(const struct power_event *events, size_t count, size_t at);
/* What had been answered and sent by then. */
void power_run_known(const struct power_event *events, size_t count, size_t at, int *answered, int *under_way);

#endif

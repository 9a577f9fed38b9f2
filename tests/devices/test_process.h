#ifndef TESTS_DEVICES_TEST_PROCESS_H
#define TESTS_DEVICES_TEST_PROCESS_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

/* Programs that tests start, all of which end with the test, even when it dies. */

/* Starts argv[0] (looked up in PATH, /usr/sbin included); its standard output goes to a pipe whose read end is `*out`
 * (caller closes), or to ours when `out` is NULL. The process number, or -1. */
pid_t test_process_start(const char *const argv[], int *out);

/* Reads one line from `fd` within `milliseconds`; false when it does not come whole. */
bool test_process_line(int fd, int milliseconds, char *line, size_t size);

/* Waits for its end, `milliseconds` long; exit status, 128 + signal, or -1 when it still runs (it is killed then). */
int test_process_wait(pid_t pid, int milliseconds);

/* SIGTERM, then wait. */
int test_process_stop(pid_t pid);

bool test_process_is_installed(const char *name);

/* A port of 127.0.0.1 that is free now. */
int test_process_free_port(void);

/* Removes a folder and what is in it. */
void test_process_remove(const char *folder);

#endif

#ifndef TESTS_BENCH_DISK_CALLS_H
#define TESTS_BENCH_DISK_CALLS_H

#include <stdint.h>

/* Counts what this process asks of the disk: fdatasync and fsync calls, and bytes written to files whose name ends in
 * "-wal". The functions stand in disk_calls.c under libc's own names, which this program's SQLite then calls. With
 * AMBERSHELF_BENCH_SYNC_US in the environment each sync takes so many microseconds longer: a slower disk, for both
 * sides of a comparison alike. */

struct disk_calls {
    int64_t syncs, log_bytes;
};

struct disk_calls disk_calls_read(void);

#endif

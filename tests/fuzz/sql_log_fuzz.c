#include <assert.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "kiosk/ledger/sql/sql_log.h"

/* A write-ahead log's bytes, judged against a database of two pages. */

enum { DATABASE_BYTES = 1024 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

struct memory {
    const uint8_t *bytes;
    size_t size;
};

static bool read_memory(void *context, int64_t at, uint8_t *bytes, size_t length)
{
    const struct memory *memory = context;
    if (at < 0 || (uint64_t)at + length > memory->size)
        return false;
    memcpy(bytes, memory->bytes + at, length);
    return true;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const uint8_t database[DATABASE_BYTES] = {[16] = 2}; /* pages of 512 bytes */
    struct memory log = {data, size}, file = {database, sizeof database};
    const struct sql_log_bytes log_bytes = {.read = read_memory, .context = &log, .size = (int64_t)size},
                               file_bytes = {.read = read_memory, .context = &file, .size = sizeof database};
    struct sql_log_report report;
    sql_log_judge(&log_bytes, &file_bytes, &report);
    assert(report.state != SQL_LOG_UNREAD); /* memory always gives what it has */
    assert(report.bad_frame <= report.frames + 1 && report.lost <= report.frames);
    return 0;
}

#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "kiosk/basics/thread.h"
#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/backup/backup.h"

/* Export in a thread of its own, import here, a pipe between them: a ledger of years need not fit into memory or lie
 * about as text. The thread has its signals blocked, so a reader that gives up is an error of its write, not our end.
 */

struct exporting {
    const char *address;
    FILE *out;
    atomic_bool failed; /* before the pipe's end was closed: then the import's trouble follows from it */
    struct fault fault;
};

static void run_export(void *context)
{
    struct exporting *exporting = context;
    if (!ledger_export(exporting->address, exporting->out, &exporting->fault))
        atomic_store(&exporting->failed, true);
    (void)fclose(exporting->out);
}

static bool open_pipe(FILE **in, FILE **out, struct fault *fault)
{
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) != 0)
        return fault_set(fault, FAULT_STORAGE, "no pipe for the copy (%s): end other programs", strerror(errno));
    *in = fdopen(ends[0], "r");
    *out = fdopen(ends[1], "w");
    if (*in && *out)
        return true;
    *in ? (void)fclose(*in) : (void)close(ends[0]);
    *out ? (void)fclose(*out) : (void)close(ends[1]);
    return fault_set(fault, FAULT_STORAGE, "no memory for the copy: end other programs");
}

bool backup_pipe(const char *from, const char *to, struct fault *fault)
{
    struct exporting exporting = {.address = from};
    struct thread *thread = NULL;
    FILE *in = NULL;
    int64_t movements = 0;
    if (!open_pipe(&in, &exporting.out, fault))
        return false;
    if (!thread_start("export", run_export, &exporting, &thread, fault)) {
        (void)fclose(exporting.out);
        (void)fclose(in);
        return false;
    }
    const bool imported = ledger_import(to, in, &movements, fault);
    const bool exported_first = atomic_load(&exporting.failed);
    (void)fclose(in);
    thread_join(thread);
    if (imported && !atomic_load(&exporting.failed))
        return true;
    if (imported || exported_first)
        return fault_set(fault, exporting.fault.code, "%s", exporting.fault.text);
    return false;
}

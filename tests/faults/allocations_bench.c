#include "tests/faults/allocations_bench.h"

#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/basics/clock.h"
#include "tests/faults/allocation.h"

enum { CALM_MS = 250 }; /* an idle writer checkpoints after 300 */

__attribute__((noreturn, format(printf, 1, 2))) static void stop(const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    (void)printf("allocations: FAILED harness: ");
    (void)vprintf(format, arguments);
    (void)printf("\n");
    va_end(arguments);
    (void)fflush(stdout);
    _exit(2);
}

static void full_name(const struct bench *bench, const char *suffix, char *name, size_t size)
{
    (void)snprintf(name, size, "%s%s", bench->path, suffix);
}

static void open_run(struct bench *bench)
{
    struct fault fault = {FAULT_NONE, ""};
    if (!act_run_open(bench->run, &fault))
        stop("%s", fault.text);
}

void bench_init(struct bench *bench)
{
    *bench = (struct bench){.number = -1};
    (void)snprintf(bench->folder, sizeof bench->folder, "/dev/shm/ambershelf-memory-XXXXXX");
    if (!mkdtemp(bench->folder))
        stop("no folder in /dev/shm");
    (void)snprintf(bench->path, sizeof bench->path, "%.100s/ledger.db", bench->folder);
    bench->run = act_run_create(bench->path);
    if (!bench->run)
        stop("no run of acts");
    open_run(bench);
}

void bench_clear(struct bench *bench)
{
    static const char *const suffixes[] = {"", "-wal", "-shm", "-journal", ".lock"};
    act_run_destroy(bench->run);
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        char name[BENCH_PATH_SIZE + 16];
        full_name(bench, suffixes[i], name, sizeof name);
        (void)unlink(name);
    }
    (void)rmdir(bench->folder);
    free(bench->bytes);
}

/* ---- the file as it was ---- */

static void keep_file(struct bench *bench)
{
    struct stat status;
    const int file = open(bench->path, O_RDONLY | O_CLOEXEC);
    if (file < 0 || fstat(file, &status) != 0)
        stop("%s cannot be read", bench->path);
    bench->length = (size_t)status.st_size;
    bench->bytes = realloc(bench->bytes, bench->length);
    if (!bench->bytes || pread(file, bench->bytes, bench->length, 0) != (ssize_t)bench->length)
        stop("%s cannot be read", bench->path);
    (void)close(file);
}

static void write_back(const struct bench *bench)
{
    const int file = open(bench->path, O_WRONLY | O_CLOEXEC);
    if (file < 0 || pwrite(file, bench->bytes, bench->length, 0) != (ssize_t)bench->length ||
        ftruncate(file, (off_t)bench->length) != 0)
        stop("%s cannot be written", bench->path);
    (void)close(file);
}

/* The log is empty and its index says nothing: whoever reads next finds out, as after a restart of the machine. */
static void empty_log(const struct bench *bench)
{
    static const uint8_t nothing[32768];
    char name[BENCH_PATH_SIZE + 16];
    struct stat status;
    full_name(bench, "-wal", name, sizeof name);
    if (stat(name, &status) == 0 && truncate(name, 0) != 0)
        stop("%s cannot be emptied", name);
    full_name(bench, "-shm", name, sizeof name);
    const int file = open(name, O_WRONLY | O_CLOEXEC);
    if (file >= 0 && pwrite(file, nothing, sizeof nothing, 0) != (ssize_t)sizeof nothing)
        stop("%s cannot be wiped", name);
    if (file >= 0)
        (void)close(file);
}

static bool is_calm(const struct bench *bench)
{
    return clock_mono_ms() - bench->sent_ms < CALM_MS;
}

static void must_send(struct bench *bench, int number)
{
    struct fault fault = {FAULT_NONE, ""};
    bench->sent_ms = clock_mono_ms();
    if (!act_run_send(bench->run, number, &fault))
        stop("act %d (%s): %s", number, act_run_kind(number), fault.text);
}

static bool take_back_running(struct bench *bench)
{
    if (!is_calm(bench))
        return false;
    write_back(bench);
    empty_log(bench);
    return is_calm(bench);
}

/* With the writer stopped its statements are gone: the act is sent once more, so that the next try meets them prepared.
 * Before ACT_RUN_REST the writer always rests too long. */
void bench_take_back(struct bench *bench)
{
    if (take_back_running(bench))
        return;
    do {
        act_run_close(bench->run);
        write_back(bench);
        open_run(bench);
        if (bench->number == ACT_RUN_REST)
            return;
        must_send(bench, bench->number);
    } while (!take_back_running(bench));
}

/* ---- one act ---- */

static void look(struct bench *bench, struct state *state)
{
    char sentence[ACT_RUN_SENTENCE] = "";
    if (!state_read(bench->path, false, state, sentence, sizeof sentence))
        stop("%s", sentence);
}

void bench_pass(struct bench *bench, int number)
{
    must_send(bench, number);
}

void bench_begin(struct bench *bench, int number)
{
    bench->number = number;
    act_run_close(bench->run);
    keep_file(bench);
    look(bench, &bench->before);
    open_run(bench);
    must_send(bench, number);
    look(bench, &bench->after);
    bench->kept = state_differs(&bench->before, &bench->after) != NULL;
    bench_take_back(bench);
    allocation_arm(0, false);
    must_send(bench, number);
    bench->count = allocation_disarm(NULL);
    bench_take_back(bench);
}

bool bench_send(struct bench *bench, struct fault *fault)
{
    bench->sent_ms = clock_mono_ms();
    return act_run_send(bench->run, bench->number, fault);
}

bool bench_look(struct bench *bench, bool may_be_away, bool may_be_there, char *sentence, size_t size)
{
    struct state state;
    if (!state_read(bench->path, false, &state, sentence, size))
        return false;
    const char *from_before = state_differs(&state, &bench->before), *from_after = state_differs(&state, &bench->after);
    if ((may_be_away && !from_before) || (may_be_there && !from_after))
        return true;
    (void)snprintf(sentence, size, "%s; table '%s' is not as it should be",
                   !from_before   ? "it is not there"
                   : !from_after  ? "it is there"
                   : may_be_there ? "it is there, but not as it should be"
                                  : "something of it is there",
                   may_be_there ? from_after : from_before);
    return false;
}

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/faults/act_run.h"
#include "tests/faults/allocation.h"
#include "tests/faults/allocations_more.h"

enum { PATH_BYTES = 200, FILES = 2, ACTS = 60, CHECK_EVERY = 32, SHOWN = 6 };

static const char *const suffixes[FILES] = {"", "-wal"};

/* The files as they lie there before an opening; none at all for a new ledger. */
struct lying {
    const char *word;
    int acts;
    uint8_t *bytes[FILES];
    size_t lengths[FILES]; /* bytes NULL: not there */
};

bool allocations_is_chosen(const struct allocations_options *options, int every, int where, int64_t nth)
{
    uint64_t mixed = options->seed * UINT64_C(0x9E3779B97F4A7C15) + (uint64_t)where * UINT64_C(0xBF58476D1CE4E5B9) +
                     (uint64_t)nth * UINT64_C(0x94D049BB133111EB);
    mixed ^= mixed >> 29;
    mixed *= UINT64_C(0xD6E8FEB86659FD93);
    mixed ^= mixed >> 32;
    return mixed % (uint64_t)every == 0;
}

bool allocations_is_told(const struct fault *fault)
{
    static const char *const next[] = {"try again", "send it again", "ask again", "end other programs"};
    if (fault->code != FAULT_STORAGE && fault->code != FAULT_BUSY)
        return false;
    if (strstr(fault->text, "(or it is no JSON: ")) /* act_run's own: the act was not sent */
        return true;
    for (size_t i = 0; i < sizeof next / sizeof *next; i++)
        if (strstr(fault->text, "memory") && strstr(fault->text, next[i]))
            return true;
    return false;
}

static void name_of(const char *path, const char *suffix, char name[PATH_BYTES])
{
    (void)snprintf(name, PATH_BYTES, "%.150s%s", path, suffix);
}

static void remove_files(const char *path)
{
    static const char *const all[] = {"", "-wal", "-shm", "-journal", ".lock"};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        char name[PATH_BYTES];
        name_of(path, all[i], name);
        (void)unlink(name);
    }
}

static void stop(const char *what)
{
    printf("allocations: FAILED harness: %s\n", what);
    (void)fflush(stdout);
    _exit(2);
}

static void keep(const char *path, struct lying *lying)
{
    for (int i = 0; i < FILES; i++) {
        char name[PATH_BYTES];
        name_of(path, suffixes[i], name);
        FILE *file = fopen(name, "re");
        if (!file)
            continue;
        (void)fseek(file, 0, SEEK_END);
        lying->lengths[i] = (size_t)ftell(file);
        (void)fseek(file, 0, SEEK_SET);
        lying->bytes[i] = malloc(lying->lengths[i] + 1);
        if (!lying->bytes[i] || fread(lying->bytes[i], 1, lying->lengths[i], file) != lying->lengths[i])
            stop("a ledger's file cannot be kept");
        (void)fclose(file);
    }
}

static void lay(const char *path, const struct lying *lying)
{
    remove_files(path);
    for (int i = 0; i < FILES; i++) {
        char name[PATH_BYTES];
        name_of(path, suffixes[i], name);
        FILE *file = lying->bytes[i] ? fopen(name, "we") : NULL;
        if (!lying->bytes[i])
            continue;
        if (!file || fwrite(lying->bytes[i], 1, lying->lengths[i], file) != lying->lengths[i] || fclose(file) != 0)
            stop("a ledger's file cannot be laid");
    }
}

/* Fills a ledger with acts; the files are taken while the writer still runs when `midway`. */
static void make_lying(const char *path, bool midway, struct lying *lying)
{
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = act_run_create(path);
    remove_files(path);
    bool fine = run && act_run_open(run, &fault);
    for (int i = 0; fine && i < ACTS; i++)
        fine = act_run_send(run, i, &fault);
    if (fine && midway)
        keep(path, lying);
    act_run_destroy(run);
    if (fine && !midway)
        keep(path, lying);
    if (!fine)
        stop(fault.text);
    lying->acts = ACTS;
}

static bool goes_on(struct act_run *run, const char *path, const struct lying *lying, bool look, char *sentence,
                    size_t size)
{
    struct fault fault = {FAULT_NONE, ""};
    bool fine = act_run_open(run, &fault) && act_run_send(run, lying->acts, &fault);
    act_run_close(run);
    if (!fine) {
        (void)snprintf(sentence, size, "afterwards it does not go on: %s", fault.text);
        return false;
    }
    return !look || act_run_check(path, lying->acts + 1, 0, NULL, sentence, size);
}

static bool try_opening(struct act_run *run, const char *path, const struct lying *lying, int64_t nth, bool look,
                        bool *struck, char *sentence, size_t size)
{
    struct fault fault = {FAULT_NONE, ""};
    lay(path, lying);
    allocation_arm(nth, false);
    const bool opened = act_run_open(run, &fault);
    (void)allocation_disarm(struck);
    if (!opened && (!*struck || !allocations_is_told(&fault))) {
        (void)snprintf(sentence, size, "%s: %s", *struck ? "it is not told well" : "nothing failed, yet", fault.text);
        return false;
    }
    return goes_on(run, path, lying, look, sentence, size);
}

static void walk(const struct allocations_options *options, int which, const char *path, const struct lying *lying,
                 int64_t *at, struct allocations_tally *tally)
{
    struct act_run *run = act_run_create(path);
    bool struck = true;
    if (!run)
        stop("no run of acts");
    lay(path, lying);
    struct fault fault = {FAULT_NONE, ""};
    allocation_arm(0, false);
    if (!act_run_open(run, &fault))
        stop(fault.text);
    const int64_t count = allocation_disarm(NULL);
    act_run_close(run);
    for (int64_t nth = 1; nth <= count; nth++) {
        char sentence[ACT_RUN_SENTENCE + FAULT_TEXT_SIZE] = "";
        if (nth % options->jobs != which || !allocations_is_chosen(options, options->every, lying->acts, nth))
            continue;
        *at = nth;
        const bool look = tally->openings % CHECK_EVERY == 0;
        const bool fine = try_opening(run, path, lying, nth, look, &struck, sentence, sizeof sentence);
        tally->openings += struck;
        if (fine)
            continue;
        if (++tally->failed <= SHOWN) {
            printf("allocations: FAILED opening %s, allocation %lld of %lld: %s\n", lying->word, (long long)nth,
                   (long long)count, sentence);
            allocation_say_where(STDOUT_FILENO);
        }
    }
    act_run_destroy(run);
}

void allocations_open_all(const struct allocations_options *options, int which, int64_t *nth,
                          struct allocations_tally *tally)
{
    char folder[] = "/dev/shm/ambershelf-memory-XXXXXX", path[PATH_BYTES];
    struct lying all[] = {{"a new ledger", 0, {NULL}, {0}},
                          {"a ledger in good order", 0, {NULL}, {0}},
                          {"a ledger after a kill", 0, {NULL}, {0}}};
    if (!mkdtemp(folder))
        stop("no folder in /dev/shm");
    name_of(folder, "/ledger.db", path);
    make_lying(path, false, &all[1]);
    make_lying(path, true, &all[2]);
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        walk(options, which, path, &all[i], nth, tally);
        for (int file = 0; file < FILES; file++)
            free(all[i].bytes[file]);
    }
    remove_files(path);
    (void)rmdir(folder);
}

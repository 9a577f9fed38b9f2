#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "kiosk/ledger/audit.h"
#include "tests/faults/act_run.h"
#include "tests/faults/allocation.h"
#include "tests/faults/allocations_more.h"

enum { PATH_BYTES = 200, ACTS = 40, SHOWN = 6 };

struct text {
    char *bytes;
    size_t length;
};

struct audit {
    char path[PATH_BYTES], copy[PATH_BYTES], out[PATH_BYTES]; /* the ledger, an import of it, an export */
    struct text right;                                        /* the export as it should be */
    char sentence[ACT_RUN_SENTENCE + FAULT_TEXT_SIZE];
};

__attribute__((noreturn)) static void stop(const char *what)
{
    printf("allocations: FAILED harness: %s\n", what);
    (void)fflush(stdout);
    _exit(2);
}

static void remove_ledger(const char *path)
{
    static const char *const all[] = {"", "-wal", "-shm", "-journal", ".lock"};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        char name[PATH_BYTES + 16];
        (void)snprintf(name, sizeof name, "%s%s", path, all[i]);
        (void)unlink(name);
    }
}

static bool say(struct audit *audit, const char *what, const struct fault *fault)
{
    (void)snprintf(audit->sentence, sizeof audit->sentence, "%s: %s", what, fault->text);
    return false;
}

static bool told(struct audit *audit, const struct fault *fault)
{
    return allocations_is_told(fault) || say(audit, "it is not told well", fault);
}

static struct text slurp(const char *path)
{
    struct text text = {NULL, 0};
    FILE *file = fopen(path, "re");
    if (!file || fseek(file, 0, SEEK_END) != 0)
        stop("an export cannot be read");
    text.length = (size_t)ftell(file);
    rewind(file);
    text.bytes = malloc(text.length + 1);
    if (!text.bytes || fread(text.bytes, 1, text.length, file) != text.length)
        stop("an export cannot be read");
    (void)fclose(file);
    return text;
}

static bool is_right(const struct audit *audit)
{
    const struct text text = slurp(audit->out);
    const bool same = text.length == audit->right.length && memcmp(text.bytes, audit->right.bytes, text.length) == 0;
    free(text.bytes);
    return same;
}

/* Exports `path`; allocation `nth` fails, 0 none. */
static bool export(const struct audit *audit, const char *path, int64_t nth, bool *struck, struct fault *fault)
{
    FILE *out = fopen(audit->out, "we");
    if (!out)
        stop("an export cannot be made");
    allocation_arm(nth, false);
    const bool done = ledger_export(path, out, fault);
    (void)allocation_disarm(struck);
    if (fclose(out) != 0)
        stop("an export cannot be written");
    return done;
}

/* ---- the three ---- */

static bool try_verify(struct audit *audit, int64_t nth, bool *struck)
{
    struct verify_report report = {0};
    struct fault fault = {FAULT_NONE, ""};
    bool clean = false;
    allocation_arm(nth, false);
    const bool looked = ledger_verify(audit->path, &report, &clean, &fault);
    (void)allocation_disarm(struck);
    if (!looked)
        return told(audit, &fault);
    if (clean)
        return true;
    (void)snprintf(audit->sentence, sizeof audit->sentence, "verify calls a good ledger bad: %s", report.sentence);
    return false;
}

static bool try_export(struct audit *audit, int64_t nth, bool *struck)
{
    struct fault fault = {FAULT_NONE, ""};
    if (!export(audit, audit->path, nth, struck, &fault))
        return told(audit, &fault);
    return is_right(audit) || say(audit, "the export is not what it should be", &fault);
}

static bool import(struct audit *audit, int64_t nth, bool *struck, struct fault *fault)
{
    FILE *in = fmemopen(audit->right.bytes, audit->right.length, "r");
    int64_t movements = 0;
    if (!in)
        stop("no memory");
    allocation_arm(nth, false);
    const bool done = ledger_import(audit->copy, in, &movements, fault);
    (void)allocation_disarm(struck);
    (void)fclose(in);
    return done;
}

static bool try_import(struct audit *audit, int64_t nth, bool *struck)
{
    struct fault fault = {FAULT_NONE, ""};
    bool ignored = false;
    remove_ledger(audit->copy);
    if (!import(audit, nth, struck, &fault) && (!told(audit, &fault) || !import(audit, 0, &ignored, &fault)))
        return audit->sentence[0] ? false : say(audit, "imported again it is refused", &fault);
    if (!export(audit, audit->copy, 0, &ignored, &fault))
        return say(audit, "what was imported cannot be exported", &fault);
    return is_right(audit) || say(audit, "what was imported is not what was exported", &fault);
}

/* ---- all of it ---- */

static void prepare(struct audit *audit, const char *folder)
{
    struct fault fault = {FAULT_NONE, ""};
    bool ignored = false;
    (void)snprintf(audit->path, sizeof audit->path, "%s/ledger.db", folder);
    (void)snprintf(audit->copy, sizeof audit->copy, "%s/copy.db", folder);
    (void)snprintf(audit->out, sizeof audit->out, "%s/export", folder);
    struct act_run *run = act_run_create(audit->path);
    bool fine = run && act_run_open(run, &fault);
    for (int i = 0; fine && i < ACTS; i++)
        fine = act_run_send(run, i, &fault);
    act_run_destroy(run);
    if (!fine || !export(audit, audit->path, 0, &ignored, &fault))
        stop(fault.text);
    audit->right = slurp(audit->out);
}

typedef bool try(struct audit *audit, int64_t nth, bool *struck);

static void walk(const struct allocations_options *options, int which, const char *word, try *try_it,
                 struct audit *audit, int64_t *at, struct allocations_tally *tally)
{
    bool struck = true;
    for (int64_t nth = 1;; nth++) {
        if (nth % options->jobs != which || !allocations_is_chosen(options, options->every, word[0], nth))
            continue;
        *at = nth;
        audit->sentence[0] = '\0';
        const bool fine = try_it(audit, nth, &struck);
        if (!struck)
            return;
        tally->audits++;
        if (fine || ++tally->failed > SHOWN)
            continue;
        printf("allocations: FAILED %s, allocation %lld: %s\n", word, (long long)nth, audit->sentence);
        allocation_say_where(STDOUT_FILENO);
    }
}

void allocations_audit_all(const struct allocations_options *options, int which, int64_t *nth,
                           struct allocations_tally *tally)
{
    char folder[] = "/dev/shm/ambershelf-memory-XXXXXX";
    static struct audit audit;
    if (!mkdtemp(folder))
        stop("no folder in /dev/shm");
    prepare(&audit, folder);
    walk(options, which, "verify", try_verify, &audit, nth, tally);
    walk(options, which, "export", try_export, &audit, nth, tally);
    walk(options, which, "import", try_import, &audit, nth, tally);
    free(audit.right.bytes);
    remove_ledger(audit.path);
    remove_ledger(audit.copy);
    (void)unlink(audit.out);
    (void)rmdir(folder);
}

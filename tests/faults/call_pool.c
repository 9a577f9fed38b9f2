#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/faults/call_run.h"

/* Fault points tried some at a time, each in a process of its own: what crashes or hangs there fails that point alone.
 */

enum { JOBS_MOST = 64, SHOWN = 10, SECONDS_A_POINT = 120 };

/* ---- which ---- */

bool call_options_read(int count, char **words, struct call_options *options)
{
    *options = (struct call_options){.every = 1, .seed = 1, .jobs = (int)sysconf(_SC_NPROCESSORS_ONLN), .point = -1};
    for (int i = 1; i < count; i += 2) {
        char *end = NULL;
        const long long value = i + 1 < count ? strtoll(words[i + 1], &end, 10) : -1;
        const bool number = end && *end == '\0' && value >= 0;
        if (number && value >= 1 && value < 1000000 && strcmp(words[i], "--every") == 0)
            options->every = (int)value;
        else if (number && strcmp(words[i], "--seed") == 0)
            options->seed = (uint64_t)value;
        else if (number && value >= 1 && value <= JOBS_MOST && strcmp(words[i], "--jobs") == 0)
            options->jobs = (int)value;
        else if (number && strcmp(words[i], "--point") == 0)
            options->point = (int)value;
        else {
            (void)fprintf(stderr, "usage: %s [--every N] [--seed S] [--jobs J] [--point P]\n", words[0]);
            return false;
        }
    }
    return true;
}

void call_points_add(struct call_points *points, int session, int number, const struct call_plan *plan)
{
    if (points->count == points->room) {
        points->room = points->room * 2 + 1024;
        points->points = realloc(points->points, (size_t)points->room * sizeof *points->points);
        if (!points->points)
            abort();
    }
    struct call_point *point = &points->points[points->count++];
    *point = (struct call_point){points->count - 1, session, call_run_call(session, number), *plan};
    point->plan.at = number;
}

void call_points_clear(struct call_points *points)
{
    free(points->points);
    *points = (struct call_points){NULL, 0, 0};
}

static uint64_t next(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15); /* splitmix64 */
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

static void choose(struct call_points *points, const struct call_options *options)
{
    uint64_t state = options->seed;
    int kept = 0;
    for (int i = 0; i < points->count; i++)
        if (options->point >= 0 ? i == options->point : next(&state) % (uint64_t)options->every == 0)
            points->points[kept++] = points->points[i];
    points->count = kept;
}

/* ---- one ---- */

struct slot {
    pid_t process; /* 0: free */
    int point;
    char folder[CALL_FOLDER];
    char *sentence; /* shared with the process */
};

static void try_in_child(const struct call_point *point, const struct slot *slot, call_trial *trial)
{
    (void)alarm(SECONDS_A_POINT);
    (void)freopen("/dev/null", "w", stderr); /* the writer's log says what is meant to go wrong */
    const bool passed = trial(point, slot->folder, slot->sentence, ACT_RUN_SENTENCE);
    _exit(passed ? 0 : 1);
}

static void start(struct slot *slot, const struct call_points *points, int which, call_trial *trial)
{
    slot->point = which;
    slot->sentence[0] = '\0';
    (void)mkdir(slot->folder, 0700);
    slot->process = fork();
    if (slot->process == 0)
        try_in_child(&points->points[which], slot, trial);
    if (slot->process < 0) {
        perror("fork");
        abort();
    }
}

static void describe(const char *name, const struct call_point *point, const char *sentence)
{
    static const char *const fates[] = {"counted", "killed before",         "killed half-way through",
                                        "failed",  "half done, and failed", "done, but failed"};
    (void)printf("%s: point %d, session %d, call %d: %s %s of the %s%s%s%s\n    %s\n", name, point->number,
                 point->session, point->plan.at, fates[point->plan.fate], call_kind_word(point->call.kind),
                 call_file_word(point->call.file), point->plan.error ? " with " : "",
                 point->plan.error ? strerror(point->plan.error) : "", point->plan.lasting > 1 ? ", for a while" : "",
                 sentence);
}

static bool finish(struct slot *slot, int status)
{
    const bool passed = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    if (!passed && slot->sentence[0] == '\0')
        (void)snprintf(slot->sentence, ACT_RUN_SENTENCE, "the process ended with %s %d",
                       WIFSIGNALED(status) ? "signal" : "exit code",
                       WIFSIGNALED(status) ? WTERMSIG(status) : WEXITSTATUS(status));
    call_run_remove(slot->folder);
    slot->process = 0;
    return passed;
}

/* ---- all ---- */

static struct slot *slot_of(struct slot *slots, int jobs, pid_t process)
{
    for (int i = 0; i < jobs; i++)
        if (slots[i].process == process)
            return &slots[i];
    return NULL;
}

static void make_slots(const char *name, struct slot *slots, int jobs)
{
    char *shared = mmap(NULL, JOBS_MOST * ACT_RUN_SENTENCE, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (shared == MAP_FAILED)
        abort();
    for (int i = 0; i < jobs; i++) {
        slots[i] = (struct slot){.sentence = shared + (size_t)i * ACT_RUN_SENTENCE};
        (void)snprintf(slots[i].folder, sizeof slots[i].folder, "/dev/shm/ambershelf-%.20s-%d-%d", name, (int)getpid(),
                       i);
    }
}

bool call_points_try(const char *name, struct call_points *points, const struct call_options *options,
                     call_trial *trial)
{
    struct slot slots[JOBS_MOST] = {{.process = 0}};
    int started = 0, running = 0, failed = 0;
    make_slots(name, slots, options->jobs);
    choose(points, options);
    (void)fflush(stdout);
    while (started < points->count || running > 0) {
        struct slot *free_slot = slot_of(slots, options->jobs, 0);
        if (started < points->count && free_slot) {
            start(free_slot, points, started++, trial);
            running++;
            continue;
        }
        int status = 0;
        const pid_t ended = wait(&status);
        struct slot *slot = ended > 0 ? slot_of(slots, options->jobs, ended) : NULL;
        if (!slot)
            continue;
        running--;
        if (!finish(slot, status) && failed++ < SHOWN)
            describe(name, &points->points[slot->point], slot->sentence);
    }
    (void)munmap(slots[0].sentence, JOBS_MOST * ACT_RUN_SENTENCE);
    (void)printf("%s: %d fault points, %d passed, %d failed\n", name, points->count, points->count - failed, failed);
    return failed == 0;
}

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include "labels/basics/text.h"
#include "tests/faults/allocation.h"
#include "tests/faults/allocations_bench.h"
#include "tests/faults/allocations_more.h"

/* faults_allocations [--every N] [--seed S] [--jobs J]
 * Each allocation of a day's acts fails once, on whichever thread it is; now and then memory stays away from there on.
 * The same with opening a ledger, new or old, and with verify, export and import. An act that was answered must be
 * there whole, one that was refused not at all, with a sentence that says memory ran out and what to do; sent again it
 * is answered. --every N tries a seeded one in N allocations. Ends with a line of counts; exit 1 when something was
 * wrong. */

enum {
    MOST_JOBS = 64,
    SHOWN = 6,
    CHECK_EVERY = 64,  /* points between looks at everything, verify and all */
    STAYS_EVERY = 300, /* of so many points memory stays away once: the writer's pauses make it slow */
    REST_EVERY = 50
};

struct job { /* shared with the parent, so that it can say where a job died */
    int act;
    int64_t nth;
    bool stays, opening;
    struct allocations_tally tally;
    bool done;
};

/* ---- one point ---- */

static bool end_well(struct bench *bench, char *sentence, size_t size)
{
    struct fault fault = {FAULT_NONE, ""};
    if (bench_send(bench, &fault))
        return bench_look(bench, false, true, sentence, size);
    (void)snprintf(sentence, size, "sent again with memory there it was not answered: %s", fault.text);
    return false;
}

/* Sends the act while allocation `nth` fails. False: `sentence` says what is wrong. */
static bool try_point(struct bench *bench, int64_t nth, bool stays, bool *struck, char *sentence, size_t size)
{
    struct fault fault = {FAULT_NONE, ""};
    allocation_arm(nth, stays);
    const bool answered = bench_send(bench, &fault);
    (void)allocation_disarm(struck);
    if (answered)
        return bench_look(bench, false, true, sentence, size);
    if (!*struck || !allocations_is_told(&fault)) {
        (void)snprintf(sentence, size, "%s: %s", *struck ? "it is not told well" : "nothing failed, yet", fault.text);
        return false;
    }
    const bool unknown = strstr(fault.text, "same id") != NULL;
    return bench_look(bench, true, unknown, sentence, size) && end_well(bench, sentence, size);
}

static void fail_point(struct job *job, const struct bench *bench, const char *sentence)
{
    if (++job->tally.failed > SHOWN)
        return;
    printf("allocations: FAILED act %d (%s), allocation %lld of about %lld%s: %s\n", bench->number,
           act_run_kind(bench->number), (long long)job->nth, (long long)bench->count,
           job->stays ? " and all after it" : "", sentence);
    allocation_say_where(STDOUT_FILENO);
}

/* Everything, with nobody writing. */
static void check_all(struct job *job, struct bench *bench)
{
    char sentence[ACT_RUN_SENTENCE] = "";
    struct fault fault = {FAULT_NONE, ""};
    act_run_close(bench->run);
    if (!act_run_check(bench->path, bench->number + 1, 0, NULL, sentence, sizeof sentence))
        fail_point(job, bench, sentence);
    if (!act_run_open(bench->run, &fault))
        fail_point(job, bench, fault.text);
    bench->sent_ms = 0; /* its statements are gone: bench_take_back sees to it */
}

static void walk_act(struct job *job, struct bench *bench, const struct allocations_options *options)
{
    const int every = bench->number == ACT_RUN_REST ? options->every * REST_EVERY : options->every;
    bool struck = true;
    int points = 0;
    for (int64_t nth = 1; nth <= bench->count || (struck && every == 1); nth++) {
        char sentence[ACT_RUN_SENTENCE + FAULT_TEXT_SIZE] = "";
        if (!allocations_is_chosen(options, every, bench->number, nth))
            continue;
        job->nth = nth;
        job->stays = allocations_is_chosen(options, STAYS_EVERY, bench->number + ACT_RUN_LENGTH, nth);
        const bool fine = try_point(bench, nth, job->stays, &struck, sentence, sizeof sentence);
        job->tally.points += struck;
        job->tally.lasting += struck && job->stays;
        if (!fine)
            fail_point(job, bench, sentence);
        if (++points % CHECK_EVERY == 0)
            check_all(job, bench);
        bench_take_back(bench);
    }
    bench_pass(bench, bench->number);
    check_all(job, bench);
}

/* ---- jobs ---- */

static void run_job(struct job *job, int which, const struct allocations_options *options)
{
    struct bench bench;
    bench_init(&bench);
    for (int number = 0; number < ACT_RUN_LENGTH; number++) {
        job->act = number;
        if (number % options->jobs == which) {
            bench_begin(&bench, number);
            walk_act(job, &bench, options);
        } else {
            bench_pass(&bench, number);
        }
    }
    bench_clear(&bench);
    job->opening = true;
    allocations_open_all(options, which, &job->nth, &job->tally);
    allocations_audit_all(options, which, &job->nth, &job->tally);
    job->done = true;
}

static pid_t start_job(struct job *job, int which, const struct allocations_options *options)
{
    (void)fflush(stdout);
    const pid_t child = fork();
    if (child != 0)
        return child;
    const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    if (nowhere >= 0)
        (void)dup2(nowhere, STDERR_FILENO); /* the log says each time what the writer does about it */
    (void)setvbuf(stdout, NULL, _IOLBF, 0);
    allocation_prepare();
    run_job(job, which, options);
    (void)fflush(stdout);
    _exit(0);
}

static void add(struct allocations_tally *sum, const struct job *job, int status)
{
    sum->points += job->tally.points;
    sum->lasting += job->tally.lasting;
    sum->openings += job->tally.openings;
    sum->audits += job->tally.audits;
    sum->failed += job->tally.failed;
    if (job->done && status == 0)
        return;
    printf("allocations: FAILED the program ended (status 0x%x) in %s %d, allocation %lld%s\n", (unsigned)status,
           job->opening ? "an opening or audit after act" : "act", job->act, (long long)job->nth,
           job->stays ? " and all after it" : "");
    sum->failed++;
}

static bool run_jobs(const struct allocations_options *options, struct allocations_tally *sum)
{
    pid_t children[MOST_JOBS];
    struct job *jobs = mmap(NULL, MOST_JOBS * sizeof *jobs, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    *sum = (struct allocations_tally){0};
    if (jobs == MAP_FAILED)
        return false;
    for (int i = 0; i < options->jobs; i++)
        children[i] = start_job(&jobs[i], i, options);
    for (int i = 0; i < options->jobs; i++) {
        int status = -1;
        if (children[i] > 0)
            (void)waitpid(children[i], &status, 0);
        add(sum, &jobs[i], status);
    }
    (void)munmap(jobs, MOST_JOBS * sizeof *jobs);
    return sum->failed == 0;
}

static bool read_options(int count, char **words, struct allocations_options *options)
{
    *options = (struct allocations_options){.every = 1, .jobs = 2, .seed = 1};
    for (int i = 1; i < count; i += 2) {
        int64_t value = 0;
        if (i + 1 == count || !span_read_count(span_of(words[i + 1]), &value) || value > INT32_MAX)
            return false;
        if (strcmp(words[i], "--every") == 0 && value > 0)
            options->every = (int)value;
        else if (strcmp(words[i], "--jobs") == 0 && value > 0 && value <= MOST_JOBS)
            options->jobs = (int)value;
        else if (strcmp(words[i], "--seed") == 0)
            options->seed = (uint64_t)value;
        else
            return false;
    }
    return true;
}

int main(int count, char **words)
{
    struct allocations_options options;
    struct allocations_tally sum;
    if (!read_options(count, words, &options)) {
        (void)fputs("faults_allocations [--every N] [--seed S] [--jobs J]\n", stderr);
        return 2;
    }
    struct act_run *learned = act_run_create("/dev/shm"); /* before fork, and before anything fails; opens nothing */
    act_run_destroy(learned);
    if (!learned)
        return 2;
    const bool without = allocations_need_none();
    const bool fine = run_jobs(&options, &sum) && sum.points > 0 && without;
    const int64_t points = sum.points + sum.openings + sum.audits;
    const int64_t failed = sum.failed + !without;
    printf("allocations: %lld in acts (%lld of them lasting), %lld in openings, %lld in verify, export and import\n",
           (long long)sum.points, (long long)sum.lasting, (long long)sum.openings, (long long)sum.audits);
    printf("allocations: %lld fault points, %lld passed, %lld failed\n", (long long)points,
           (long long)(points - failed), (long long)failed);
    return fine ? 0 : 1;
}

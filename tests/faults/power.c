#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "labels/basics/text.h"
#include "tests/faults/act_run.h"
#include "tests/faults/power_look.h"
#include "tests/faults/power_run.h"

/* faults_power [--every N] [--seed S] [--jobs J]
 * A day of acts is recorded once; then power is cut at every sync, and each image of the files that the cut may leave
 * is opened by the ledger itself: what was answered must be there whole, what was under way whole or not at all, and
 * the day must go on. On some of them power is cut again while it does. --every N looks at a seeded one in N of the
 * many kinds of images, and at all of the plain ones. Ends with a line of counts; exit 1 when an image failed. */

enum { MOST_JOBS = 64, LIAR_ACTS = 30, LIAR_EVERY = 32 };

struct options {
    int every, jobs;
    uint64_t seed;
};

/* ---- jobs ---- */

static void silence_log(void)
{
    const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    if (nowhere >= 0)
        (void)dup2(nowhere, STDERR_FILENO);
}

static pid_t start_job(const struct power_day *day, int job, int *answers)
{
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) != 0)
        return -1;
    (void)fflush(stdout);
    const pid_t child = fork();
    if (child != 0) {
        (void)close(ends[1]);
        *answers = ends[0];
        return child;
    }
    struct power_tally tally = {0};
    (void)setvbuf(stdout, NULL, _IOLBF, 0);
    silence_log();
    power_look(day, job, &tally);
    (void)fflush(stdout);
    _exit(write(ends[1], &tally, sizeof tally) == (ssize_t)sizeof tally ? 0 : 2);
}

/* False: a job did not come to its end. */
static bool run_jobs(const struct power_day *day, struct power_tally *sum)
{
    pid_t children[MOST_JOBS];
    int answers[MOST_JOBS];
    bool fine = true;
    *sum = (struct power_tally){0};
    for (int job = 0; job < day->jobs; job++)
        children[job] = start_job(day, job, &answers[job]);
    for (int job = 0; job < day->jobs; job++) {
        struct power_tally tally = {0};
        int status = 0;
        if (children[job] < 0 || read(answers[job], &tally, sizeof tally) != (ssize_t)sizeof tally ||
            waitpid(children[job], &status, 0) != children[job] || status != 0) {
            printf("power: FAILED job %d ended early (status 0x%x)\n", job, (unsigned)status);
            fine = false;
        }
        sum->cuts = tally.cuts > sum->cuts ? tally.cuts : sum->cuts; /* every job goes by all of them */
        sum->second_cuts += tally.second_cuts;
        sum->second_images += tally.second_images;
        sum->failed += tally.failed;
        for (int kind = 0; kind < IMAGES; kind++)
            sum->images[kind] += tally.images[kind];
    }
    return fine;
}

static int count_images(const struct power_tally *tally)
{
    int count = tally->second_images;
    for (int kind = 0; kind < IMAGES; kind++)
        count += tally->images[kind];
    return count;
}

static bool record(int acts, bool lying, const struct options *options, struct power_day *day)
{
    *day = (struct power_day){.every = lying ? LIAR_EVERY : options->every,
                              .jobs = options->jobs,
                              .seed = options->seed,
                              .quiet = lying,
                              .once = lying};
    return power_run_record(acts, lying, &day->events, &day->count);
}

/* Would lost acts be seen at all? On a disk that only claims to sync the log, they must be. */
static bool see_a_liar(const struct options *options)
{
    struct power_day day;
    struct power_tally tally;
    if (!record(LIAR_ACTS, true, options, &day))
        return false;
    const bool fine = run_jobs(&day, &tally);
    power_vfs_free(day.events, day.count);
    printf("power: on a disk that does not sync the log %d of %d images lost something\n", tally.failed,
           count_images(&tally));
    return fine && tally.failed > 0;
}

static bool cut_all(const struct options *options)
{
    struct power_day day;
    struct power_tally tally;
    if (!record(ACT_RUN_LENGTH, false, options, &day))
        return false;
    const bool fine = run_jobs(&day, &tally);
    power_vfs_free(day.events, day.count);
    for (int kind = 0; kind < IMAGES; kind++)
        printf("power: %6d images with %s\n", tally.images[kind], power_disk_word(kind));
    printf("power: %6d images of %d cuts while it went on after one\n", tally.second_images, tally.second_cuts);
    const int images = count_images(&tally);
    printf("power: %d sync points, %d images, %d passed, %d failed\n", tally.cuts, images, images - tally.failed,
           tally.failed + !fine);
    return fine && tally.failed == 0 && images > 0;
}

static bool read_options(int count, char **words, struct options *options)
{
    *options = (struct options){.every = 1, .jobs = 2, .seed = 1};
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
    struct options options;
    if (!read_options(count, words, &options)) {
        (void)fputs("faults_power [--every N] [--seed S] [--jobs J]\n", stderr);
        return 2;
    }
    if (!power_vfs_install()) {
        (void)fputs("power: SQLite does not take the recording layer\n", stderr);
        return 2;
    }
    if (!see_a_liar(&options)) {
        printf("power: FAILED the harness did not see acts lost\n");
        return 1;
    }
    return cut_all(&options) ? 0 : 1;
}

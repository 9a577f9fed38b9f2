#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "labels/basics/text.h"
#include "tests/faults/act_run.h"
#include "tests/faults/power_run.h"
#include "tests/reading/random.h"

/* faults_power [--every N] [--seed S] [--jobs J]
 * A day of acts is recorded once; then power is cut at every sync, and each image of the files that the cut may leave
 * is opened by the ledger itself: what was answered must be there whole, what was under way whole or not at all, and
 * the day must go on. --every N looks at a seeded one in N of the many kinds of images, and at all of the plain ones.
 * Ends with a line of counts; exit 1 when an image failed.
 */

enum { MOST_JOBS = 64, SHOWN = 5, LIAR_ACTS = 30, MORE_ACTS = 2 };

struct options {
    int every, jobs;
    uint64_t seed;
};

struct tally {
    int cuts;
    int images[IMAGES];
    int failed;
};

struct day {
    struct power_event *events;
    size_t count;
    struct options options;
    bool quiet; /* failures are what is looked for */
};

/* ---- one image ---- */

struct image {
    size_t at;
    enum power_image kind;
    int which;
    uint64_t seed;
    int answered, under_way;
};

/* Sends again what was under way and two acts more. Of acts that are there (`held`) only those that left an answer: one
 * that is refused leaves nothing, and what comes after it may have changed the reason. */
static bool go_on(const char *path, const struct image *image, int held, char *sentence, size_t size)
{
    const int wanted = image->answered + image->under_way + MORE_ACTS;
    const int until = wanted < ACT_RUN_LENGTH ? wanted : ACT_RUN_LENGTH;
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = act_run_create(path);
    bool fine = run && act_run_open(run, &fault);
    for (int number = image->answered; fine && number < until; number++)
        fine = (number < held && !act_run_is_kept(number)) || act_run_send(run, number, &fault);
    act_run_destroy(run);
    if (!fine) {
        (void)snprintf(sentence, size, "does not go on: %s", fault.text);
        return false;
    }
    return act_run_check(path, until, 0, NULL, sentence, size);
}

/* As it lies there, before anything writes; then with the writer. Until the first act was sent there may be no ledger
 * yet, or half of one: the start has to mend that. */
static bool check_image(const char *path, const struct image *image, char *sentence, size_t size)
{
    int held = 0;
    if (image->answered + image->under_way > 0 &&
        !act_run_check(path, image->answered, image->under_way, &held, sentence, size))
        return false;
    return go_on(path, image, held, sentence, size);
}

static bool try_image(const struct power_disk *disk, const struct image *image, char *sentence, size_t size)
{
    char folder[POWER_PATH_SIZE], path[POWER_PATH_SIZE];
    if (!power_run_make_folder(folder, path))
        exit(2);
    if (!power_disk_write(disk, image->kind, image->which, image->seed, path)) {
        perror("power: an image cannot be written");
        exit(2);
    }
    const bool fine = check_image(path, image, sentence, size);
    power_run_remove_folder(folder);
    return fine;
}

/* ---- all images of a job ---- */

static const char *moment_word(const struct day *day, size_t at)
{
    if (at == day->count)
        return "at the end";
    if (at > 0 && day->events[at - 1].kind == POWER_ANSWER)
        return "after an answer";
    if (day->events[at].kind == POWER_FOLDER_SYNC)
        return "before the folder's sync";
    static const char *const words[POWER_NAMES] = {"before the ledger's sync", "before the journal's sync",
                                                   "before the log's sync"};
    return words[day->events[at].name];
}

static void look_at_cut(const struct day *day, const struct power_disk *disk, size_t at, int job, uint64_t *number,
                        struct tally *tally)
{
    struct image image = {.at = at};
    power_run_known(day->events, day->count, at, &image.answered, &image.under_way);
    for (int kind = 0; kind < IMAGES; kind++)
        for (int which = 0; which < power_disk_images(disk, kind); which++) {
            uint64_t random = (((day->options.seed + 1) * 0x9E3779B97F4A7C15u) ^ (++*number * 0xBF58476D1CE4E5B9u)) | 1;
            const bool wanted =
                random_below(&random, day->options.every) == 0 || (kind < IMAGE_ONE_LOST && !day->quiet);
            if (!wanted || (int)(*number % (uint64_t)day->options.jobs) != job)
                continue;
            char sentence[ACT_RUN_SENTENCE + FAULT_TEXT_SIZE] = "";
            image.kind = kind;
            image.which = which;
            image.seed = random;
            tally->images[kind]++;
            if (try_image(disk, &image, sentence, sizeof sentence))
                continue;
            if (++tally->failed <= SHOWN && !day->quiet)
                printf("power: FAILED cut %s (event %zu), %d acts answered, %d under way, image '%s' %d: %s\n",
                       moment_word(day, at), at, image.answered, image.under_way, power_disk_word(kind), which,
                       sentence);
        }
}

static void run_job(const struct day *day, int job, struct tally *tally)
{
    struct power_disk *disk = power_disk_create(day->events, day->count);
    uint64_t number = 0;
    for (size_t at = 0; at <= day->count; at++) {
        if (!power_run_is_cut(day->events, day->count, at))
            continue;
        power_disk_advance(disk, at);
        tally->cuts++;
        look_at_cut(day, disk, at, job, &number, tally);
    }
    power_disk_destroy(disk);
}

/* ---- jobs ---- */

static void silence_log(void)
{
    const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    if (nowhere >= 0)
        (void)dup2(nowhere, STDERR_FILENO);
}

static pid_t start_job(const struct day *day, int job, int *answers)
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
    struct tally tally = {0};
    (void)setvbuf(stdout, NULL, _IOLBF, 0);
    silence_log();
    run_job(day, job, &tally);
    (void)fflush(stdout);
    _exit(write(ends[1], &tally, sizeof tally) == (ssize_t)sizeof tally ? 0 : 2);
}

/* False: a job did not come to its end. */
static bool run_jobs(const struct day *day, struct tally *sum)
{
    pid_t children[MOST_JOBS];
    int answers[MOST_JOBS];
    bool fine = true;
    *sum = (struct tally){0};
    for (int job = 0; job < day->options.jobs; job++)
        children[job] = start_job(day, job, &answers[job]);
    for (int job = 0; job < day->options.jobs; job++) {
        struct tally tally = {0};
        int status = 0;
        if (children[job] < 0 || read(answers[job], &tally, sizeof tally) != (ssize_t)sizeof tally ||
            waitpid(children[job], &status, 0) != children[job] || status != 0) {
            printf("power: FAILED job %d ended early (status 0x%x)\n", job, (unsigned)status);
            fine = false;
        }
        sum->cuts = tally.cuts > sum->cuts ? tally.cuts : sum->cuts; /* every job goes by all of them */
        sum->failed += tally.failed;
        for (int kind = 0; kind < IMAGES; kind++)
            sum->images[kind] += tally.images[kind];
    }
    return fine;
}

static int count_images(const struct tally *tally)
{
    int count = 0;
    for (int kind = 0; kind < IMAGES; kind++)
        count += tally->images[kind];
    return count;
}

static bool record(int acts, bool lying, const struct options *options, struct day *day)
{
    *day = (struct day){.options = *options, .quiet = lying};
    return power_run_record(acts, lying, &day->events, &day->count);
}

/* Would lost acts be seen at all? On a disk that only claims to sync the log, they must be. */
static bool see_a_liar(const struct options *options)
{
    struct options all = *options;
    struct day day;
    struct tally tally;
    all.every = 32;
    if (!record(LIAR_ACTS, true, &all, &day))
        return false;
    const bool fine = run_jobs(&day, &tally);
    power_vfs_free(day.events, day.count);
    printf("power: on a disk that does not sync the log %d of %d images lost something\n", tally.failed,
           count_images(&tally));
    return fine && tally.failed > 0;
}

static bool cut_all(const struct options *options)
{
    struct day day;
    struct tally tally;
    if (!record(ACT_RUN_LENGTH, false, options, &day))
        return false;
    const bool fine = run_jobs(&day, &tally);
    power_vfs_free(day.events, day.count);
    for (int kind = 0; kind < IMAGES; kind++)
        printf("power: %6d images with %s\n", tally.images[kind], power_disk_word(kind));
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

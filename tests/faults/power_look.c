#include "tests/faults/power_look.h"

#include <stdio.h>
#include <stdlib.h>

#include "tests/faults/act_run.h"
#include "tests/faults/power_run.h"
#include "tests/reading/random.h"

enum { SHOWN = 5, MORE_ACTS = 2, AGAIN_EVERY = 64, SECOND_EVERY = 16 };

/* ---- one image ---- */

struct image {
    const struct power_day *day;
    size_t at;
    enum power_image kind;
    int which;
    uint64_t seed;
    int answered, under_way;
    bool again; /* power is cut once more while it goes on */
};

static void look_again(const struct power_day *then, struct power_tally *tally);

/* Sends again what was under way and two acts more. Of acts that are there (`held`) only those that left an answer: one
 * that is refused leaves nothing, and what comes after it may have changed the reason. */
static bool go_on(const char *path, const struct image *image, int held, char *sentence, size_t size)
{
    const int wanted = image->answered + image->under_way + MORE_ACTS;
    const int until = wanted < ACT_RUN_LENGTH ? wanted : ACT_RUN_LENGTH;
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = act_run_create(path);
    bool fine = run && act_run_open(run, &fault);
    for (int number = image->answered; fine && number < until; number++) {
        power_vfs_tell(number, (held > number + 1 ? held : number + 1) - number);
        fine = (number < held && !act_run_is_kept(number)) || act_run_send(run, number, &fault);
        power_vfs_tell(number + 1, held > number + 1 ? held - number - 1 : 0);
    }
    act_run_destroy(run);
    if (!fine) {
        (void)snprintf(sentence, size, "does not go on: %s", fault.text);
        return false;
    }
    return act_run_check(path, until, 0, NULL, sentence, size);
}

/* As it lies there, before anything writes; then with the writer. Until the first act was sent there may be no ledger
 * yet, or half of one: the start has to mend that. */
static bool check_image(const char *path, const struct image *image, struct power_tally *tally, char *sentence,
                        size_t size)
{
    int held = 0;
    if (image->answered + image->under_way > 0 &&
        !act_run_check(path, image->answered, image->under_way, &held, sentence, size))
        return false;
    if (!image->again)
        return go_on(path, image, held, sentence, size);
    power_vfs_start(path, false);
    power_vfs_find();
    power_vfs_tell(image->answered, held > image->answered ? held - image->answered : 0);
    struct power_day then = {.first = power_vfs_count(),
                             .every = SECOND_EVERY * image->day->every,
                             .jobs = 1,
                             .seed = image->seed,
                             .once = true};
    const bool fine = go_on(path, image, held, sentence, size);
    then.events = power_vfs_stop(&then.count);
    if (fine)
        look_again(&then, tally);
    power_vfs_free(then.events, then.count);
    return fine;
}

static bool try_image(const struct power_disk *disk, const struct image *image, struct power_tally *tally,
                      char *sentence, size_t size)
{
    char folder[POWER_PATH_SIZE], path[POWER_PATH_SIZE];
    if (!power_run_make_folder(folder, path))
        exit(2);
    if (!power_disk_write(disk, image->kind, image->which, image->seed, path)) {
        perror("power: an image cannot be written");
        exit(2);
    }
    const bool fine = check_image(path, image, tally, sentence, size);
    power_run_remove_folder(folder);
    return fine;
}

/* ---- all images of a job ---- */

static const char *moment_word(const struct power_day *day, size_t at)
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

static void look_at_cut(const struct power_day *day, const struct power_disk *disk, size_t at, int job,
                        uint64_t *number, struct power_tally *tally)
{
    struct image image = {.day = day, .at = at};
    power_run_known(day->events, day->count, at, &image.answered, &image.under_way);
    for (int kind = 0; kind < IMAGES; kind++)
        for (int which = 0; which < power_disk_images(disk, kind); which++) {
            uint64_t random = (((day->seed + 1) * 0x9E3779B97F4A7C15u) ^ (++*number * 0xBF58476D1CE4E5B9u)) | 1;
            const bool wanted = random_below(&random, day->every) == 0 || (kind < IMAGE_ONE_LOST && !day->quiet);
            if (!wanted || (int)(*number % (uint64_t)day->jobs) != job)
                continue;
            char sentence[ACT_RUN_SENTENCE + FAULT_TEXT_SIZE] = "";
            image.kind = kind;
            image.which = which;
            image.seed = random;
            image.again = !day->once && random_below(&random, AGAIN_EVERY) == 0;
            tally->images[kind]++;
            if (try_image(disk, &image, tally, sentence, sizeof sentence))
                continue;
            if (++tally->failed <= SHOWN && !day->quiet)
                printf("power: FAILED%s cut %s (event %zu), %d acts answered, %d under way, image '%s' %d: %s\n",
                       day->first > 0 ? " second" : "", moment_word(day, at), at, image.answered, image.under_way,
                       power_disk_word(kind), which, sentence);
        }
}

void power_look(const struct power_day *day, int job, struct power_tally *tally)
{
    struct power_disk *disk = power_disk_create(day->events, day->count);
    uint64_t number = 0;
    for (size_t at = 0; at <= day->count; at++) {
        if (at < day->first || !power_run_is_cut(day->events, day->count, at))
            continue;
        power_disk_advance(disk, at);
        tally->cuts++;
        look_at_cut(day, disk, at, job, &number, tally);
    }
    power_disk_destroy(disk);
}

static void look_again(const struct power_day *then, struct power_tally *tally)
{
    struct power_tally second = {0};
    power_look(then, 0, &second);
    tally->second_cuts += second.cuts;
    for (int kind = 0; kind < IMAGES; kind++)
        tally->second_images += second.images[kind];
    tally->failed += second.failed;
}

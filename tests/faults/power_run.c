#include "tests/faults/power_run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "tests/faults/act_run.h"

bool power_run_make_folder(char folder[POWER_PATH_SIZE], char path[POWER_PATH_SIZE])
{
    (void)snprintf(folder, POWER_PATH_SIZE, "/dev/shm/ambershelf-power-XXXXXX");
    if (!mkdtemp(folder)) {
        perror("power: no folder in /dev/shm");
        return false;
    }
    return snprintf(path, POWER_PATH_SIZE, "%s/ledger.db", folder) < POWER_PATH_SIZE;
}

void power_run_remove_folder(const char *folder)
{
    static const char *const names[] = {"", "-journal", "-wal", "-shm", ".lock"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[POWER_PATH_SIZE + 24];
        (void)snprintf(path, sizeof path, "%s/ledger.db%s", folder, names[i]);
        (void)unlink(path);
    }
    (void)rmdir(folder);
}

/* ---- the day ---- */

enum { MOST_TOGETHER = 12, WAIT_TURNS = 3000 };

/* Something to do at act `number`, 0 nothing. */
static bool is_one_of(int number, const int *numbers, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (numbers[i] == number)
            return true;
    return false;
}

static bool is_restart(int number)
{
    static const int numbers[] = {20, 101, 163};
    return is_one_of(number, numbers, sizeof numbers / sizeof *numbers);
}

static bool is_rest(int number)
{
    static const int numbers[] = {9, 47, 128, ACT_RUN_REST};
    return is_one_of(number, numbers, sizeof numbers / sizeof *numbers);
}

/* Acts sent at once from `number` on: now and then a group, never across a rest or restart. */
static int together(int number, int acts)
{
    static const int sizes[] = {1, 1, 1, 3, 1, 1, 12, 1, 2, 1, 1, 5, 1, 1, 8, 1};
    const int wanted = sizes[number % (int)(sizeof sizes / sizeof *sizes)];
    int count = 1;
    while (count < wanted && number + count < acts && !is_restart(number + count) && !is_rest(number + count))
        count++;
    return count;
}

/* Until the idle writer has moved its log into the file; `before`: checkpoints when something was last booked, for on a
 * slow machine it may have done so already. */
static bool wait_for_checkpoint(size_t before)
{
    const struct timespec pause = {.tv_nsec = 10000000};
    for (int i = 0; i < WAIT_TURNS && power_vfs_checkpoints() == before; i++)
        (void)nanosleep(&pause, NULL);
    if (power_vfs_checkpoints() > before)
        return true;
    (void)fputs("power: the idle writer did not checkpoint\n", stderr);
    return false;
}

static bool send(struct act_run *run, int number, int count)
{
    bool answered[MOST_TOGETHER] = {false};
    struct fault faults[MOST_TOGETHER] = {{FAULT_NONE, ""}};
    power_vfs_tell(number, count);
    if (count == 1)
        answered[0] = act_run_send(run, number, &faults[0]);
    else
        act_run_send_group(run, number, count, answered, faults);
    power_vfs_tell(number + count, 0);
    for (int i = 0; i < count; i++)
        if (!answered[i]) {
            (void)fprintf(stderr, "power: act %d: %s\n", number + i, faults[i].text);
            return false;
        }
    return true;
}

static bool is_any_kept(int number, int count)
{
    while (count > 0 && !act_run_is_kept(number + count - 1))
        count--;
    return count > 0;
}

static bool run_day(struct act_run *run, int acts)
{
    size_t checkpoints = 0;
    struct fault fault = {FAULT_NONE, ""};
    if (!act_run_open(run, &fault)) {
        (void)fprintf(stderr, "power: %s\n", fault.text);
        return false;
    }
    for (int number = 0; number < acts;) {
        if (is_restart(number)) {
            act_run_close(run);
            if (!act_run_open(run, &fault)) {
                (void)fprintf(stderr, "power: %s\n", fault.text);
                return false;
            }
        }
        if (is_rest(number) && !wait_for_checkpoint(checkpoints))
            return false;
        const int count = together(number, acts);
        if (is_any_kept(number, count))
            checkpoints = power_vfs_checkpoints();
        if (!send(run, number, count))
            return false;
        number += count;
    }
    act_run_close(run);
    return true;
}

bool power_run_record(int acts, bool lying, struct power_event **events, size_t *count)
{
    char folder[POWER_PATH_SIZE], path[POWER_PATH_SIZE];
    if (!power_run_make_folder(folder, path))
        return false;
    struct act_run *run = act_run_create(path);
    power_vfs_start(path, lying);
    const bool fine = run && run_day(run, acts);
    *events = power_vfs_stop(count);
    act_run_destroy(run);
    power_run_remove_folder(folder);
    if (fine)
        return true;
    power_vfs_free(*events, *count);
    return false;
}

/* ---- the cuts ---- */

bool power_run_is_cut(const struct power_event *events, size_t count, size_t at)
{
    if (at == count)
        return true;
    return events[at].kind == POWER_SYNC || events[at].kind == POWER_FOLDER_SYNC ||
           (at > 0 && events[at - 1].kind == POWER_ANSWER);
}

void power_run_known(const struct power_event *events, size_t count, size_t at, int *answered, int *under_way)
{
    const struct power_event *event = &events[at < count ? at : count - 1];
    *answered = event->answered;
    *under_way = event->under_way;
}

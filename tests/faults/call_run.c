#include "tests/faults/call_run.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/ledger/ledger.h"

const struct call_session call_sessions[CALL_SESSIONS] = {
    {0, 25, 1, false},   {25, 25, 1, true},    {50, 25, 5, false},
    {75, 25, 1, false},  {100, 25, 1, true},   {125, 25, 5, true},
    {150, 25, 1, false}, {175, 10, 10, false}, {185, ACT_RUN_LENGTH - 185, 1, false} /* has ACT_RUN_REST */};

static struct {
    char base[CALL_FOLDER];
    int count[CALL_SESSIONS];
    struct call *calls[CALL_SESSIONS];
} room;

static void folder_of(int session, char folder[CALL_FOLDER])
{
    (void)snprintf(folder, CALL_FOLDER, "%.80s/before-%d", room.base, session);
}

void call_run_address(const char *folder, char address[CALL_ADDRESS])
{
    (void)snprintf(address, CALL_ADDRESS, "%s/ledger.db", folder);
}

/* ---- folders ---- */

static bool copy_file(const char *from, const char *to)
{
    static char bytes[1 << 16];
    ssize_t length = -1;
    const int in = open(from, O_RDONLY | O_CLOEXEC);
    if (in < 0)
        return errno == ENOENT;
    const int out = open(to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0640);
    bool fine = out >= 0;
    while (fine && (length = read(in, bytes, sizeof bytes)) > 0)
        fine = write(out, bytes, (size_t)length) == length;
    (void)close(in);
    return out >= 0 && close(out) == 0 && fine && length == 0;
}

/* The index is left out: it is made anew from the log by whoever comes first. */
static bool copy_ledger(const char *from, const char *to)
{
    static const char *const files[] = {"ledger.db", "ledger.db-wal"};
    char old[CALL_ADDRESS], fresh[CALL_ADDRESS];
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        (void)snprintf(old, sizeof old, "%s/%s", from, files[i]);
        (void)snprintf(fresh, sizeof fresh, "%s/%s", to, files[i]);
        if (!copy_file(old, fresh))
            return false;
    }
    return true;
}

bool call_run_copy(int session, const char *folder)
{
    char from[CALL_FOLDER];
    folder_of(session, from);
    return (mkdir(folder, 0700) == 0 || errno == EEXIST) && copy_ledger(from, folder);
}

void call_run_remove(const char *folder)
{
    DIR *listed = opendir(folder);
    for (const struct dirent *entry = listed ? readdir(listed) : NULL; entry; entry = readdir(listed))
        if (entry->d_name[0] != '.')
            (void)unlinkat(dirfd(listed), entry->d_name, 0);
    if (listed)
        (void)closedir(listed);
    (void)rmdir(folder);
}

void call_run_clear(void)
{
    char folder[CALL_FOLDER];
    for (int i = 0; i < CALL_SESSIONS; i++) {
        folder_of(i, folder);
        call_run_remove(folder);
        free(room.calls[i]);
        room.calls[i] = NULL;
    }
    (void)rmdir(room.base);
}

/* ---- the day, counted ---- */

static bool run_session(struct act_run *run, const struct call_session *session, struct fault *fault)
{
    bool answered[ACT_RUN_LENGTH];
    struct fault faults[ACT_RUN_LENGTH];
    bool fine = act_run_open(run, fault);
    for (int number = session->first; fine && number < session->first + session->count; number += session->group) {
        if (session->group == 1) {
            fine = act_run_send(run, number, fault);
            continue;
        }
        act_run_send_group(run, number, session->group, answered, faults);
        for (int i = 0; fine && i < session->group; i++)
            if (!answered[i]) {
                *fault = faults[i];
                fine = false;
            }
    }
    act_run_close(run);
    return fine;
}

static void keep_calls(int session)
{
    room.count[session] = call_watch_count();
    room.calls[session] = calloc((size_t)room.count[session], sizeof *room.calls[session]);
    if (!room.calls[session] || room.count[session] > CALLS_KEPT)
        abort();
    for (int i = 0; i < room.count[session]; i++)
        room.calls[session][i] = call_watch_call(i + 1);
}

static bool count_session(int session, const char *folder, struct fault *fault)
{
    const struct call_plan plan = {.fate = CALL_COUNTED};
    char address[CALL_ADDRESS], before[CALL_FOLDER];
    struct ledger *reader = NULL;
    call_run_address(folder, address);
    folder_of(session, before);
    if (mkdir(before, 0700) != 0 || !copy_ledger(folder, before))
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be made", before);
    if (call_sessions[session].reader && !ledger_open(address, LEDGER_READER, &reader, fault))
        return false;
    struct act_run *run = act_run_create(address);
    call_watch_start(folder, &plan);
    const bool fine = run && run_session(run, &call_sessions[session], fault);
    call_watch_stop();
    act_run_destroy(run);
    ledger_close(reader);
    keep_calls(session);
    return fine;
}

static bool count_day(void)
{
    char folder[CALL_FOLDER], address[CALL_ADDRESS], sentence[ACT_RUN_SENTENCE] = "";
    struct fault fault = {FAULT_NONE, ""};
    bool fine = true;
    (void)snprintf(room.base, sizeof room.base, "/dev/shm/ambershelf-calls-XXXXXX");
    if (!mkdtemp(room.base))
        return false;
    (void)snprintf(folder, sizeof folder, "%.80s/day", room.base);
    call_run_address(folder, address);
    (void)mkdir(folder, 0700);
    struct act_run *first = act_run_create(address); /* learns the day before anything is watched */
    fine = first != NULL;
    act_run_destroy(first);
    for (int i = 0; fine && i < CALL_SESSIONS; i++)
        fine = count_session(i, folder, &fault);
    if (fine && !act_run_check(address, ACT_RUN_LENGTH, 0, NULL, sentence, sizeof sentence))
        fine = fault_set(&fault, FAULT_STORAGE, "%.200s", sentence);
    call_run_remove(folder);
    if (!fine)
        (void)fprintf(stderr, "the day without faults: %s\n", fault.text);
    return fine;
}

/* Twice the same, or an idle checkpoint on a busy machine has put calls among them that no trial would make. */
bool call_run_prepare(void)
{
    enum { TRIES = 6 };
    int before[CALL_SESSIONS];
    for (int try = 0; try < TRIES; try++) {
        if (!count_day())
            return false;
        if (try > 0 && memcmp(before, room.count, sizeof before) == 0)
            return true;
        memcpy(before, room.count, sizeof before);
        if (try + 1 < TRIES)
            call_run_clear();
    }
    (void)fprintf(stderr, "the day without faults never made the same calls twice: is the machine very busy?\n");
    return false;
}

int call_run_calls(int session)
{
    return room.count[session];
}

struct call call_run_call(int session, int number)
{
    return room.calls[session][number - 1];
}

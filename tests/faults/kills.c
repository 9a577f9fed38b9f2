#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include "kiosk/ledger/ledger.h"
#include "tests/faults/call_run.h"

/* faults_kills [--every N] [--seed S] [--jobs J]
 * kill -9 before every call that touches the ledger's files, and half-way through every write, in a day of acts. Then
 * the ledger, as it lies there, must hold what was answered, and nothing by halves; and the kiosk must start again, be
 * sent what was under way, and go on. */

enum { MORE_ACTS = 5 };

/* What the process that is killed leaves behind: memory that its parent shares. */
struct report {
    volatile int answered, under_way;
};

/* ---- the process that is killed ---- */

static int live(const struct call_point *point, const char *folder, struct report *report)
{
    const struct call_session *session = &call_sessions[point->session];
    char address[CALL_ADDRESS];
    struct fault fault = {FAULT_NONE, ""}, faults[ACT_RUN_LENGTH];
    bool answered[ACT_RUN_LENGTH] = {false};
    struct ledger *reader = NULL;
    call_run_address(folder, address);
    if (session->reader && !ledger_open(address, LEDGER_READER, &reader, &fault))
        return 2;
    struct act_run *run = act_run_create(address);
    call_watch_start(folder, &point->plan);
    if (!run || !act_run_open(run, &fault))
        return 3;
    for (int number = session->first; number < session->first + session->count; number += session->group) {
        report->under_way = session->group;
        if (session->group == 1)
            answered[0] = act_run_send(run, number, &fault);
        else
            act_run_send_group(run, number, session->group, answered, faults);
        for (int i = 0; i < session->group; i++)
            if (!answered[i])
                return 4;
        report->under_way = 0;
        report->answered = number + session->group;
    }
    act_run_destroy(run);
    call_watch_stop();
    return 0;
}

/* ---- and what comes after ---- */

/* Starts again, sends what was under way with the same ids, and some more. */
static bool go_on(const char *address, int answered, int under_way, char *sentence, size_t size)
{
    const int wanted = answered + under_way + MORE_ACTS;
    const int until = wanted < ACT_RUN_LENGTH ? wanted : ACT_RUN_LENGTH;
    struct fault fault = {FAULT_NONE, ""};
    struct act_run *run = act_run_create(address);
    bool fine = run && act_run_open(run, &fault);
    for (int number = answered; fine && number < until; number++)
        fine = act_run_send(run, number, &fault);
    act_run_destroy(run);
    if (!fine) {
        (void)snprintf(sentence, size, "after the kill it does not go on: %s", fault.text);
        return false;
    }
    return act_run_check(address, until, 0, NULL, sentence, size);
}

static bool look(const struct call_point *point, const char *folder, const struct report *report, char *sentence,
                 size_t size)
{
    char address[CALL_ADDRESS];
    call_run_address(folder, address);
    /* before its first act a new ledger may be half made: nobody was told anything, and the next start makes it */
    if (point->session + report->answered + report->under_way > 0 &&
        !act_run_check(address, report->answered, report->under_way, NULL, sentence, size))
        return false;
    return go_on(address, report->answered, report->under_way, sentence, size);
}

/* `*lived`: the process came to its end without the call. */
static bool try_once(const struct call_point *point, const char *folder, char *sentence, size_t size, bool *lived)
{
    int status = 0;
    struct report *report = mmap(NULL, sizeof *report, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    *lived = false;
    if (report == MAP_FAILED || !call_run_copy(point->session, folder)) {
        (void)snprintf(sentence, size, "no room for the point");
        return false;
    }
    report->answered = call_sessions[point->session].first;
    const pid_t victim = fork();
    if (victim == 0)
        _exit(live(point, folder, report));
    if (victim < 0 || waitpid(victim, &status, 0) != victim || !WIFSIGNALED(status) || WTERMSIG(status) != SIGKILL) {
        *lived = victim >= 0 && WIFEXITED(status) && WEXITSTATUS(status) == 0;
        (void)snprintf(sentence, size, "the process was not killed there: status %x, %d acts answered",
                       (unsigned)status, report->answered);
        return false;
    }
    return look(point, folder, report, sentence, size);
}

/* On a busy machine the writer's idle checkpoint may fall among the acts, and the calls behind it are others: once
 * more. */
static bool try_kill(const struct call_point *point, const char *folder, char *sentence, size_t size)
{
    enum { TRIES = 6 };
    bool fine = false, lived = true;
    for (int try = 0; try < TRIES && lived; try++) {
        if (try > 0)
            call_run_remove(folder);
        fine = try_once(point, folder, sentence, size, &lived);
    }
    return fine;
}

int main(int count, char **words)
{
    struct call_options options;
    struct call_points points = {NULL, 0, 0};
    bool fine = false;
    if (!call_options_read(count, words, &options))
        return 2;
    if (call_run_prepare()) {
        for (int session = 0; session < CALL_SESSIONS; session++)
            for (int i = 1; i <= call_run_calls(session); i++) {
                call_points_add(&points, session, i, &(struct call_plan){.fate = CALL_KILLED});
                if (call_run_call(session, i).half)
                    call_points_add(&points, session, i, &(struct call_plan){.fate = CALL_KILLED_HALF});
            }
        fine = call_points_try("kills", &points, &options, try_kill);
        call_points_clear(&points);
    }
    call_run_clear();
    return fine ? 0 : 1;
}

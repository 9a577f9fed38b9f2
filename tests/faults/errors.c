#include <errno.h>
#include <stdio.h>
#include <string.h>

#include <sqlite3.h>

#include "kiosk/ledger/ledger.h"
#include "tests/faults/call_run.h"

/* faults_errors [--every N] [--seed S] [--jobs J]
 * Every call that touches the ledger's files, in a day of acts, fails: once, or for so long that somebody must be told;
 * without having been done, and, where it makes things durable, though it was done. The kiosk goes on as its clients
 * do: what got a fault is sent again with the same id. Afterwards every answered act must be there whole and once, and
 * each fault must have been told in a sentence that is true and says what to do. */

enum { TRIES = 6, MORE_ACTS = 5, FOR_A_WHILE = 12, ACTS_A_GROUP = 16 };

/* One point's kiosk, and what is wrong with it. */
struct trial {
    const struct call_session *session;
    char address[CALL_ADDRESS];
    struct act_run *run;
    struct ledger *reader;
    int answered, after; /* acts so far; of them, since the fault */
    char *sentence;
    size_t size;
};

static bool wrong(struct trial *trial, const char *what, const char *said)
{
    (void)snprintf(trial->sentence, trial->size, "act %d: %s: %s", trial->answered, what, said);
    return false;
}

/* ---- what is said ---- */

/* What a person can do about a disk, a file, another program; or again. */
static bool says_what_to_do(const char *text)
{
    static const char *const things[] = {
        "try again",       "send it again", "check the disk",      "free space", "keep the ledger on a local disk",
        "make the folder", "give the path", "let the kiosk's user"};
    for (size_t i = 0; i < sizeof things / sizeof *things; i++)
        if (strstr(text, things[i]))
            return true;
    return false;
}

/* Is it in the ledger now? Looked up past the ledger's own code. */
static bool is_booked(struct trial *trial, int number)
{
    char text[120];
    sqlite3 *handle = NULL;
    sqlite3_stmt *row = NULL;
    bool there = false;
    call_watch_pause();
    (void)snprintf(text, sizeof text, "SELECT 1 FROM act WHERE id = 'day-act-%04d'", number);
    if (sqlite3_open_v2(trial->address, &handle, SQLITE_OPEN_READONLY, NULL) == SQLITE_OK) {
        (void)sqlite3_db_config(handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
        there = sqlite3_prepare_v2(handle, text, -1, &row, NULL) == SQLITE_OK && sqlite3_step(row) == SQLITE_ROW;
    }
    (void)sqlite3_finalize(row);
    (void)sqlite3_close(handle);
    call_watch_go_on();
    return there;
}

static bool check_told(struct trial *trial, int number, const struct fault *fault)
{
    const char *text = fault->text;
    if (fault->code != FAULT_STORAGE && fault->code != FAULT_BUSY)
        return wrong(trial, "a trouble of the disk was told as something else", text[0] ? text : "nothing at all");
    if (!strstr(text, "ledger.db") && !strstr(text, "day-act-"))
        return wrong(trial, "the sentence names neither the ledger nor the act", text[0] ? text : "nothing at all");
    if (!says_what_to_do(text))
        return wrong(trial, "the sentence does not say what to do", text);
    if (strstr(text, "not known whether") && strstr(text, "nothing of this act was booked"))
        return wrong(trial, "the sentence says both, and one is not so", text);
    if (number >= 0 && strstr(text, "nothing of this act was booked") && is_booked(trial, number))
        return wrong(trial, "it was said that nothing was booked, and it was", text);
    return true;
}

/* ---- what is done ---- */

static bool open_again_and_again(struct trial *trial)
{
    struct fault fault = {FAULT_NONE, ""};
    for (int try = 0; try < TRIES; try++) {
        fault = (struct fault){FAULT_NONE, ""};
        if (act_run_open(trial->run, &fault))
            return true;
        if (!check_told(trial, -1, &fault))
            return false;
        call_watch_mend(); /* somebody was told, and has seen to the disk */
    }
    return wrong(trial, "the ledger does not open any more", fault.text);
}

/* Sends what was not answered again, as a client does. */
static bool send_until_answered(struct trial *trial, int number)
{
    struct fault fault = {FAULT_NONE, ""};
    for (int try = 0; try < TRIES; try++) {
        if (act_run_send(trial->run, number, &fault))
            return true;
        if (!check_told(trial, number, &fault))
            return false;
        call_watch_mend();
    }
    return wrong(trial, "it is not answered any more", fault.text);
}

static bool send_group(struct trial *trial)
{
    bool answered[ACTS_A_GROUP];
    struct fault faults[ACTS_A_GROUP];
    const int group = trial->session->group;
    act_run_send_group(trial->run, trial->answered, group, answered, faults);
    for (int i = 0; i < group; i++) { /* before anything else is done: what was said must be so now */
        if (!answered[i] && !check_told(trial, trial->answered + i, &faults[i]))
            return false;
    }
    for (int i = 0; i < group; i++) {
        if (!answered[i] && !send_until_answered(trial, trial->answered + i))
            return false;
    }
    return true;
}

static bool go_through(struct trial *trial)
{
    const struct call_session *session = trial->session;
    const int end = session->first + session->count;
    trial->answered = session->first;
    if (!open_again_and_again(trial))
        return false;
    while (trial->answered < end && trial->after < MORE_ACTS + session->group) {
        if (session->group == 1 ? !send_until_answered(trial, trial->answered) : !send_group(trial))
            return false;
        trial->answered += session->group;
        trial->after += call_watch_was_hit() ? session->group : 0;
    }
    return true;
}

/* `*came`: the call that was to fail was made. */
static bool try_once(const struct call_point *point, const char *folder, char *sentence, size_t size, bool *came)
{
    struct trial trial = {.session = &call_sessions[point->session], .sentence = sentence, .size = size};
    struct fault fault = {FAULT_NONE, ""};
    call_run_address(folder, trial.address);
    if (!call_run_copy(point->session, folder) || !(trial.run = act_run_create(trial.address)))
        return wrong(&trial, "no room for the point", "");
    if (trial.session->reader && !ledger_open(trial.address, LEDGER_READER, &trial.reader, &fault))
        return wrong(&trial, "no reader", fault.text);
    call_watch_start(folder, &point->plan);
    const bool fine = go_through(&trial);
    act_run_close(trial.run);
    *came = call_watch_was_hit();
    call_watch_stop();
    act_run_destroy(trial.run);
    ledger_close(trial.reader);
    if (fine && !*came)
        return wrong(&trial, "the call did not come", "");
    return fine && act_run_check(trial.address, trial.answered, 0, NULL, sentence, size);
}

/* On a busy machine the writer's idle checkpoint may fall among the acts, and the calls behind it are others: once
 * more. */
static bool try_error(const struct call_point *point, const char *folder, char *sentence, size_t size)
{
    bool fine = false, came = false;
    for (int try = 0; try < TRIES && !came; try++) {
        if (try > 0)
            call_run_remove(folder);
        fine = try_once(point, folder, sentence, size, &came);
    }
    return fine;
}

/* ---- which points ---- */

static const int errors[] = {EIO, ENOSPC, EINTR, EROFS};

static void add_errors(struct call_points *points, int session, int number, bool lasting)
{
    const struct call call = call_run_call(session, number);
    const bool durable = call.kind == CALL_FDATASYNC || call.kind == CALL_FSYNC || call.kind == CALL_PWRITE ||
                         call.kind == CALL_WRITE || call.kind == CALL_FTRUNCATE;
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++) {
        struct call_plan plan = {.fate = CALL_FAILS, .error = errors[i], .lasting = lasting ? FOR_A_WHILE : 1};
        if (lasting && errors[i] == EINTR)
            continue; /* nobody is interrupted for ever */
        call_points_add(points, session, number, &plan);
        if (call.half && errors[i] == ENOSPC) {
            plan.fate = CALL_FAILS_HALF;
            call_points_add(points, session, number, &plan);
        }
        if (!durable || errors[i] != EIO)
            continue;
        plan.fate = CALL_FAILS_UNHEARD;
        call_points_add(points, session, number, &plan);
    }
}

static bool run(const char *name, const struct call_options *options, bool lasting)
{
    struct call_points points = {NULL, 0, 0};
    for (int session = 0; session < CALL_SESSIONS; session++) {
        /* of a group that meets a fault which lasts, some acts are done and some told: another day than ours */
        const bool too_much = lasting && call_sessions[session].group > 1;
        for (int i = 1; i <= call_run_calls(session) && !too_much; i++)
            add_errors(&points, session, i, lasting);
    }
    const bool fine = call_points_try(name, &points, options, try_error);
    call_points_clear(&points);
    return fine;
}

int main(int count, char **words)
{
    struct call_options options;
    if (!call_options_read(count, words, &options))
        return 2;
    bool fine = call_run_prepare();
    const bool once = fine && run("errors", &options, false);
    const bool lasting = fine && run("lasting-errors", &options, true);
    fine = once && lasting;
    call_run_clear();
    return fine ? 0 : 1;
}

#ifndef TESTS_FAULTS_CALL_RUN_H
#define TESTS_FAULTS_CALL_RUN_H

#include <stdint.h>

#include "tests/faults/act_run.h"
#include "tests/faults/call_watch.h"

/* The day of acts in sessions, each from the writer's start to its end: a call can be reached from the start of its
 * session, whose ledger is copied, instead of from the morning on. Closed, a ledger holds nothing that could make that
 * another ledger than the one that went through the whole day.
 *
 * A call of a session with a fate is a fault point; each is tried in a process and a folder of its own. */

struct call_session {
    int first, count; /* acts */
    int group;        /* so many share a commit */
    bool reader;      /* a page has the ledger open: the log is not deleted when the writer goes */
};
enum { CALL_SESSIONS = 9, CALL_FOLDER = 120, CALL_ADDRESS = 160 };
extern const struct call_session call_sessions[CALL_SESSIONS];

/* Goes through the day once, counting. False: a line on standard error says what is wrong. Then: */
bool call_run_prepare(void);
void call_run_clear(void); /* removes every folder */
int call_run_calls(int session);
struct call call_run_call(int session, int number); /* from 1 */

struct call_point {
    int number; /* among all points of its kind */
    int session;
    struct call call;
    struct call_plan plan;
};

/* A ledger as it was before the session, in `folder`, which is made. */
bool call_run_copy(int session, const char *folder);
void call_run_remove(const char *folder);
void call_run_address(const char *folder, char address[CALL_ADDRESS]);

/* ---- many points, some at a time ---- */

struct call_options {
    int every; /* a seeded one in so many points; 1: all */
    uint64_t seed;
    int jobs;
    int point; /* this one alone, by the number that a failure prints; -1: all */
};
/* [--every N] [--seed S] [--jobs J] [--point P]; false: a line on standard error, exit 2. */
bool call_options_read(int count, char **words, struct call_options *options);

struct call_points {
    struct call_point *points;
    int count, room;
};
void call_points_add(struct call_points *points, int session, int number, const struct call_plan *plan);
void call_points_clear(struct call_points *points);

/* Tries one point in `folder`, which is there and empty. True: passed. */
typedef bool call_trial(const struct call_point *point, const char *folder, char *sentence, size_t size);
/* Tries all that `options` choose; prints the first failures and "NAME: 7312 fault points, 7312 passed, 0 failed".
 * True: none failed. */
bool call_points_try(const char *name, struct call_points *points, const struct call_options *options,
                     call_trial *trial);

#endif

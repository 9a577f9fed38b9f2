#ifndef TESTS_FAULTS_ACT_RUN_H
#define TESTS_FAULTS_ACT_RUN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/ledger/writer.h"
#include "labels/basics/fault.h"

/* A day of ACT_RUN_LENGTH acts at the counters of one room (act_run_day.c), run by the real writer and the real desk on
 * a SQLite ledger: every kind of act, groups by scans, refused ones, names and notes, undo. The same every time, down
 * to the bytes: ids and content are given, an act happens at an instant that depends on its number alone, and the salts
 * of erasable texts too. So a ledger that holds the first n acts and nothing else has one right state, row by row and
 * hash by hash, whatever went wrong on the way, and act_run_check compares with it. That state is taken from a run in
 * which nothing went wrong, made in a folder of its own under /dev/shm the first time act_run_create is called: call it
 * before anything is made to fail, and before fork.
 *
 * Acts come in order: number n + 1 after number n was answered. */

enum { ACT_RUN_LENGTH = 283, ACT_RUN_SENTENCE = 600 };

/* The writer has had nothing to do for a while before this act: its log was moved into the file, and is begun anew. */
enum { ACT_RUN_REST = 187 };

struct act_run;

/* `address` as ledger_open, a SQLite one. Opens nothing. NULL: a line on standard error says why. */
struct act_run *act_run_create(const char *address);
void act_run_destroy(struct act_run *run); /* closes too; accepts NULL */

/* Starts the writer on the ledger; again after act_run_close, as often as you like. */
bool act_run_open(struct act_run *run, struct fault *fault);
void act_run_close(struct act_run *run);

/* Sends act `number` (from 0) and waits. True: answered as it should be; an act that is refused on purpose counts as
 * answered when it is refused for that reason. False: `fault`. FAULT_CONFLICT there never comes from the ledger here:
 * the act was answered, but otherwise than it should be. */
bool act_run_send(struct act_run *run, int number, struct fault *fault);
/* The same for `count` acts in one group, which is one commit when nothing goes wrong; WRITER_GROUP - 1 at most. */
void act_run_send_group(struct act_run *run, int first, int count, bool answered[], struct fault faults[]);

/* Of the writer since it was opened. */
void act_run_read_counts(struct act_run *run, struct writer_counts *counts);

const char *act_run_kind(int number); /* "scan", … */
/* How many movements it books; 0: it is refused on purpose, or books nothing. */
int act_run_movements(int number);
/* Is there a stored answer of it afterwards? False: refused on purpose. */
bool act_run_is_kept(int number);
/* The number of the ledger's last movement once so many acts were answered. */
int64_t act_run_head(int acts);

/* After a fault, with nobody writing: opens the ledger read-only. Acts 0 … answered - 1 must be there whole with their
 * answers, `doubtful` acts after them whole or not at all and in order, nothing of later ones; SQLite's own
 * integrity_check and ledger_verify must find nothing. A ledger that is not there yet is right when nothing was
 * answered. `*held` (may be NULL): how many acts are there, those that
 * leave nothing behind taken as there. False: `sentence` says what is wrong. */
bool act_run_check(const char *address, int answered, int doubtful, int *held, char *sentence, size_t size);

#endif

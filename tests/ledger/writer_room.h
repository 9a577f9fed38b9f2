#ifndef TESTS_LEDGER_WRITER_ROOM_H
#define TESTS_LEDGER_WRITER_ROOM_H

#include <pthread.h>
#include <semaphore.h>

#include "kiosk/ledger/writer.h"
#include "tests/support/ledger_fixture.h"

/* A writer that runs on a fresh ledger with a driven clock, acts for it, and somebody who is told. Kinds of acts, their
 * content {"place":CODE}: add-place, midway (books, then faults), second (books one, then one that is refused), read
 * (books nothing), refuse (at once), gate (stops the writer thread), sever (PostgreSQL: loses the connection once),
 * fill-disk and empty-disk (SQLite). */

#define WRITER_ROOM_START_MS INT64_C(1771061400000) /* 2026-02-14T09:30:00Z */

struct desk {
    sem_t entered, go;  /* of the gate */
    int calls, severed; /* of add-place, of sever */
    char sever[200];    /* SQL that ends the connections */
};

struct room {
    struct ledger_fixture *fixture;
    char address[FIXTURE_TEXT_SIZE]; /* "": the fixture's own */
    struct clock *clock;
    struct feed *feed;
    struct writer *writer;
    struct desk desk;
};

/* cmocka's setup and teardown: *state is a struct room, its writer not started. */
int writer_room_setup(void **state);
int writer_room_teardown(void **state);
bool writer_room_start(struct room *room, bool demo, struct fault *fault);
void writer_room_must_start(struct room *room);
void writer_room_stop(struct room *room);

struct act writer_room_act(const char *id, const char *kind, const char *place);
/* Runs and gives the answer's text, "" when refused; into `text`, which is returned. */
enum { ANSWER_TEXT_SIZE = 256 };
const char *writer_room_run(struct room *room, const struct act *act, char text[ANSWER_TEXT_SIZE], struct fault *fault);

int64_t writer_room_movements(struct room *room);
bool writer_room_has_place(struct room *room, const char *code);
void writer_room_verify(struct room *room); /* fails the test unless the ledger is clean */

/* What came back, counted. */
enum { MOST_TOLD = 256 };

struct told {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    int count, answered, repeated, conflicts, refused;
    char ids[MOST_TOLD][ACT_ID_SIZE];
};

struct told *told_create(void);
void told_destroy(struct told *told);
void told_tell(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
               const struct fault *fault); /* an act_done */
void told_wait(struct told *told, int count);

/* Stops the writer thread inside an act: what is submitted until the gate opens is one group. */
void writer_room_close_gate(struct room *room, struct told *told);
void writer_room_open_gate(struct room *room);

#endif

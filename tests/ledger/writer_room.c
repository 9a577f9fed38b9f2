#include "tests/ledger/writer_room.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/ledger_room.h"

/* ---- acts ---- */

static bool book_place(struct act_context *context, const char *code, const char *word, struct fault *fault)
{
    struct movement m;
    movement_init(&m, MOVEMENT_PLACE_ENTRY);
    return span_copy(span_of(code), m.place, sizeof m.place) && span_copy(span_of(word), m.word, sizeof m.word) &&
           ledger_book(context->ledger, &m, fault);
}

static bool add_place(struct act_context *context, json_t **answer, struct fault *fault)
{
    const char *code = json_string_value(json_object_get(context->act->content, "place"));
    ((struct desk *)context->desk)->calls++;
    if (!book_place(context, code, "shelf", fault))
        return false;
    *answer = json_pack("{s:s, s:I}", "place", code, "at_ms", (json_int_t)context->moment.wall.ms);
    return true;
}

/* Books one place, answers, and then something is wrong. */
static bool fault_midway(struct act_context *context, json_t **answer, struct fault *fault)
{
    const char *code = json_string_value(json_object_get(context->act->content, "place"));
    if (!book_place(context, code, "shelf", fault))
        return false;
    *answer = json_pack("{s:s}", "half", "done");
    return fault_set(fault, FAULT_REFUSED, "not today");
}

/* Books one place and then one that apply refuses. */
static bool second_is_refused(struct act_context *context, json_t **answer, struct fault *fault)
{
    const char *code = json_string_value(json_object_get(context->act->content, "place"));
    *answer = json_object();
    return book_place(context, code, "shelf", fault) && book_place(context, "B1", "cellar", fault);
}

static bool refuse(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)context, (void)answer;
    return fault_set(fault, FAULT_REFUSED, "never");
}

static bool read_only(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)context, (void)fault;
    *answer = json_pack("{s:s}", "verdict", "go");
    return true;
}

static bool wait_at_the_gate(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct desk *desk = context->desk;
    (void)answer;
    sem_post(&desk->entered);
    sem_wait(&desk->go);
    return fault_set(fault, FAULT_REFUSED, "the gate");
}

/* Ends every connection to the database, the writer's own too, the first time it runs. */
static bool sever(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct desk *desk = context->desk;
    const char *code = json_string_value(json_object_get(context->act->content, "place"));
    if (desk->severed++ == 0)
        ledger_fixture_cluster_exec(desk->sever);
    *answer = json_pack("{s:s}", "place", code);
    return book_place(context, code, "shelf", fault);
}

/* SQLite: from now on the file may not grow, so that the next pages meet a full disk; and as it was. */
static bool fill_disk(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)answer;
    return sql_exec(ledger_sql(context->ledger), "PRAGMA max_page_count = 1", fault) &&
           fault_set(fault, FAULT_REFUSED, "the disk is full now");
}

static bool empty_disk(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)answer;
    return sql_exec(ledger_sql(context->ledger), "PRAGMA max_page_count = 1000000", fault) &&
           fault_set(fault, FAULT_REFUSED, "there is room again");
}

static const struct act_kind kinds[] = {{"add-place", add_place},
                                        {"midway", fault_midway},
                                        {"second", second_is_refused},
                                        {"read", read_only},
                                        {"gate", wait_at_the_gate},
                                        {"sever", sever},
                                        {"refuse", refuse},
                                        {"fill-disk", fill_disk},
                                        {"empty-disk", empty_disk},
                                        {NULL, NULL}};

/* ---- a running writer ---- */

bool writer_room_start(struct room *room, bool demo, struct fault *fault)
{
    const struct writer_options options = {.address = room->address[0] ? room->address : room->fixture->address,
                                           .kinds = kinds,
                                           .desk = &room->desk,
                                           .clock = room->clock,
                                           .feed = room->feed,
                                           .kiosk = "kiosk-1",
                                           .demo = demo};
    return writer_create(&options, &room->writer, fault);
}

void writer_room_must_start(struct room *room)
{
    struct fault fault = {0};
    if (!writer_room_start(room, false, &fault))
        fail_msg("%s", fault.text);
}

void writer_room_stop(struct room *room)
{
    writer_destroy(room->writer);
    room->writer = NULL;
}

int writer_room_setup(void **state)
{
    void *fixture = NULL;
    if (ledger_fixture_setup(&fixture) != 0)
        return 1;
    struct room *room = calloc(1, sizeof *room);
    if (!room)
        abort();
    room->fixture = fixture;
    room->clock = clock_create_driven((struct instant){WRITER_ROOM_START_MS});
    room->feed = feed_create();
    sem_init(&room->desk.entered, 0, 0);
    sem_init(&room->desk.go, 0, 0);
    *state = room;
    return 0;
}

int writer_room_teardown(void **state)
{
    struct room *room = *state;
    void *fixture = room->fixture;
    writer_room_stop(room);
    feed_destroy(room->feed);
    clock_destroy(room->clock);
    sem_destroy(&room->desk.entered);
    sem_destroy(&room->desk.go);
    ledger_fixture_teardown(&fixture);
    free(room);
    return 0;
}

struct act writer_room_act(const char *id, const char *kind, const char *place)
{
    struct act act = {.version = 1, .content = json_pack("{s:s}", "place", place)};
    assert_true(span_copy(span_of(id), act.id, sizeof act.id));
    assert_true(span_copy(span_of(kind), act.kind, sizeof act.kind));
    return act;
}

const char *writer_room_run(struct room *room, const struct act *act, char text[ANSWER_TEXT_SIZE], struct fault *fault)
{
    json_t *answer = NULL;
    text[0] = '\0';
    *fault = (struct fault){FAULT_NONE, ""};
    if (!writer_run(room->writer, act, &answer, fault))
        return text;
    const size_t length = json_dumpb(answer, text, ANSWER_TEXT_SIZE - 1, JSON_SORT_KEYS | JSON_COMPACT);
    assert_true(length < ANSWER_TEXT_SIZE);
    text[length] = '\0';
    json_decref(answer);
    return text;
}

int64_t writer_room_movements(struct room *room)
{
    struct ledger *ledger = ledger_fixture_open(room->fixture, LEDGER_READER);
    uint8_t hash[HASH_BYTES];
    int64_t seq = -1;
    assert_true(ledger_head(ledger, &seq, hash, NULL));
    ledger_close(ledger);
    return seq;
}

bool writer_room_has_place(struct room *room, const char *code)
{
    struct ledger *ledger = ledger_fixture_open(room->fixture, LEDGER_READER);
    struct place place;
    bool found = false;
    assert_true(place_load(ledger, code, &place, &found, NULL));
    ledger_close(ledger);
    return found;
}

void writer_room_verify(struct room *room)
{
    struct verify_report report;
    struct fault fault = {0};
    bool clean = false;
    if (!ledger_verify(room->fixture->address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
}

/* ---- what came back, counted ---- */

void told_tell(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
               const struct fault *fault)
{
    struct told *told = context;
    (void)last_seq;
    pthread_mutex_lock(&told->lock);
    snprintf(told->ids[told->count++], ACT_ID_SIZE, "%s", id);
    told->answered += *answer != NULL;
    told->repeated += repeated;
    told->conflicts += !*answer && fault->code == FAULT_CONFLICT;
    told->refused += !*answer && fault->code == FAULT_REFUSED;
    pthread_cond_signal(&told->changed);
    pthread_mutex_unlock(&told->lock);
}

struct told *told_create(void)
{
    struct told *told = calloc(1, sizeof *told);
    assert_non_null(told);
    pthread_mutex_init(&told->lock, NULL);
    pthread_cond_init(&told->changed, NULL);
    return told;
}

void told_wait(struct told *told, int count)
{
    struct timespec until;
    clock_gettime(CLOCK_REALTIME, &until);
    until.tv_sec += 60;
    pthread_mutex_lock(&told->lock);
    while (told->count < count)
        if (pthread_cond_timedwait(&told->changed, &told->lock, &until) != 0)
            break;
    const int reached = told->count;
    pthread_mutex_unlock(&told->lock);
    assert_int_equal(reached, count);
}

void told_destroy(struct told *told)
{
    pthread_mutex_destroy(&told->lock);
    pthread_cond_destroy(&told->changed);
    free(told);
}

/* Stops the writer thread inside an act; what is submitted until open_gate is one group. */
void writer_room_close_gate(struct room *room, struct told *told)
{
    const struct act act = writer_room_act("gate-00000001", "gate", "-");
    assert_true(writer_submit(room->writer, &act, told_tell, told, NULL));
    sem_wait(&room->desk.entered);
}

void writer_room_open_gate(struct room *room)
{
    sem_post(&room->desk.go);
}

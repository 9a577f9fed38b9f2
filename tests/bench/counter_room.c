#include "tests/bench/counter_room.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "kiosk/basics/id.h"
#include "labels/basics/text.h"

enum { KINDS = 64, CODE_SIZE = 17 };

struct caller {
    struct counter_room *room;
    pthread_t thread;
    int acts;
    bool is_out;
    char unit[SERIAL_SIZE], person[SERIAL_SIZE], printer[CODE_SIZE];
};

struct counter_room {
    struct act_kind kinds[KINDS];
    struct clock *clock;
    struct feed *feed;
    struct desk desk;
    struct writer *writer;
    char storekeeper[SERIAL_SIZE];
    struct caller callers[COUNTER_CALLERS];
};

static void fail(const char *what, const struct fault *fault)
{
    fprintf(stderr, "%s: %s\n", what, fault->text);
    abort();
}

/* An act of this bench: what the writer's thread has used so far. Books nothing. */
static bool cpu_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct timespec time;
    (void)context, (void)fault;
    (void)clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    *answer = json_pack("{s:I}", "ns", (json_int_t)time.tv_sec * 1000000000 + time.tv_nsec);
    return true;
}

static json_t *run_act(struct counter_room *room, const char *kind, const char *person, json_t *content)
{
    struct act act = {.version = 1, .content = content};
    struct fault fault = {0};
    json_t *answer = NULL;
    id_make(act.id);
    memcpy(act.kind, kind, strlen(kind) + 1);
    memcpy(act.person, person, strlen(person) + 1);
    if (strcmp(kind, "enrol") == 0)
        memcpy(act.aside, "none yet", sizeof "none yet"); /* no PIN has this hash */
    if (!content || !writer_run(room->writer, &act, &answer, &fault))
        fail(kind, &fault);
    return answer;
}

static void do_act(struct counter_room *room, const char *kind, const char *person, json_t *content)
{
    json_decref(run_act(room, kind, person, content));
}

static void enter_person(struct counter_room *room, const char *name, const char *role, char serial[SERIAL_SIZE])
{
    json_t *answer =
        role ? run_act(room, "person-entry", room->storekeeper, json_pack("{s:s, s:s}", "name", name, "role", role))
             : run_act(room, "enrol", "", json_pack("{s:s}", "name", name));
    const char *given = json_string_value(json_object_get(answer, "serial"));
    memcpy(serial, given, strlen(given) + 1);
    json_decref(answer);
}

static void enter(struct counter_room *room)
{
    struct builder code;
    if (!room->storekeeper[0])
        enter_person(room, "Maren", NULL, room->storekeeper); /* the first one */
    do_act(room, "item-entry", room->storekeeper,
           json_pack("{s:s, s:s, s:s, s:i}", "code", "FLINT-B", "letter", "R", "name", "Flint", "content_ml", 1000));
    do_act(room, "place-entry", room->storekeeper, json_pack("{s:s, s:s}", "code", "A01", "kind", "shelf"));
    for (int i = 0; i < COUNTER_CALLERS; i++) {
        struct caller *caller = &room->callers[i];
        caller->room = room;
        enter_person(room, "Tobias", "technician", caller->person);
        builder_init(&code, caller->printer, sizeof caller->printer);
        builder_addf(&code, "CAPSTAN-%d", i);
        do_act(room, "printer-entry", room->storekeeper,
               json_pack("{s:s, s:s, s:i}", "code", caller->printer, "name", "Capstan", "slots", 1));
        json_t *answer = run_act(room, "take-on", room->storekeeper,
                                 json_pack("{s:s, s:s, s:s, s:s, s:i, s:b}", "item", "FLINT-B", "lot", "FL-1",
                                           "expires", "2099-12-31", "place", "A01", "amount_ml", 900, "labelled", 1));
        const char *serial = json_string_value(json_object_get(answer, "serial"));
        memcpy(caller->unit, serial, strlen(serial) + 1);
        json_decref(answer);
    }
}

struct counter_room *counter_room_create(const char *address, const char *storekeeper)
{
    struct counter_room *room = calloc(1, sizeof *room);
    memcpy(room->storekeeper, storekeeper, strlen(storekeeper) + 1);
    struct fault fault = {0};
    int count = 0;
    while (desk_acts[count].kind) {
        room->kinds[count] = desk_acts[count];
        count++;
    }
    room->kinds[count] = (struct act_kind){"bench-cpu", cpu_act};
    room->clock = clock_create_system();
    clock_confirm(room->clock);
    room->feed = feed_create();
    room->desk = (struct desk){.idle_seconds = 90, .clock = room->clock};
    id_make(room->desk.run);
    const struct writer_options options = {.address = address,
                                           .kinds = room->kinds,
                                           .desk = &room->desk,
                                           .clock = room->clock,
                                           .feed = room->feed,
                                           .kiosk = "bench"};
    if (!writer_create(&options, &room->writer, &fault))
        fail("writer", &fault);
    enter(room);
    return room;
}

void counter_room_destroy(struct counter_room *room)
{
    writer_destroy(room->writer);
    feed_destroy(room->feed);
    clock_destroy(room->clock);
    free(room);
}

static void *call(void *context)
{
    struct caller *caller = context;
    for (int i = 0; i < caller->acts; i++) {
        if (caller->is_out)
            do_act(caller->room, "check-in", caller->person,
                   json_pack("{s:[{s:s, s:i}], s:s}", "units", "unit", caller->unit, "amount_ml", 500, "place", "A01"));
        else
            do_act(caller->room, "check-out", caller->person,
                   json_pack("{s:[s], s:s, s:b}", "units", caller->unit, "printer", caller->printer, "confirm", 1));
        caller->is_out = !caller->is_out;
    }
    return NULL;
}

void counter_room_run(struct counter_room *room, int callers, int acts)
{
    for (int i = 0; i < callers; i++) {
        room->callers[i].acts = acts;
        if (pthread_create(&room->callers[i].thread, NULL, call, &room->callers[i]) != 0)
            abort();
    }
    for (int i = 0; i < callers; i++)
        (void)pthread_join(room->callers[i].thread, NULL);
}

double counter_room_writer_cpu(struct counter_room *room)
{
    json_t *answer = run_act(room, "bench-cpu", room->storekeeper, json_object());
    const double seconds = (double)json_integer_value(json_object_get(answer, "ns")) / 1e9;
    json_decref(answer);
    return seconds;
}

struct writer_counts counter_room_counts(struct counter_room *room)
{
    struct writer_counts counts;
    writer_read_counts(room->writer, &counts);
    return counts;
}

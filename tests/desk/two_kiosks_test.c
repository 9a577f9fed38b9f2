#include "kiosk/desk/desk.h"

#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/basics/id.h"
#include "tests/desk/room.h"

/* Two kiosks on one PostgreSQL ledger want one thing in the same moment: one gets it, the other is told. Each has its
 * own writer, on its own connection; nobody but the database stands between them. READ COMMITTED, and the ledger's head
 * taken first: docs/sql.md. An SQLite ledger has one kiosk, and says so to a second. */

enum { ROUNDS = 25 };

struct kiosk {
    struct room *room;
    const char *name, *person, *printer;
    struct desk desk;
    struct feed *feed;
    struct writer *writer;
    int acts;
    /* of the act under way */
    pthread_barrier_t *start;
    const char *kind;
    json_t *content, *answer;
    struct fault fault;
    bool done;
};

static void create(struct kiosk *kiosk, struct room *room, const char *name, const char *person, const char *printer)
{
    struct fault fault = {0};
    *kiosk = (struct kiosk){.room = room, .name = name, .person = person, .printer = printer, .desk = room->desk};
    id_make(kiosk->desk.run);
    kiosk->feed = feed_create();
    const struct writer_options options = {.address = room->place.address,
                                           .kinds = desk_acts,
                                           .desk = &kiosk->desk,
                                           .clock = room->clock,
                                           .feed = kiosk->feed,
                                           .kiosk = name};
    if (!writer_create(&options, &kiosk->writer, &fault))
        fail_msg("%s: %s", name, fault.text);
}

static void destroy(struct kiosk *kiosk)
{
    writer_destroy(kiosk->writer);
    feed_destroy(kiosk->feed);
}

static void *run(void *context)
{
    struct kiosk *kiosk = context;
    struct act act = {.version = 1, .content = kiosk->content};
    (void)snprintf(act.id, sizeof act.id, "%s-act-%06d", kiosk->name, ++kiosk->acts);
    (void)snprintf(act.kind, sizeof act.kind, "%s", kiosk->kind);
    (void)snprintf(act.counter, sizeof act.counter, "%s", kiosk->name);
    (void)snprintf(act.person, sizeof act.person, "%s", kiosk->person);
    kiosk->fault = (struct fault){0};
    kiosk->answer = NULL;
    (void)pthread_barrier_wait(kiosk->start);
    kiosk->done = writer_run(kiosk->writer, &act, &kiosk->answer, &kiosk->fault);
    return NULL;
}

/* Both at once; `kind` and `content` of each are set. */
static void run_both(struct kiosk kiosks[2])
{
    pthread_barrier_t start;
    pthread_t threads[2];
    assert_int_equal(pthread_barrier_init(&start, NULL, 2), 0);
    for (int i = 0; i < 2; i++) {
        kiosks[i].start = &start;
        assert_int_equal(pthread_create(&threads[i], NULL, run, &kiosks[i]), 0);
    }
    for (int i = 0; i < 2; i++)
        (void)pthread_join(threads[i], NULL);
    (void)pthread_barrier_destroy(&start);
}

static bool has_booked(const struct kiosk *kiosk)
{
    return kiosk->done && json_is_true(json_object_get(kiosk->answer, "booked"));
}

/* A sentence to act on: the reason on the screen, or why the act was not done. */
static void expect_told(const struct kiosk *kiosk, const char *code, const char *says)
{
    const json_t *reason = json_array_get(json_object_get(kiosk->answer, "reasons"), 0);
    const char *said = json_string_value(json_object_get(reason, "code"));
    if (kiosk->done && said && strcmp(said, code) == 0)
        return;
    if (!kiosk->done && (kiosk->fault.code == FAULT_CONFLICT || kiosk->fault.code == FAULT_REFUSED) &&
        strstr(kiosk->fault.text, says))
        return;
    fail_msg("%s was told '%s' (fault %d), not why it did not get the thing", kiosk->name,
             kiosk->done ? json_string_value(json_object_get(kiosk->answer, "title")) : kiosk->fault.text,
             (int)kiosk->fault.code);
}

static int winner_of(struct kiosk kiosks[2], const char *code, const char *says)
{
    if (has_booked(&kiosks[0]) == has_booked(&kiosks[1]))
        fail_msg("%s booked: '%s', '%s'", has_booked(&kiosks[0]) ? "both" : "neither", kiosks[0].fault.text,
                 kiosks[1].fault.text);
    const int winner = has_booked(&kiosks[0]) ? 0 : 1;
    expect_told(&kiosks[1 - winner], code, says);
    for (int i = 0; i < 2; i++)
        json_decref(kiosks[i].answer);
    return winner;
}

static void open_both(struct room *room, struct kiosk kiosks[2])
{
    if (!ledger_fixture_is_postgresql())
        skip();
    create(&kiosks[0], room, "east", room->tobias, "CAPSTAN");
    create(&kiosks[1], room, "west", room->jarl, "HALYARD");
}

static void one_thing_goes_out_once(void **state)
{
    struct room *room = *state;
    struct kiosk kiosks[2];
    int wins[2] = {0, 0};
    open_both(room, kiosks);
    for (int round = 0; round < ROUNDS; round++) {
        for (int i = 0; i < 2; i++) {
            kiosks[i].kind = "check-out";
            kiosks[i].content = json_pack("{s:[s],s:s}", "units", room->flint, "printer", kiosks[i].printer);
        }
        run_both(kiosks);
        const int winner = winner_of(kiosks, "already-out", "check it in first");
        const struct unit unit = room_unit(room, room->flint);
        assert_int_equal(unit.status, UNIT_OUT);
        assert_string_equal(unit.holder, kiosks[winner].person);
        assert_string_equal(unit.printer, kiosks[winner].printer);
        assert_int_equal(room_movements(room, MOVEMENT_CHECK_OUT), round + 1);
        assert_int_equal(room_movements(room, MOVEMENT_JOB_START), round + 1); /* the other's job never began */
        wins[winner]++;
        (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->flint, "place", "A01"));
    }
    print_message("%d check-outs by the one kiosk, %d by the other\n", wins[0], wins[1]);
    destroy(&kiosks[0]);
    destroy(&kiosks[1]);
}

static void one_slot_takes_one_cartridge_from_two_kiosks(void **state)
{
    struct room *room = *state;
    struct kiosk kiosks[2];
    const char *const cartridges[] = {room->flint, room->flint_more};
    open_both(room, kiosks);
    for (int round = 0; round < ROUNDS; round++) {
        for (int i = 0; i < 2; i++) {
            kiosks[i].kind = "check-out";
            kiosks[i].content = json_pack("{s:[s],s:s}", "units", cartridges[i], "printer", "CAPSTAN");
        }
        run_both(kiosks);
        const int winner = winner_of(kiosks, "no-free-slot", "");
        assert_int_equal(room_unit(room, cartridges[1 - winner]).status, UNIT_IN);
        (void)room_act(room, "check-in",
                       json_pack("{s:[{s:s}],s:s}", "units", "unit", cartridges[winner], "place", "A01"));
    }
    destroy(&kiosks[0]);
    destroy(&kiosks[1]);
}

/* What both poured was there: no drop is poured twice. */
static void all_of_one_cartridge_is_poured_once(void **state)
{
    struct room *room = *state;
    struct kiosk kiosks[2];
    const char *const vats[] = {room->vat_flint, room->vat_empty};
    const struct unit before[] = {room_unit(room, vats[0]), room_unit(room, vats[1])};
    open_both(room, kiosks);
    for (int i = 0; i < 2; i++) {
        kiosks[i].kind = "pour";
        kiosks[i].content = json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", vats[i], "amount_ml", 1000);
    }
    run_both(kiosks);
    const int winner = winner_of(kiosks, "more-than-booked", "changed meanwhile: look again");
    assert_int_equal(room_unit(room, room->flint).amount_ul, 0);
    assert_int_equal(room_unit(room, vats[winner]).amount_ul, winner == 0 ? 1400000 : 1000000);
    assert_int_equal(room_unit(room, vats[1 - winner]).amount_ul, before[1 - winner].amount_ul);
    destroy(&kiosks[0]);
    destroy(&kiosks[1]);
}

static void an_sqlite_ledger_has_one_kiosk(void **state)
{
    struct room *room = *state;
    struct writer *second = NULL;
    struct fault fault = {0};
    if (ledger_fixture_is_postgresql())
        skip();
    const struct writer_options options = {.address = room->place.address,
                                           .kinds = desk_acts,
                                           .desk = &room->desk,
                                           .clock = room->clock,
                                           .feed = room->feed,
                                           .kiosk = "west"};
    assert_false(writer_create(&options, &second, &fault));
    assert_true(strlen(fault.text) > 20);
    (void)room_act(room, "hold",
                   json_pack("{s:s,s:s}", "unit", room->flint, "reason", "dirty")); /* the first goes on */
    assert_string_equal(room_unit(room, room->flint).hold, "dirty");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(one_thing_goes_out_once),
        IN_ROOM(one_slot_takes_one_cartridge_from_two_kiosks),
        IN_ROOM(all_of_one_cartridge_is_poured_once),
        IN_ROOM(an_sqlite_ledger_has_one_kiosk),
    };
    return cmocka_run_group_tests_name("desk/two_kiosks", tests, room_group_setup, room_group_teardown);
}

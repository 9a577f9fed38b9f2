#include "kiosk/ledger/trace.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/movements.h"
#include "tests/desk/room.h"

/* Which vats and jobs a lot may have come to, by what people did at the counter. A cartridge over a vat in one printer
 * may run into it: common practice, no source. */

enum { STOPS_MOST = 400 };

struct stops {
    struct trace_stop list[STOPS_MOST];
    int count;
};

static bool note(const struct trace_stop *stop, void *context)
{
    struct stops *stops = context;
    assert_true(stops->count < STOPS_MOST);
    stops->list[stops->count++] = *stop;
    return true;
}

static void trace(struct room *room, const char *item, const char *lot, struct stops *stops)
{
    struct fault fault = {0};
    stops->count = 0;
    if (!trace_lot(room->reader, item, lot, note, stops, NULL, &fault))
        fail_msg("%s", fault.text);
}

static bool has(const struct stops *stops, const char *serial_or_job)
{
    for (int i = 0; i < stops->count; i++)
        if (strcmp(stops->list[i].serial, serial_or_job) == 0 || strcmp(stops->list[i].job, serial_or_job) == 0)
            return true;
    return false;
}

static void check_out(struct room *room, const char *const *serials, const char *machine)
{
    json_t *units = json_array();
    for (; *serials; serials++)
        json_array_append_new(units, json_string(*serials));
    (void)room_act(room, "check-out", json_pack("{s:o,s:s,s:b}", "units", units, "printer", machine, "taken", 1));
}

static void check_in(struct room *room, const char *serial)
{
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", serial, "place", "A01"));
}

static void job_of(struct room *room, const char *machine, char id[JOB_SIZE])
{
    struct job job;
    assert_true(room_job(room, machine, &job));
    memcpy(id, job.id, JOB_SIZE);
}

static void what_came_in_with_the_lot_has_it_and_nothing_else(void **state)
{
    struct room *room = *state;
    struct stops stops;
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, room->flint) && has(&stops, room->flint_more));
    assert_false(has(&stops, room->oak) || has(&stops, room->vat_empty));
    for (int i = 0; i < stops.count; i++)
        assert_true(stops.list[i].present && stops.list[i].job[0] == '\0' && stops.list[i].since_seq > 0);
    trace(room, "FLINT", "FL-999", &stops);
    assert_int_equal(stops.count, 0);
    trace(room, "OAK", "FL-1", &stops);
    assert_int_equal(stops.count, 0);
}

static void it_runs_from_the_cartridge_into_the_vat_and_into_the_parts(void **state)
{
    struct room *room = *state;
    struct stops stops;
    char job[JOB_SIZE], later[JOB_SIZE];
    check_out(room, (const char *const[]){room->vat_empty, room->flint, NULL}, "CAPSTAN");
    job_of(room, "CAPSTAN", job);
    check_in(room, room->vat_empty);
    check_in(room, room->flint);
    check_out(room, (const char *const[]){room->vat_empty, NULL}, "HALYARD");
    job_of(room, "HALYARD", later);
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, room->vat_empty) && has(&stops, job) && has(&stops, later));
}

static void it_runs_whichever_of_the_two_came_first(void **state)
{
    struct room *room = *state;
    struct stops stops;
    check_out(room, (const char *const[]){room->vat_empty, NULL}, "CAPSTAN");
    check_out(room, (const char *const[]){room->flint, NULL}, "CAPSTAN");
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, room->vat_empty));
    check_out(room, (const char *const[]){room->flint_more, NULL}, "SEXTANT");
    trace(room, "FLINT", "FL-1", &stops);
    assert_false(has(&stops, room->vat_large));
    check_out(room, (const char *const[]){room->vat_large, NULL}, "SEXTANT");
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, room->vat_large));
}

/* The vat stays where it is, and the next job begins with something else: its resin goes into that job too. */
static void a_vat_that_stays_is_used_for_the_next_job(void **state)
{
    struct room *room = *state;
    struct stops stops;
    char first[JOB_SIZE], next[JOB_SIZE], third[JOB_SIZE];
    check_out(room, (const char *const[]){room->vat_empty, room->flint, NULL}, "SEXTANT");
    job_of(room, "SEXTANT", first);
    check_in(room, room->flint);
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->vat_empty, "place", "A01"));
    check_out(room, (const char *const[]){room->vat_empty, NULL}, "SEXTANT");
    job_of(room, "SEXTANT", next);
    check_out(room, (const char *const[]){room->oak, NULL}, "SEXTANT");
    job_of(room, "SEXTANT", third);
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, first) && has(&stops, next) && has(&stops, third));
    trace(room, "OAK", "OK-1", &stops);
    assert_true(has(&stops, room->vat_empty) && has(&stops, third) && !has(&stops, first));
}

/* A cartridge that stays, and a vat that comes later: the job has it by way of the vat. */
static void a_cartridge_that_stays_reaches_the_next_vats_job(void **state)
{
    struct room *room = *state;
    struct stops stops;
    char job[JOB_SIZE];
    check_out(room, (const char *const[]){room->flint, NULL}, "SEXTANT");
    check_out(room, (const char *const[]){room->vat_large, NULL}, "SEXTANT");
    job_of(room, "SEXTANT", job);
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, room->vat_large) && has(&stops, job));
}

/* A job that ran before the cartridge came has nothing of it. */
static void time_decides(void **state)
{
    struct room *room = *state;
    struct stops stops;
    char before[JOB_SIZE];
    check_out(room, (const char *const[]){room->vat_empty, NULL}, "CAPSTAN");
    job_of(room, "CAPSTAN", before);
    check_in(room, room->vat_empty);
    check_out(room, (const char *const[]){room->vat_empty, room->flint, NULL}, "HALYARD");
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(has(&stops, room->vat_empty));
    assert_false(has(&stops, before));
}

static void what_was_undone_did_not_happen(void **state)
{
    struct room *room = *state;
    struct stops stops;
    char job[JOB_SIZE];
    check_out(room, (const char *const[]){room->vat_empty, room->flint, NULL}, "CAPSTAN");
    job_of(room, "CAPSTAN", job);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", room->act));
    trace(room, "FLINT", "FL-1", &stops);
    assert_false(has(&stops, room->vat_empty) || has(&stops, job));
    assert_true(has(&stops, room->flint));
    /* the vat was there before the act that is undone, and stays */
    check_out(room, (const char *const[]){room->vat_empty, NULL}, "CAPSTAN");
    char vats_act[ACT_ID_SIZE];
    memcpy(vats_act, room->act, sizeof vats_act);
    check_out(room, (const char *const[]){room->flint, NULL}, "CAPSTAN");
    (void)room_act(room, "undo", json_pack("{s:s}", "act", room->act));
    trace(room, "FLINT", "FL-1", &stops);
    assert_false(has(&stops, room->vat_empty));
    /* and when the vat's check-out is undone under a cartridge that stays */
    check_out(room, (const char *const[]){room->flint, NULL}, "CAPSTAN");
    (void)room_act(room, "undo", json_pack("{s:s}", "act", vats_act));
    trace(room, "FLINT", "FL-1", &stops);
    assert_false(has(&stops, room->vat_empty));
}

/* ---- against a plain reading of all movements, one after the other ---- */

enum { ALL_MOST = 4000, NAMES_MOST = 400 };

struct plain {
    struct movement all[ALL_MOST];
    int count;
    char tainted[NAMES_MOST][JOB_SIZE];
    int tainted_count;
};

static bool keep(const struct movement *movement, void *context)
{
    struct plain *plain = context;
    assert_true(plain->count < ALL_MOST);
    plain->all[plain->count++] = *movement;
    return true;
}

static bool is_tainted(const struct plain *plain, const char *name)
{
    for (int i = 0; i < plain->tainted_count; i++)
        if (strcmp(plain->tainted[i], name) == 0)
            return true;
    return false;
}

static void taint(struct plain *plain, const char *name)
{
    if (name[0] == '\0' || is_tainted(plain, name))
        return;
    assert_true(plain->tainted_count < NAMES_MOST);
    assert_true(span_copy(span_of(name), plain->tainted[plain->tainted_count++], JOB_SIZE));
}

static bool undone_for(const struct plain *plain, const struct movement *movement, const char *unit)
{
    for (int i = 0; i < plain->count; i++)
        if (plain->all[i].kind == MOVEMENT_CORRECTION && strcmp(plain->all[i].unit, unit) == 0 &&
            plain->all[i].refers <= movement->seq && movement->seq < plain->all[i].seq)
            return true;
    return false;
}

static void read_plainly(struct room *room, const char *item, const char *lot, struct plain *plain)
{
    struct fault fault = {0};
    *plain = (struct plain){.count = 0};
    assert_true(ledger_each(room->reader, 0, INT64_MAX, keep, plain, &fault));
    for (int i = 0; i < plain->count; i++) {
        const struct movement *m = &plain->all[i];
        if (undone_for(plain, m, m->unit) || (m->other[0] && undone_for(plain, m, m->other)))
            continue;
        if ((m->kind == MOVEMENT_TAKE_ON || m->kind == MOVEMENT_RECEIPT || m->kind == MOVEMENT_FILL) &&
            strcmp(m->item, item) == 0 && strcmp(m->lot, lot) == 0)
            taint(plain, m->unit);
        if (m->kind == MOVEMENT_SUPPLY && is_tainted(plain, m->other))
            taint(plain, m->unit);
        if (m->kind == MOVEMENT_SUPPLY && is_tainted(plain, m->unit))
            taint(plain, m->job);
        if (m->kind == MOVEMENT_CHECK_OUT && is_tainted(plain, m->unit))
            taint(plain, m->job);
    }
}

static uint32_t draw(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes, 2nd ed., section 7.1 */
    return (uint32_t)(((uint64_t)*seed * below) >> 32);
}

static void it_is_what_a_plain_reading_of_all_movements_finds(void **state)
{
    static const char *const machines[] = {"CAPSTAN", "SEXTANT", "HALYARD"};
    struct room *room = *state;
    const char *const things[] = {room->flint,     room->flint_more, room->flint3,    room->oak,      room->chalk,
                                  room->vat_flint, room->vat_oak,    room->vat_empty, room->vat_large};
    static struct plain plain;
    struct stops stops;
    uint32_t seed = 20261126;
    int undone = 0;
    for (int act = 0; act < 120; act++) {
        const char *thing = things[draw(&seed, 9)], *more = things[draw(&seed, 9)];
        const bool out = room_unit(room, thing).status == UNIT_OUT;
        if (draw(&seed, 5) == 0) {
            struct fault fault = {0};
            json_t *answer = NULL;
            struct act undo = {.kind = "undo", .version = 1, .content = json_pack("{s:s}", "act", room->act)};
            (void)snprintf(undo.id, sizeof undo.id, "trace-undo-%d", act);
            undone += writer_run(room->writer, &undo, &answer, &fault); /* refused when it was no act to undo */
            json_decref(answer);
        } else if (out && draw(&seed, 3) > 0) {
            check_in(room, thing);
        } else {
            check_out(room, (const char *const[]){thing, strcmp(thing, more) == 0 ? NULL : more, NULL},
                      machines[draw(&seed, 3)]);
        }
    }
    assert_true(undone > 3);
    read_plainly(room, "FLINT", "FL-1", &plain);
    trace(room, "FLINT", "FL-1", &stops);
    assert_true(plain.tainted_count > 10);
    assert_int_equal(stops.count, plain.tainted_count);
    for (int i = 0; i < plain.tainted_count; i++)
        assert_true(has(&stops, plain.tainted[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_came_in_with_the_lot_has_it_and_nothing_else, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(it_runs_from_the_cartridge_into_the_vat_and_into_the_parts, room_setup,
                                        room_teardown),
        cmocka_unit_test_setup_teardown(it_runs_whichever_of_the_two_came_first, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(a_vat_that_stays_is_used_for_the_next_job, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(a_cartridge_that_stays_reaches_the_next_vats_job, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(time_decides, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(what_was_undone_did_not_happen, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(it_is_what_a_plain_reading_of_all_movements_finds, room_setup, room_teardown),
    };
    return cmocka_run_group_tests_name("desk/trace", tests, room_group_setup, room_group_teardown);
}

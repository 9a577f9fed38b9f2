#include "kiosk/ledger/trace_account.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* How much of a lot is where, worked by hand: two Flint cartridges of lot FL-1 with 1000 ml each, 400 ml of lot VT-1 in
 * a vat. Mixing is perfect, as in docs/compute/mix.md. (random_acts_test.c does it beside a model.) */

#define UNKNOWN MOVEMENT_NULL

enum { PLACES = 40, ML = 1000 };

struct told {
    struct trace_account account;
    struct trace_place places[PLACES];
    size_t count;
};

static bool keep(const struct trace_place *place, void *context)
{
    struct told *told = context;
    assert_true(told->count < PLACES);
    told->places[told->count++] = *place;
    return true;
}

static void tell(struct room *room, const char *lot, struct told *told)
{
    struct fault fault = {0};
    *told = (struct told){.count = 0};
    if (!trace_account_read(room->reader, "FLINT", lot, &told->account, keep, told, &fault))
        fail_msg("%s", fault.text);
}

static const struct trace_place *place_of(const struct told *told, const char *serial_or_job)
{
    for (size_t i = 0; i < told->count; i++)
        if (strcmp(told->places[i].stop.serial, serial_or_job) == 0 ||
            strcmp(told->places[i].stop.job, serial_or_job) == 0)
            return &told->places[i];
    fail_msg("%s is not told of", serial_or_job);
    return NULL;
}

static void expect_place(const struct told *told, const char *serial_or_job, int64_t lot_ul, int64_t of_ul)
{
    const struct trace_place *place = place_of(told, serial_or_job);
    assert_true(place->booked);
    assert_int_equal(place->lot_ul, lot_ul);
    assert_int_equal(place->of_ul, of_ul);
}

/* In millilitres, as a storekeeper would add them up. */
struct sums {
    int64_t received, corrected, held, used, wasted, unaccounted;
};

static void expect_sums(const struct told *told, struct sums ml)
{
    const struct trace_account *account = &told->account;
    assert_int_equal(account->received_ul, ml.received * ML);
    assert_int_equal(account->corrected_ul, ml.corrected * ML);
    assert_int_equal(account->held_ul, ml.held * ML);
    assert_int_equal(account->used_ul, ml.used * ML);
    assert_int_equal(account->wasted_ul, ml.wasted * ML);
    assert_int_equal(account->unaccounted_ul, ml.unaccounted * ML);
}

static void pour(struct room *room, const char *from, const char *to, int ml)
{
    json_t *content = json_pack("{s:s,s:s,s:b}", "from", from, "to", to, "confirm", 1);
    if (ml > 0)
        json_object_set_new(content, "amount_ml", json_integer(ml));
    else
        json_object_set_new(content, "unknown", json_true());
    (void)room_act(room, "pour", content);
    room_expect_booked(room, true);
}

static void start_job(struct room *room, const char *vat, char id[JOB_SIZE])
{
    struct job job;
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", vat, "printer", "CAPSTAN", "confirm", 1));
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    memcpy(id, job.id, JOB_SIZE);
}

static void end_job(struct room *room, int used_ml)
{
    json_t *content = json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "done");
    if (used_ml > 0)
        json_object_set_new(content, "used_ml", json_integer(used_ml));
    (void)room_act(room, "job-end", content);
}

static void bring_back(struct room *room, const char *vat)
{
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", vat, "film", "clear", "place", "B01"));
}

static void what_nobody_touched_is_all_there(void **state)
{
    struct room *room = *state;
    struct told told;
    tell(room, "FL-1", &told);
    expect_sums(&told, (struct sums){.received = 2000, .held = 2000});
    expect_place(&told, room->flint, 1000000, 1000000);
    assert_false(place_of(&told, room->flint)->estimated);
    tell(room, "FL-999", &told);
    assert_int_equal(told.count, 0);
    expect_sums(&told, (struct sums){.received = 0});
}

/* 300 ml into an empty vat, 120 of them into a job, the rest wiped out: 700 + 1000 stand, 120 + 180 are gone. */
static void each_drop_is_told_where_it_went(void **state)
{
    struct room *room = *state;
    struct told told;
    char job[JOB_SIZE];
    pour(room, room->flint, room->vat_empty, 300);
    start_job(room, room->vat_empty, job);
    end_job(room, 120);
    bring_back(room, room->vat_empty);
    tell(room, "FL-1", &told);
    expect_place(&told, room->flint, 700000, 700000);
    expect_place(&told, room->vat_empty, 180000, 180000);
    expect_place(&told, job, 120000, 120000);
    assert_false(place_of(&told, job)->estimated); /* the printer told */
    expect_sums(&told, (struct sums){.received = 2000, .held = 1880, .used = 120});
    (void)room_act(room, "clean", json_pack("{s:s}", "unit", room->vat_empty));
    tell(room, "FL-1", &told);
    expect_place(&told, room->vat_empty, 0, 0);
    assert_false(place_of(&told, room->vat_empty)->stop.present);
    expect_sums(&told, (struct sums){.received = 2000, .held = 1700, .used = 120, .wasted = 180});
}

/* 100 ml of FL-1 on 400 ml of VT-1 are a fifth: of 50 ml that the parts take, 10 ml. */
static void of_a_mix_each_lot_has_its_share(void **state)
{
    struct room *room = *state;
    struct told told;
    char job[JOB_SIZE];
    pour(room, room->flint, room->vat_flint, 100);
    start_job(room, room->vat_flint, job);
    end_job(room, 50);
    tell(room, "FL-1", &told);
    expect_place(&told, room->vat_flint, 90000, 450000);
    expect_place(&told, job, 10000, 50000);
    expect_sums(&told, (struct sums){.received = 2000, .held = 1990, .used = 10});
    tell(room, "VT-1", &told);
    expect_place(&told, room->vat_flint, 360000, 450000);
    expect_place(&told, job, 40000, 50000);
    assert_int_equal(told.account.unaccounted_ul, 0); /* VT-1 stands in three more vats */
}

static void an_estimate_is_told_as_one(void **state)
{
    struct room *room = *state;
    struct told told;
    char job[JOB_SIZE];
    pour(room, room->flint, room->vat_empty, 300);
    start_job(room, room->vat_empty, job);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "job", "KQ-9", "need_ml", 80));
    end_job(room, 0); /* done, and nobody said how much: the need */
    tell(room, "FL-1", &told);
    expect_place(&told, job, 80000, 80000);
    assert_true(place_of(&told, job)->estimated);
    assert_true(place_of(&told, room->vat_empty)->estimated);
    expect_sums(&told, (struct sums){.received = 2000, .held = 1920, .used = 80});
}

/* Nobody knows how much was poured: 1000 ml are in the two together, until one of them is looked at. */
static void unknown_stays_unknown_and_is_the_rest(void **state)
{
    struct room *room = *state;
    struct told told;
    pour(room, room->flint, room->vat_empty, 0);
    tell(room, "FL-1", &told);
    expect_place(&told, room->flint, UNKNOWN, UNKNOWN);
    expect_place(&told, room->vat_empty, UNKNOWN, UNKNOWN);
    assert_int_equal(told.account.held_unknown, 2);
    expect_sums(&told, (struct sums){.received = 2000, .held = 1000, .unaccounted = 1000});
    (void)room_act(room, "amount", json_pack("{s:s,s:i}", "unit", room->flint, "amount_ml", 600));
    tell(room, "FL-1", &told);
    expect_place(&told, room->flint, 600000, 600000);
    assert_int_equal(told.account.held_unknown, 1);
    expect_sums(&told, (struct sums){.received = 2000, .held = 1600, .unaccounted = 400});
}

static void a_job_of_which_nobody_knows_is_unknown(void **state)
{
    struct room *room = *state;
    struct told told;
    char job[JOB_SIZE];
    pour(room, room->flint, room->vat_empty, 300);
    start_job(room, room->vat_empty, job);
    end_job(room, 0); /* no need was said, and no use */
    tell(room, "FL-1", &told);
    expect_place(&told, job, UNKNOWN, UNKNOWN);
    expect_place(&told, room->vat_empty, UNKNOWN, UNKNOWN);
    assert_int_equal(told.account.used_unknown, 1);
    expect_sums(&told, (struct sums){.received = 2000, .held = 1700, .unaccounted = 300});
}

static void a_cartridge_that_came_in_with_nobody_knows_how_much_leaves_the_rest_open(void **state)
{
    struct room *room = *state;
    struct told told;
    char serial[SERIAL_SIZE];
    room_take_on(room, "FLINT", json_pack("{s:s}", "lot", "FL-1"), serial);
    tell(room, "FL-1", &told);
    expect_place(&told, serial, UNKNOWN, UNKNOWN);
    assert_int_equal(told.account.received_unknown, 1);
    assert_int_equal(told.account.held_ul, 2000000);
    assert_int_equal(told.account.unaccounted_ul, MOVEMENT_NULL);
}

static void what_is_told_anew_is_a_difference_of_its_own(void **state)
{
    struct room *room = *state;
    struct told told;
    (void)room_act(room, "amount", json_pack("{s:s,s:i}", "unit", room->flint, "amount_ml", 900));
    tell(room, "FL-1", &told);
    expect_sums(&told, (struct sums){.received = 2000, .corrected = -100, .held = 1900});
    (void)room_act(room, "amount", json_pack("{s:s,s:i}", "unit", room->flint, "amount_ml", 950));
    tell(room, "FL-1", &told);
    expect_sums(&told, (struct sums){.received = 2000, .corrected = -50, .held = 1950});
}

static void what_was_undone_was_never_added(void **state)
{
    struct room *room = *state;
    struct told told;
    char job[JOB_SIZE], poured[ACT_ID_SIZE], ended[ACT_ID_SIZE];
    pour(room, room->flint, room->vat_empty, 300);
    memcpy(poured, room->act, sizeof poured);
    start_job(room, room->vat_empty, job);
    char taken_out[ACT_ID_SIZE];
    memcpy(taken_out, room->act, sizeof taken_out);
    end_job(room, 120);
    memcpy(ended, room->act, sizeof ended);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", ended));
    tell(room, "FL-1", &told);
    assert_false(place_of(&told, job)->booked);
    expect_sums(&told, (struct sums){.received = 2000, .held = 2000});
    (void)room_act(room, "undo", json_pack("{s:s}", "act", taken_out));
    (void)room_act(room, "undo", json_pack("{s:s}", "act", poured));
    tell(room, "FL-1", &told);
    assert_int_equal(told.count, 2);
    expect_sums(&told, (struct sums){.received = 2000, .held = 2000});
}

/* A cartridge stood over the vat, and nobody ended the job: it may have run, no drop is booked. */
static void what_only_may_have_come_there_has_no_amount(void **state)
{
    struct room *room = *state;
    struct told told;
    struct job job;
    (void)room_act(
        room, "check-out",
        json_pack("{s:[s,s],s:s,s:b}", "units", room->vat_empty, room->flint, "printer", "CAPSTAN", "taken", 1));
    assert_true(room_job(room, "CAPSTAN", &job));
    bring_back(room, room->vat_empty);
    tell(room, "FL-1", &told);
    assert_false(place_of(&told, room->vat_empty)->booked);
    assert_int_equal(place_of(&told, room->vat_empty)->lot_ul, UNKNOWN);
    assert_false(place_of(&told, job.id)->booked);
    assert_int_equal(place_of(&told, job.id)->lot_ul, UNKNOWN);
    expect_sums(&told, (struct sums){.received = 2000, .held = 2000});
    /* what is left says how much it was: not where it went */
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", room->flint, "amount_ml", 880, "place", "A01"));
    tell(room, "FL-1", &told);
    expect_sums(&told, (struct sums){.received = 2000, .corrected = -120, .held = 1880});
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_nobody_touched_is_all_there, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(each_drop_is_told_where_it_went, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(of_a_mix_each_lot_has_its_share, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(an_estimate_is_told_as_one, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(unknown_stays_unknown_and_is_the_rest, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(a_job_of_which_nobody_knows_is_unknown, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(a_cartridge_that_came_in_with_nobody_knows_how_much_leaves_the_rest_open,
                                        room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(what_is_told_anew_is_a_difference_of_its_own, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(what_was_undone_was_never_added, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(what_only_may_have_come_there_has_no_amount, room_setup, room_teardown),
    };
    return cmocka_run_group_tests_name("desk/trace_account", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* Cartridge C004217T comes in with 1000000 ul of lot RS24117B, last usable day 20679. */

enum { DAY = 20500 };
#define BEFORE    "{\"before_ul\":1000000,\"lots\":\"1000000:FLINT:RS24117B\"}"
#define SECOND    "C004271F"
#define WASTE_BOX "W0000019"

static struct movement pour(const char *from, const char *to, int64_t amount, int64_t expires, const char *before)
{
    struct movement m = apply_room_movement(MOVEMENT_POUR, from);
    SET(m.other, to);
    SET(m.word, "fill");
    SET(m.detail, before);
    m.amount_ul = amount;
    m.expires = expires;
    m.local_day.number = DAY;
    return m;
}

static const char *mix_of(struct room *room, const char *serial)
{
    struct unit_mix like = {.lots = ""};
    SET(like.unit, serial);
    const struct unit_mix *mix = memory_store_find(room->memory, MEMORY_UNIT_MIXES, &like, NULL);
    return mix ? mix->lots : "none";
}

static void a_first_pour_makes_a_vat_hold_the_lot(void **state)
{
    struct room *room = *state;
    struct movement m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 400000, 20679, BEFORE);
    apply_room_must(room, &m);
    const struct unit *vat = apply_room_unit(room, APPLY_ROOM_VAT);
    assert_string_equal(vat->resin, "FLINT");
    assert_string_equal(vat->lot, "RS24117B");
    assert_int_equal(vat->amount_ul, 400000);
    assert_int_equal(vat->filled, DAY);
    assert_int_equal(vat->first_filled, DAY);
    assert_int_equal(vat->expires, 20679);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), "none");
    const struct unit *cartridge = apply_room_unit(room, APPLY_ROOM_CARTRIDGE);
    assert_int_equal(cartridge->amount_ul, 600000);
    assert_int_equal(cartridge->opened, DAY);
    assert_true(cartridge->first_filled == MOVEMENT_NULL);
}

static void receive_second(struct room *room)
{
    struct movement m = apply_room_receipt(SECOND, "FLINT");
    SET(m.lot, "RS24200A");
    m.expires = 20600;
    m.amount_ul = 500000;
    apply_room_must(room, &m);
}

static void a_second_lot_makes_a_mix_as_old_as_its_oldest_part(void **state)
{
    struct room *room = *state;
    receive_second(room);
    struct movement m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 400000, 20679, BEFORE);
    apply_room_must(room, &m);
    m = pour(SECOND, APPLY_ROOM_VAT, 100000, 20600, "{\"before_ul\":500000,\"lots\":\"500000:FLINT:RS24200A\"}");
    m.local_day.number = DAY + 30;
    SET(m.word, "top-up");
    apply_room_must(room, &m);
    const struct unit *vat = apply_room_unit(room, APPLY_ROOM_VAT);
    assert_string_equal(vat->lot, "");
    assert_int_equal(vat->amount_ul, 500000);
    assert_int_equal(vat->expires, 20600);
    assert_int_equal(vat->first_filled, DAY); /* for life */
    assert_int_equal(vat->filled, DAY + 30);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), "400000:FLINT:RS24117B 100000:FLINT:RS24200A");
    /* and what is used of it is of both */
    m = apply_room_movement(MOVEMENT_USE, APPLY_ROOM_VAT);
    SET(m.job, "job-1");
    SET(m.word, "estimate");
    SET(m.detail, "{\"before_ul\":500000,\"lots\":\"400000:FLINT:RS24117B 100000:FLINT:RS24200A\"}");
    m.amount_ul = 50000;
    apply_room_must(room, &m);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), "360000:FLINT:RS24117B 90000:FLINT:RS24200A");
    assert_true(apply_room_unit(room, APPLY_ROOM_VAT)->estimated);
}

static void what_was_meant_for_another_content_is_a_conflict(void **state)
{
    struct room *room = *state;
    static const char *const details[] = {
        "", "{\"before_ul\":999999,\"lots\":\"1000000:FLINT:RS24117B\"}",
        "{\"before_ul\":1000000,\"lots\":\"1000000:FLINT:RS24117C\"}",
        "{\"before_ul\":1000000,\"estimated\":1,\"lots\":\"1000000:FLINT:RS24117B\"}"};
    for (size_t i = 0; i < sizeof details / sizeof *details; i++) {
        struct movement m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 1, 20679, details[i]);
        assert_false(apply_room_book(room, &m));
        assert_int_equal(room->fault.code, FAULT_CONFLICT);
    }
    struct movement m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 1, 20680, BEFORE);
    assert_false(apply_room_book(room, &m));
    assert_int_equal(room->fault.code, FAULT_CONFLICT);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->amount_ul, 1000000);
}

static void a_pour_that_cannot_be_is_refused(void **state)
{
    struct room *room = *state;
    struct movement m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 1000001, 20679, BEFORE);
    apply_room_must_refuse(room, &m, "more than the 1000.0 ml");
    m = pour(APPLY_ROOM_VAT, APPLY_ROOM_CARTRIDGE, 1, MOVEMENT_NULL, "{\"before_ul\":0}");
    apply_room_must_refuse(room, &m, "it is empty");
    m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_CARTRIDGE, 1, 20679, BEFORE);
    apply_room_must_refuse(room, &m, "into itself");
    m = pour(APPLY_ROOM_CARTRIDGE, "", 1, 20679, BEFORE);
    apply_room_must_refuse(room, &m, "without where it goes");
    m = pour(APPLY_ROOM_CARTRIDGE, "V999999X", 1, 20679, BEFORE);
    apply_room_must_refuse(room, &m, "is not known");
    m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 1, 20679, BEFORE);
    SET(m.word, "splash");
    apply_room_must_refuse(room, &m, "'splash'");
}

static void a_vat_is_clean_when_it_is_empty_and_cleaned(void **state)
{
    struct room *room = *state;
    struct movement m = pour(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT, 400000, 20679, BEFORE);
    apply_room_must(room, &m);
    struct movement clean = apply_room_movement(MOVEMENT_CLEAN, APPLY_ROOM_VAT);
    SET(clean.detail, "{\"before_ul\":400000,\"lots\":\"400000:FLINT:RS24117B\"}");
    apply_room_must_refuse(room, &clean, "say first where they went");
    m = apply_room_movement(MOVEMENT_WASTE, APPLY_ROOM_VAT);
    SET(m.word, "cured-bits");
    SET(m.detail, clean.detail);
    m.amount_ul = 400000;
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->lot, "RS24117B"); /* still wet with it */
    SET(clean.detail, "{\"before_ul\":0,\"lots\":\"0:FLINT:RS24117B\"}");
    apply_room_must(room, &clean);
    const struct unit *vat = apply_room_unit(room, APPLY_ROOM_VAT);
    assert_string_equal(vat->resin, "");
    assert_string_equal(vat->lot, "");
    assert_int_equal(vat->amount_ul, 0);
    assert_true(vat->filled == MOVEMENT_NULL && vat->expires == MOVEMENT_NULL);
    assert_int_equal(vat->first_filled, DAY);
}

static void waste_fills_its_box(void **state)
{
    struct room *room = *state;
    struct movement m;
    movement_init(&m, MOVEMENT_ITEM_ENTRY);
    SET(m.item, "BOX");
    SET(m.detail, "{\"letter\":\"W\"}");
    apply_room_must(room, &m);
    m = apply_room_receipt(WASTE_BOX, "BOX");
    m.amount_ul = 5000;
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_WASTE, APPLY_ROOM_CARTRIDGE);
    SET(m.word, "expired");
    SET(m.detail, BEFORE);
    SET(m.other, APPLY_ROOM_VAT);
    m.amount_ul = 1000000;
    apply_room_must_refuse(room, &m, "no waste container");
    SET(m.other, WASTE_BOX);
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, WASTE_BOX)->amount_ul, 1005000);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->amount_ul, 0);
}

static void a_weighing_says_what_is_there_and_keeps_the_tare(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_WEIGHING, APPLY_ROOM_CARTRIDGE);
    SET(m.detail, "{\"before_ul\":1000000,\"gross_dg\":11500,\"lots\":\"1000000:FLINT:RS24117B\",\"tare_dg\":1500}");
    apply_room_must_refuse(room, &m, "weigh it again");
    m.amount_ul = 905000;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->amount_ul, 905000);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->tare_dg, 1500);
    m = apply_room_movement(MOVEMENT_WEIGHING, APPLY_ROOM_VAT);
    SET(m.detail, "{\"before_ul\":0}");
    m.amount_ul = 1;
    apply_room_must_refuse(room, &m, "say what was filled into it first");
}

/* What older kinds of movements say of an amount counts for the mix too. */
static void a_check_in_and_a_fill_by_hand_change_the_mix(void **state)
{
    struct room *room = *state;
    a_second_lot_makes_a_mix_as_old_as_its_oldest_part(state);
    struct movement m = apply_room_movement(MOVEMENT_CHECK_OUT, APPLY_ROOM_VAT);
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_CHECK_IN, APPLY_ROOM_VAT);
    SET(m.place, "A1");
    m.amount_ul = 225000;
    apply_room_must(room, &m);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), "180000:FLINT:RS24117B 45000:FLINT:RS24200A");
    assert_false(apply_room_unit(room, APPLY_ROOM_VAT)->estimated);
    m = apply_room_movement(MOVEMENT_FILL, APPLY_ROOM_VAT);
    SET(m.item, "FLINT");
    SET(m.lot, "RS24300C");
    m.amount_ul = 300000;
    apply_room_must(room, &m);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), "");
}

static void a_correction_brings_a_mix_back_and_takes_it_away(void **state)
{
    struct room *room = *state;
    const struct unit_state before = {.unit = *apply_room_unit(room, APPLY_ROOM_VAT), .mix = ""};
    a_second_lot_makes_a_mix_as_old_as_its_oldest_part(state);
    struct unit_state mixed = {.unit = *apply_room_unit(room, APPLY_ROOM_VAT)};
    SET(mixed.mix, mix_of(room, APPLY_ROOM_VAT));
    struct movement m;
    assert_true(apply_write_correction(&before, 1, &m, &room->fault));
    apply_room_must(room, &m);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), "");
    assert_true(apply_room_unit(room, APPLY_ROOM_VAT)->first_filled == MOVEMENT_NULL);
    assert_true(apply_write_correction(&mixed, 1, &m, &room->fault));
    apply_room_must(room, &m);
    assert_string_equal(mix_of(room, APPLY_ROOM_VAT), mixed.mix);
    mixed.unit.version = room->seq;
    apply_room_assert_same(apply_room_unit(room, APPLY_ROOM_VAT), &mixed.unit);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_first_pour_makes_a_vat_hold_the_lot),
        IN_ROOM(a_second_lot_makes_a_mix_as_old_as_its_oldest_part),
        IN_ROOM(what_was_meant_for_another_content_is_a_conflict),
        IN_ROOM(a_pour_that_cannot_be_is_refused),
        IN_ROOM(a_vat_is_clean_when_it_is_empty_and_cleaned),
        IN_ROOM(waste_fills_its_box),
        IN_ROOM(a_weighing_says_what_is_there_and_keeps_the_tare),
        IN_ROOM(a_check_in_and_a_fill_by_hand_change_the_mix),
        IN_ROOM(a_correction_brings_a_mix_back_and_takes_it_away),
    };
    return cmocka_run_group_tests_name("ledger/apply_pour", tests, NULL, NULL);
}

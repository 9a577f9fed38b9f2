#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Several codes of one carton, an outer carton and its packs. EAN-13 as ]E0, GS1-128 as ]C1, GS1 Data Matrix as ]d2:
 * ISO/IEC 15424; identifiers 00 02 37, 01, 10, 17, 21: GS1 General Specifications. How a desk counts: common practice,
 * no source. Flint's GTIN is 09506000135007 in this room. */

#define FLINT "(01)09506000135007"

static int64_t quantity(const struct room *room)
{
    return json_integer_value(json_object_get(json_object_get(room->view, "proposal"), "quantity"));
}

static const char *said(const struct room *room, const char *key)
{
    const char *value = json_string_value(json_object_get(json_object_get(room->view, "proposal"), key));
    return value ? value : "(null)";
}

static void scan_code(struct room *room, const char *bytes, const char *symbology)
{
    (void)room_scan_bytes(room, bytes, strlen(bytes), symbology);
}

static void an_ean_and_a_lot_code_make_one_receipt(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_code(room, "9506000135007", "]E0");
    room_expect(room, "ask", "receipt", "Receive 1 × Flint cartridge?"); /* resin without a date */
    scan_code(room,
              "17270215"
              "10FL-77",
              "]C1");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
    assert_string_equal(said(room, "expires"), "2027-02-15");
    room_expect_no_reason(room, "doubtful-scan"); /* the lot has its item now */
    for (int i = 0; i < 2; i++) {                 /* the next pack */
        scan_code(room,
                  "17270215"
                  "10FL-77",
                  "]C1");
        scan_code(room, "9506000135007", "]E0");
    }
    room_expect(room, "go", "receipt", "Receive 3 × Flint cartridge, lot FL-77?");
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 3 ×");
    room_expect_booked(room, true);
    scan_code(room, "9506000135007", "]E0"); /* which pack is in the hand? both its codes say it */
    scan_code(room,
              "17270215"
              "10FL-77",
              "]C1");
    room_expect(room, "go", "proof", "Lot FL-77: 3 labels to prove");
}

static void the_lot_code_may_come_first(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_code(room,
              "17270215"
              "10FL-77",
              "]C1");
    room_expect(room, "ask", "receipt", "Lot FL-77, but of which item?");
    room_expect_reason(room, "doubtful-scan", "scan the other code on the label too");
    (void)room_scan(room, room->tobias); /* a badge between them loses nothing */
    scan_code(room, "9506000135007", "]E0");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
}

static void a_restart_between_two_codes_loses_nothing(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_code(room, "9506000135007", "]E0");
    room_restart(room);
    (void)room_scan(room, room->maren);
    scan_code(room,
              "17270215"
              "10FL-77",
              "]C1");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
}

static void what_contradicts_stops_with_both_values_and_their_codes(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_code(room,
              "0109506000135007"
              "17270215"
              "10FL-77",
              "]d2");
    scan_code(room,
              "17270301"
              "10FL-78",
              "]C1");
    room_expect(room, "stop", "receipt", "contradicts");
    room_expect_reason(room, "codes-differ", "lot: FL-77 (code 1, GS1 Data Matrix), but FL-78 (code 2, GS1-128 code).");
    assert_int_equal(json_array_size(json_object_get(room->view, "reasons")), 2);
    assert_string_equal(said(room, "lot"), "FL-77");
    (void)room_press(room, "YES");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
    room_expect_booked(room, false);
    scan_code(room,
              "0109506000135021"
              "17270215"
              "10FL-77",
              "]d2"); /* another item */
    room_expect(room, "stop", "receipt", "contradicts");
    room_expect_reason(room, "codes-differ", "item: 09506000135007 (FLINT)");
    (void)room_press(room, "OTHER");
    room_expect_booked(room, false);
    assert_string_equal(said(room, "lot"), "FL-77");
    assert_true(strcmp(said(room, "item"), "FLINT") != 0);
}

static void another_scan_lets_the_question_go(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
    (void)room_scan(room, FLINT "(10)FL-78(17)270215");
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
    room_expect(room, "go", "receipt", "Receive 2 ×");
    (void)room_press(room, "OTHER");
    room_expect(room, NULL, "receipt", "OTHER says nothing here");
    room_expect_booked(room, false);
}

static void the_packs_of_an_outer_carton_are_part_of_it(void **state)
{
    struct room *room = *state;
    char pack[64];
    room_open_delivery(room);
    (void)room_scan(room, "(00)095060001343520017(02)09506000135007(37)4(10)FL-77(17)270215");
    room_expect(room, "go", "receipt", "Receive 4 × Flint cartridge, lot FL-77?");
    (void)room_scan(room, FLINT "(10)FL-77(17)270215(21)A1");
    room_expect(room, "ask", "receipt", "part of the 4");
    room_expect_reason(room, "part-of-carton", "");
    room_expect_key(room, "OTHER", true);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    room_expect(room, "go", "receipt", "Receive 4 × Flint cartridge, lot FL-77? 1 of 4 scanned.");
    (void)room_scan(room, FLINT "(10)FL-77(17)270215(21)A1");
    room_expect(room, "go", "receipt", "The same pack again (serial A1): not counted twice.");
    for (int i = 2; i <= 4; i++) {
        (void)snprintf(pack, sizeof pack, FLINT "(10)FL-77(17)270215(21)A%d", i);
        (void)room_scan(room, pack);
        (void)snprintf(pack, sizeof pack, "%d of 4 scanned.", i);
        room_expect(room, "go", "receipt", pack);
    }
    (void)room_scan(room, FLINT "(10)FL-77(17)270215(21)A5");
    room_expect(room, "ask", "receipt", "4 packs of it were scanned: is this one more?");
    (void)room_press(room, "YES");
    assert_int_equal(quantity(room), 5);
    (void)room_scan(room, FLINT "(10)FL-77(17)270215(21)A6");
    (void)room_press(room, "OTHER"); /* leave it out */
    assert_int_equal(quantity(room), 5);
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 5 ×");
}

static bool note_unproved(const struct unit *unit, void *context)
{
    if (!unit->labelled)
        (void)snprintf(context, SERIAL_SIZE, "%s", unit->serial);
    return unit->labelled;
}

/* Sticks a label of the lot on and scans it. */
static void prove_one(struct room *room)
{
    char serial[SERIAL_SIZE] = "";
    assert_true(unit_each_of_lot(room->reader, "FLINT", "FL-77", "", INT64_MAX, note_unproved, serial, NULL));
    (void)room_scan(room, serial);
    room_expect(room, "go", "proof", "is proved");
}

static void packs_scanned_after_the_carton_was_booked_are_counted_too(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(00)095060001343520017(02)09506000135007(37)2(10)FL-77(17)270215");
    (void)room_press(room, "YES");
    for (int i = 1; i <= 2; i++) {
        char says[40];
        (void)room_scan(room, FLINT "(10)FL-77(17)270215");
        (void)snprintf(says, sizeof says, "Lot FL-77: pack %d of 2.", i);
        room_expect(room, "go", "proof", says);
        prove_one(room);
    }
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
    room_expect(room, "ask", "receipt", "Receive 1 ×");
    room_expect_reason(room, "part-of-carton", "was received with 2 of these, and all have their label");
}

static void a_pack_beside_the_carton_is_added(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, FLINT "(10)FL-77(17)270215(30)4");
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
    (void)room_press(room, "OTHER");
    assert_int_equal(quantity(room), 5);
}

/* All codes of a carton in one photograph: one act, nothing counted twice. */
static void scan_photograph(struct room *room, const char *first, const char *second, const char *third)
{
    char one[160], two[160], three[160];
    text_write_hex((const uint8_t *)first, strlen(first), one, sizeof one);
    text_write_hex((const uint8_t *)second, strlen(second), two, sizeof two);
    text_write_hex((const uint8_t *)third, strlen(third), three, sizeof three);
    (void)room_act(room, "scan",
                   json_pack("{s:s,s:s,s:s,s:[{s:s,s:s},{s:s,s:s}]}", "bytes", one, "symbology", "]E0", "source",
                             "picture", "more", "bytes", two, "symbology", "]C1", "bytes", three, "symbology", "]E0"));
}

static void one_photograph_of_a_carton_is_one_receipt(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_photograph(room, "9506000135007", "1727021510FL-77", "9506000135007");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
    scan_photograph(room, "9506000135007", "1727021510FL-78", "9506000135007");
    room_expect(room, "stop", "receipt", "contradicts");
    room_refuses(room, "scan",
                 json_pack("{s:s,s:s,s:[{s:s}]}", "text", FLINT, "source", "picture", "more", "text", "A01"),
                 FAULT_INPUT, "no maker's code");
    room_refuses(room, "scan", json_pack("{s:s,s:s,s:s}", "text", FLINT, "source", "picture", "more", "A01"),
                 FAULT_INPUT, "'more' is a list");
}

static json_t *typed(struct room *room, const char *lot, bool sure)
{
    json_t *content =
        json_pack("{s:O,s:s,s:s,s:i}", "delivery", json_object_get(json_object_get(room->view, "delivery"), "id"),
                  "item", "FLINT", "lot", lot, "quantity", 1);
    if (sure)
        json_object_set_new(content, "lot_sure", json_true());
    json_object_set_new(content, "expires", room_day(room, 300));
    return content;
}

static void a_typed_lot_that_is_spelt_almost_like_one_in_stock_is_asked_about(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_act(room, "receive", typed(room, "L24117", false));
    room_expect_booked(room, true);
    static const char *const alike[] = {"L 24117", "L-24117", "L24171", "L2411", "1.24117", "l 24117"};
    for (size_t i = 0; i < sizeof alike / sizeof *alike; i++) {
        (void)room_act(room, "receive", typed(room, alike[i], false));
        room_expect_booked(room, false);
        const json_t *ask = json_object_get(room->view, "ask"), *lots = json_object_get(ask, "lots");
        assert_string_equal(json_string_value(json_object_get(ask, "typed")), alike[i]);
        assert_int_equal(json_array_size(lots), 1);
        assert_string_equal(json_string_value(json_object_get(json_array_get(lots, 0), "lot")), "L24117");
        assert_int_equal(json_integer_value(json_object_get(json_array_get(lots, 0), "units")), 1);
    }
    (void)room_act(room, "receive", typed(room, "L24171", true)); /* another lot */
    room_expect_booked(room, true);
    (void)room_act(room, "receive", typed(room, "l24117", false)); /* capitals alone: the same lot */
    room_expect_booked(room, true);
    assert_null(json_object_get(room->view, "ask"));
    (void)room_act(room, "receive", typed(room, "L24118", false)); /* the maker's next lot is no slip */
    room_expect_booked(room, true);
    room_refuses(room, "receive", typed(room, "L 24117", true), FAULT_INPUT, "'lot' may hold only");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_ean_and_a_lot_code_make_one_receipt),
        IN_ROOM(the_lot_code_may_come_first),
        IN_ROOM(a_restart_between_two_codes_loses_nothing),
        IN_ROOM(what_contradicts_stops_with_both_values_and_their_codes),
        IN_ROOM(another_scan_lets_the_question_go),
        IN_ROOM(the_packs_of_an_outer_carton_are_part_of_it),
        IN_ROOM(packs_scanned_after_the_carton_was_booked_are_counted_too),
        IN_ROOM(a_pack_beside_the_carton_is_added),
        IN_ROOM(one_photograph_of_a_carton_is_one_receipt),
        IN_ROOM(a_typed_lot_that_is_spelt_almost_like_one_in_stock_is_asked_about),
    };
    return cmocka_run_group_tests_name("desk/receive_carton", tests, room_group_setup, room_group_teardown);
}

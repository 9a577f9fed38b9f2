#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* A photograph of a carton while no delivery is open. EAN-13 as ]E0, GS1-128 as ]C1: ISO/IEC 15424; identifiers 01, 10,
 * 17, 30: GS1 General Specifications, which judge a lot without its item over all codes on a thing. That the question
 * comes after the codes were combined: common practice, no source. Flint's GTIN is 09506000135007 in this room, Oak's
 * 09506000135014; of Flint's lot FL-1 two units stand in stock. */

#define EAN    "9506000135007"
#define LOT_77 "1727021510FL-77"

/* All codes that the picture holds, in the order the reader found them: digits alone are an EAN. */
static void photograph(struct room *room, const char *const codes[], size_t count)
{
    json_t *content = json_object(), *more = json_array();
    for (size_t i = 0; i < count; i++) {
        char hex[160];
        text_write_hex((const uint8_t *)codes[i], strlen(codes[i]), hex, sizeof hex);
        json_t *code = json_pack("{s:s,s:s}", "bytes", hex, "symbology", strlen(codes[i]) == 13 ? "]E0" : "]C1");
        if (i == 0)
            json_object_update(content, code);
        else
            json_array_append(more, code);
        json_decref(code);
    }
    json_object_set_new(content, "more", more);
    json_object_set_new(content, "source", json_string("picture"));
    (void)room_act(room, "scan", content);
}
#define PHOTOGRAPH(room, ...)                                                                                          \
    photograph(room, (const char *const[]){__VA_ARGS__},                                                               \
               sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))

static void all_codes_of_a_photograph_are_one_receipt_once_a_delivery_is_said(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    PHOTOGRAPH(room, EAN, LOT_77, EAN);
    room_expect(room, "ask", "idle", "Nothing of this lot is in stock: is it a new delivery?");
    room_expect_key(room, "DELIVERY", true);
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, true); /* the delivery */
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
    const json_t *proposal = json_object_get(room->view, "proposal");
    assert_string_equal(json_string_value(json_object_get(proposal, "expires")), "2027-02-15");
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 1 ×");
    assert_int_equal(room_movements(room, MOVEMENT_DELIVERY_OPEN), 1);
    assert_int_equal(room_movements(room, MOVEMENT_RECEIPT), 1);
}

static void a_code_without_its_item_may_come_first_and_the_badge_later(void **state)
{
    struct room *room = *state;
    PHOTOGRAPH(room, LOT_77, EAN);
    room_expect(room, "ask", "idle", "is it a new delivery?");
    room_expect_no_reason(room, "doubtful-scan"); /* another code names the item */
    (void)room_press(room, "YES");
    room_expect(room, "ask", "idle", "Scan your badge");
    room_expect_booked(room, false);
    room_restart(room);
    (void)room_scan(room, room->maren);
    (void)room_press(room, "DELIVERY");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
}

static void codes_that_together_name_no_item_are_none_to_receive(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    PHOTOGRAPH(room, "10FL-77", "17270215");
    room_expect(room, "stop", "idle", "names no item");
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
}

static void codes_of_a_lot_in_stock_ask_for_our_label(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    PHOTOGRAPH(room, EAN, "10FL-1"); /* the EAN alone says no lot */
    room_expect(room, "ask", "idle", "stands on 2 units in stock: scan our label");
    room_expect_key(room, "DELIVERY", true); /* unless it is one more of the lot */
    (void)room_press(room, "YES");           /* answers no such question */
    room_expect_booked(room, false);
    PHOTOGRAPH(room, EAN, "10FL-1");
    (void)room_press(room, "DELIVERY");
    room_expect(room, "ask", "receipt", "Receive 1 × Flint cartridge, lot FL-1?"); /* without a date */
}

static void codes_that_contradict_stop_with_both_values_and_propose_nothing(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    PHOTOGRAPH(room, EAN, LOT_77, "1727030110FL-78");
    room_expect(room, "stop", "idle", "contradict each other: nothing is proposed");
    room_expect_reason(room, "codes-differ", "lot: FL-77 (code 2, GS1-128 code), but FL-78 (code 3, GS1-128 code).");
    assert_int_equal(json_array_size(json_object_get(room->view, "reasons")), 2);
    room_expect_key(room, "DELIVERY", false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    (void)room_press(room, "DELIVERY");
    room_expect(room, "go", "idle", "A delivery is open: scan"); /* none of them is proposed */
    assert_true(json_is_null(json_object_get(room->view, "proposal")));
}

static void a_contradiction_lets_go_what_was_proposed_before(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    PHOTOGRAPH(room, EAN, LOT_77);
    PHOTOGRAPH(room, EAN, "9506000135014");
    room_expect_reason(room, "codes-differ", "item: 09506000135007 (FLINT)");
    (void)room_press(room, "DELIVERY");
    assert_true(json_is_null(json_object_get(room->view, "proposal")));
}

static void the_question_about_a_pack_of_the_carton_waits_for_the_delivery(void **state)
{
    struct room *room = *state;
    PHOTOGRAPH(room, "0109506000135007304", EAN, LOT_77);
    room_expect(room, "ask", "idle", "is it a new delivery?");
    room_restart(room);
    (void)room_scan(room, room->maren);
    (void)room_press(room, "DELIVERY");
    room_expect(room, "ask", "receipt", "Is this pack part of the 4");
    (void)room_press(room, "YES");
    room_expect(room, "go", "receipt", "Receive 4 × Flint cartridge, lot FL-77? 1 of 4 scanned.");
}

static void what_contradicts_behind_a_question_is_shown(void **state)
{
    struct room *room = *state;
    PHOTOGRAPH(room, "0109506000135007304\x1d" LOT_77, EAN, "10FL-78");
    room_expect(room, "stop", "idle", "contradict each other");
    room_open_delivery(room);
    PHOTOGRAPH(room, "0109506000135007304\x1d" LOT_77, EAN, "10FL-78");
    room_expect(room, "stop", "receipt", "contradicts");
    room_expect_reason(room, "codes-differ", "lot: FL-77 (code 1, GS1-128 code), but FL-78");
}

static void a_photograph_leaves_what_is_being_taken_out_alone(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    (void)room_scan(room, room->flint);
    PHOTOGRAPH(room, EAN, LOT_77);
    room_expect(room, "ask", "check-out", "is it a new delivery?");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 1);
    PHOTOGRAPH(room, LOT_77, "10FL-78");
    room_expect(room, "stop", "check-out", "contradict each other");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 1);
    room_expect_booked(room, false);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(all_codes_of_a_photograph_are_one_receipt_once_a_delivery_is_said),
        IN_ROOM(a_code_without_its_item_may_come_first_and_the_badge_later),
        IN_ROOM(codes_that_together_name_no_item_are_none_to_receive),
        IN_ROOM(codes_of_a_lot_in_stock_ask_for_our_label),
        IN_ROOM(codes_that_contradict_stop_with_both_values_and_propose_nothing),
        IN_ROOM(a_contradiction_lets_go_what_was_proposed_before),
        IN_ROOM(the_question_about_a_pack_of_the_carton_waits_for_the_delivery),
        IN_ROOM(what_contradicts_behind_a_question_is_shown),
        IN_ROOM(a_photograph_leaves_what_is_being_taken_out_alone),
    };
    return cmocka_run_group_tests_name("desk/receive_unopened", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What waits for the label printer and what a person does about it. The rules are those of the shop (common practice,
 * no source): what one act orders is a batch, a batch can be stopped, part of it can be had again, who is in a hurry
 * goes to the front, and so many labels that it may be a slip are asked about first. */

enum { MOST = 300 };

struct lot {
    char serials[MOST][SERIAL_SIZE];
    size_t count;
    char batch[ACT_ID_SIZE]; /* the act that received it */
};

static bool collect(const struct unit *unit, void *context)
{
    struct lot *lot = context;
    assert_true(lot->count < MOST);
    (void)snprintf(lot->serials[lot->count++], SERIAL_SIZE, "%s", unit->serial);
    return true;
}

static struct lot receive(struct room *room, const char *name, int quantity)
{
    struct lot lot = {.count = 0};
    char code[80];
    (void)snprintf(code, sizeof code, "(01)09506000135007(17)270215(10)%s", name);
    (void)room_scan(room, code);
    (void)room_press_quantity(room, "YES", quantity);
    (void)snprintf(lot.batch, sizeof lot.batch, "%s", room->act);
    assert_true(unit_each_of_lot(room->reader, "FLINT", name, "", INT64_MAX, collect, &lot, NULL));
    assert_int_equal(lot.count, quantity);
    return lot;
}

static void mark(struct room *room, const char *unit, int number, const char *state)
{
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "unit", unit, "number", number, "state", state));
}

static enum print_state state_of(struct room *room, const char *serial, int number)
{
    return room_print(room, serial, "", number).state;
}

struct first {
    char units[4][SERIAL_SIZE];
    size_t count;
};

static bool note_first(const struct print *print, void *context)
{
    struct first *first = context;
    if (print->unit[0] != 'C') /* the room's badges wait as well */
        return true;
    (void)snprintf(first->units[first->count++], SERIAL_SIZE, "%s", print->unit);
    return first->count < 4;
}

static void assert_next(struct room *room, const char *one, const char *two)
{
    struct first first = {.count = 0};
    assert_true(print_each_in_state(room->reader, PRINT_WAITING, INT64_MAX, note_first, &first, NULL));
    assert_string_equal(first.units[0], one);
    assert_string_equal(first.units[1], two);
}

static void a_batch_is_stopped_and_undo_lets_it_wait_again_at_its_turn(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 4);
    mark(room, lot.serials[0], 1, "sent");
    mark(room, lot.serials[0], 1, "printed");
    const int64_t rank = room_print(room, lot.serials[3], "", 1).rank;
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "batch", lot.batch));
    room_expect(room, "go", "proof", "Withdrawn: 3, of labels 1 to 4 of 4");
    assert_int_equal(state_of(room, lot.serials[0], 1), PRINT_PRINTED); /* that one is on paper */
    for (size_t i = 1; i < lot.count; i++)
        assert_int_equal(state_of(room, lot.serials[i], 1), PRINT_WITHDRAWN);
    assert_int_equal(room_unit(room, lot.serials[3]).status, UNIT_IN); /* the things stay */
    room_expect_undo(room, "withdrawal of the label of 3 things");
    (void)room_press(room, "UNDO");
    assert_int_equal(state_of(room, lot.serials[3], 1), PRINT_WAITING);
    assert_int_equal(room_print(room, lot.serials[3], "", 1).rank, rank);
    assert_int_equal(state_of(room, lot.serials[0], 1), PRINT_PRINTED);
}

static void a_range_of_a_batch_is_withdrawn_and_had_again(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 5);
    (void)room_act(room, "print-withdraw", json_pack("{s:s,s:i,s:i}", "batch", lot.batch, "from", 2, "to", 3));
    room_expect(room, "go", "proof", "Withdrawn: 2, of labels 2 to 3 of 5");
    assert_int_equal(state_of(room, lot.serials[0], 1), PRINT_WAITING);
    assert_int_equal(state_of(room, lot.serials[1], 1), PRINT_WITHDRAWN);
    assert_int_equal(state_of(room, lot.serials[2], 1), PRINT_WITHDRAWN);
    assert_int_equal(state_of(room, lot.serials[3], 1), PRINT_WAITING);
    (void)room_act(room, "reprint", json_pack("{s:s,s:i,s:i}", "batch", lot.batch, "from", 3, "to", 99));
    room_expect(room, "go", "proof", "Of labels 3 to 5 of 5 1 is printed anew"); /* the last two wait already */
    assert_int_equal(state_of(room, lot.serials[2], 2), PRINT_WAITING);
    assert_string_equal(room_print(room, lot.serials[2], "", 2).batch, room->act); /* a batch of its own */
    (void)room_scan(room, lot.serials[1]); /* withdrawn, and out all the same: what is scanned is there */
    assert_int_equal(state_of(room, lot.serials[1], 1), PRINT_PROVED);
    assert_true(room_unit(room, lot.serials[1]).labelled);
}

static void who_is_in_a_hurry_goes_to_the_front_in_order_and_undo_puts_it_back(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot one = receive(room, "FL-77", 3), two = receive(room, "FL-78", 2);
    assert_next(room, one.serials[0], one.serials[1]);
    (void)room_act(room, "print-move", json_pack("{s:s}", "batch", two.batch));
    room_expect(room, "go", "proof", "the 2 that wait are printed next");
    assert_next(room, two.serials[0], two.serials[1]);
    (void)room_act(room, "print-move", json_pack("{s:s}", "unit", one.serials[2]));
    room_expect(room, "go", "proof", "so it is printed next: label 1 of C");
    assert_next(room, one.serials[2], two.serials[0]);
    room_restart(room); /* the order is no memory of the kiosk's */
    assert_next(room, one.serials[2], two.serials[0]);
    room_expect_undo(room, "moving to the front of the label of C");
    (void)room_press(room, "UNDO");
    assert_next(room, two.serials[0], two.serials[1]);
    (void)room_press(room, "UNDO");
    assert_next(room, one.serials[0], one.serials[1]);
    assert_int_equal(room_print(room, two.serials[0], "", 1).rank, room_print(room, two.serials[0], "", 1).ordered_seq);
}

static void a_label_that_the_printer_has_is_cancelled_there_and_withdrawn_by_its_word(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 2);
    mark(room, lot.serials[0], 1, "sent");
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "unit", lot.serials[0]));
    room_expect(room, "go", "proof", "The printer is told to drop label 1 of C");
    assert_int_equal(room_movements(room, MOVEMENT_PRINT_TELL), 1);
    assert_int_equal(state_of(room, lot.serials[0], 1), PRINT_SENT); /* it may be too late */
    mark(room, lot.serials[0], 1, "withdrawn");
    assert_int_equal(state_of(room, lot.serials[0], 1), PRINT_WITHDRAWN);
    room_refuses(room, "print-withdraw", json_pack("{s:s}", "unit", lot.serials[0]), FAULT_REFUSED,
                 "is withdrawn: there is nothing to withdraw");
    (void)room_act(room, "print-go", json_object());
    room_expect(room, "go", "proof", "told to go on");
    assert_int_equal(room_movements(room, MOVEMENT_PRINT_TELL), 2);
}

static void a_failed_reprint_that_nobody_wants_is_put_away_and_back(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "reprint", json_pack("{s:s}", "unit", room->flint));
    mark(room, room->flint, 2, "sent");
    mark(room, room->flint, 2, "failed");
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "unit", room->flint));
    assert_int_equal(state_of(room, room->flint, 2), PRINT_WITHDRAWN);
    assert_true(room_unit(room, room->flint).labelled); /* the old label counts */
    (void)room_press(room, "UNDO");
    assert_int_equal(state_of(room, room->flint, 2), PRINT_FAILED);
}

static void a_reprint_answers_whether_the_label_came_out(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 1);
    mark(room, lot.serials[0], 1, "sent");
    mark(room, lot.serials[0], 1, "unknown");
    assert_true(room_question(room, "label-unknown") > 0);
    (void)room_act(room, "reprint", json_pack("{s:s}", "unit", lot.serials[0]));
    assert_int_equal(room_question(room, NULL), 0);
    mark(room, lot.serials[0], 2, "sent");
    (void)room_scan(room, lot.serials[0]);
    assert_int_equal(state_of(room, lot.serials[0], 2), PRINT_PROVED);
}

static void a_place_gets_another_label_too(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s,s:b}", "code", "C09", "kind", "shelf", "label", 1));
    room_refuses(room, "reprint", json_pack("{s:s}", "place", "C09"), FAULT_REFUSED, "waits for the label printer");
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "place", "C09"));
    (void)room_act(room, "reprint", json_pack("{s:s}", "place", "C09"));
    assert_int_equal(room_print(room, "", "C09", 1).state, PRINT_WITHDRAWN);
    assert_int_equal(room_print(room, "", "C09", 2).state, PRINT_WAITING);
}

static void many_labels_are_asked_about_before_anything_is_booked(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_press_quantity(room, "YES", 10000);
    room_expect(room, "ask", "receipt", "that is 10000 labels. Are so many meant?");
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
    (void)room_press(room, "NO");
    assert_int_equal(room_movements(room, MOVEMENT_RECEIPT), 0);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_press_quantity(room, "YES", 201);
    room_expect(room, "ask", "receipt", "that is 201 labels");
    (void)room_press_quantity(room, "YES", 202); /* another number is another question */
    room_expect(room, "ask", "receipt", "that is 202 labels");
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 202 ×");
    assert_int_equal(room_movements(room, MOVEMENT_RECEIPT), 202);
    (void)room_press(room, "UNDO"); /* all of it, in one */
    room_expect(room, "go", "idle", "receipt of 202 things");
    assert_int_equal(room_movements(room, MOVEMENT_CORRECTION), 202);
}

static void a_typed_receipt_of_many_asks_as_well_and_keeps_its_hold(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const char *delivery = json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id"));
    char id[DELIVERY_SIZE];
    (void)snprintf(id, sizeof id, "%s", delivery);
    (void)room_act(room, "receive",
                   json_pack("{s:s,s:s,s:s,s:o,s:i,s:s}", "delivery", id, "item", "FLINT", "lot", "FL-80", "expires",
                             room_day(room, 300), "quantity", 250, "hold", "to-inspect"));
    room_expect(room, "ask", "receipt", "that is 250 labels");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 250 × Flint cartridge, on hold: to-inspect");
    (void)room_act(room, "receive",
                   json_pack("{s:s,s:s,s:s,s:o,s:i,s:b}", "delivery", id, "item", "FLINT", "lot", "FL-81", "expires",
                             room_day(room, 300), "quantity", 201, "confirm", 1));
    room_expect(room, "go", "proof", "Received 201 ×");
}

static void the_makers_code_is_asked_for_while_labels_of_several_lots_wait(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot one = receive(room, "FL-77", 1);
    const struct lot two = receive(room, "FL-78", 2);
    room_expect(room, "go", "proof", "Several lots came: scan the maker's code on the thing first");
    (void)room_scan(room, one.serials[0]);
    room_expect_reason(room, "prove-first", one.serials[0]);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_scan(room, one.serials[0]);
    assert_true(room_unit(room, one.serials[0]).labelled);
    (void)room_scan(room, two.serials[0]); /* only its own lot waits still: nothing to swap it with */
    room_expect(room, "go", "proof", "is proved");
}

static void a_label_on_another_item_stops_and_names_both(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot flint = receive(room, "FL-77", 1);
    const char *delivery = json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id"));
    char id[DELIVERY_SIZE];
    (void)snprintf(id, sizeof id, "%s", delivery);
    (void)room_act(room, "receive",
                   json_pack("{s:s,s:s,s:s,s:o,s:i}", "delivery", id, "item", "OAK", "lot", "OK-9", "expires",
                             room_day(room, 300), "quantity", 1));
    struct lot oak = {.count = 0};
    assert_true(unit_each_of_lot(room->reader, "OAK", "OK-9", "", 1, collect, &oak, NULL));
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77"); /* the cartridge in the hand is Flint */
    (void)room_scan(room, oak.serials[0]);
    room_expect(room, "stop", "proof", "is for OAK lot OK-9, but the thing in your hand says FLINT lot FL-77");
    assert_false(room_unit(room, oak.serials[0]).labelled);
    (void)room_scan(room, flint.serials[0]);
    assert_true(room_unit(room, flint.serials[0]).labelled);
}

static void what_cannot_be_is_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *kind, *content;
        enum fault_code code;
        const char *says;
    } cases[] = {
        {"print-move", "{}", FAULT_INPUT, "say one of 'unit', 'place' and 'batch'"},
        {"print-move", "{\"unit\":\"C1\",\"batch\":\"x\"}", FAULT_INPUT, "say one of"},
        {"print-move", "{\"unit\":\"C1\",\"from\":2}", FAULT_INPUT, "are of a batch"},
        {"print-move", "{\"unit\":\"C1\"}", FAULT_MISSING, "no label of 'C1'"},
        {"print-withdraw", "{\"batch\":\"no-such-act\"}", FAULT_MISSING, "batch 'no-such-act' is not known"},
        {"print-withdraw", "{\"batch\":\"x\",\"from\":3,\"to\":2}", FAULT_INPUT, "the smaller comes first"},
        {"print-withdraw", "{\"batch\":\"x\",\"from\":0}", FAULT_INPUT, "'from' is not a whole number"},
        {"print-withdraw", "{\"place\":\"Z99\"}", FAULT_MISSING, "no label of 'Z99'"},
        {"print-go", "{\"printer\":\"x\"}", FAULT_INPUT, "'printer' is not known here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        room_refuses(room, cases[i].kind, json_loads(cases[i].content, 0, NULL), cases[i].code, cases[i].says);
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 2);
    room_refuses(room, "print-withdraw", json_pack("{s:s,s:i}", "batch", lot.batch, "from", 3), FAULT_INPUT,
                 "the batch has 2 labels, so none from 3 on");
    room_refuses(room, "print-move", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, "none waits any more");
    room_refuses(room, "print-withdraw", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED,
                 "is proved: there is nothing to withdraw");
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "batch", lot.batch));
    room_refuses(room, "print-withdraw", json_pack("{s:s}", "batch", lot.batch), FAULT_REFUSED, "none waits any more");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_batch_is_stopped_and_undo_lets_it_wait_again_at_its_turn),
        IN_ROOM(a_range_of_a_batch_is_withdrawn_and_had_again),
        IN_ROOM(who_is_in_a_hurry_goes_to_the_front_in_order_and_undo_puts_it_back),
        IN_ROOM(a_label_that_the_printer_has_is_cancelled_there_and_withdrawn_by_its_word),
        IN_ROOM(a_failed_reprint_that_nobody_wants_is_put_away_and_back),
        IN_ROOM(a_reprint_answers_whether_the_label_came_out),
        IN_ROOM(a_place_gets_another_label_too),
        IN_ROOM(many_labels_are_asked_about_before_anything_is_booked),
        IN_ROOM(a_typed_receipt_of_many_asks_as_well_and_keeps_its_hold),
        IN_ROOM(the_makers_code_is_asked_for_while_labels_of_several_lots_wait),
        IN_ROOM(a_label_on_another_item_stops_and_names_both),
        IN_ROOM(what_cannot_be_is_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/print_queue", tests, room_group_setup, room_group_teardown);
}

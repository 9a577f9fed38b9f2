#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Labels are proved by a scan back: common practice, no source. */

enum { MOST = 8 };
struct lot {
    char serials[MOST][SERIAL_SIZE];
    size_t count;
};

static bool collect(const struct unit *unit, void *context)
{
    struct lot *lot = context;
    assert_true(lot->count < MOST);
    (void)snprintf(lot->serials[lot->count++], SERIAL_SIZE, "%s", unit->serial);
    return true;
}

/* Receives so many Flint cartridges of a lot into the open delivery. */
static struct lot receive(struct room *room, const char *name, int quantity)
{
    struct lot lot = {.count = 0};
    char code[80];
    (void)snprintf(code, sizeof code, "(01)09506000135007(17)270215(10)%s", name);
    (void)room_scan(room, code);
    (void)room_press_quantity(room, "YES", quantity);
    assert_true(unit_each_of_lot(room->reader, "FLINT", name, "", INT64_MAX, collect, &lot, NULL));
    assert_int_equal(lot.count, quantity);
    return lot;
}

static void mark(struct room *room, const char *unit, int number, const char *state)
{
    (void)room_act(room, "print-mark",
                   json_pack("{s:s,s:i,s:s,s:s,s:i}", "unit", unit, "number", number, "state", state, "device",
                             "front-label", "device_job", 17));
}

static bool is_proved(struct room *room, const char *serial)
{
    return room_unit(room, serial).labelled && room_print(room, serial, "", 1).state == PRINT_PROVED;
}

static void a_single_lot_is_proved_by_the_label_alone(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 2);
    (void)room_scan(room, lot.serials[1]); /* any order */
    room_expect(room, "go", "proof", "1 of this lot to go");
    assert_true(is_proved(room, lot.serials[1]));
    assert_false(is_proved(room, lot.serials[0]));
    (void)room_scan(room, lot.serials[0]);
    room_expect(room, "go", "proof", "the last of this lot. Scan the shelf");
    assert_true(is_proved(room, lot.serials[0]));
}

static void with_several_lots_the_makers_code_comes_first(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot one = receive(room, "FL-77", 1), two = receive(room, "FL-78", 2);
    (void)room_scan(room, two.serials[0]);
    room_expect(room, "ask", "proof", "several lots: scan the maker's code");
    room_expect_reason(room, "prove-first", two.serials[0]);
    assert_false(is_proved(room, two.serials[0]));
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-78");
    room_expect(room, "go", "proof", "Lot FL-78: 2 labels to prove");
    (void)room_scan(room, two.serials[0]);
    room_expect(room, "go", "proof", "is proved. 1 of this lot to go");
    (void)room_scan(room, two.serials[1]); /* one maker's code proves one label */
    room_expect_reason(room, "prove-first", two.serials[1]);
    assert_false(is_proved(room, two.serials[1]));
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_scan(room, one.serials[0]);
    assert_true(is_proved(room, one.serials[0]));
}

static void a_swapped_label_stops_and_is_not_proved(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot one = receive(room, "FL-77", 1), two = receive(room, "FL-78", 1);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_scan(room, two.serials[0]);
    room_expect(room, "stop", "proof", "is for lot FL-78, but the thing in your hand says lot FL-77");
    room_expect_reason(room, "label-swapped", two.serials[0]);
    assert_false(is_proved(room, two.serials[0]));
    room_expect_key(room, "YES", false);
    (void)room_press(room, "YES"); /* no answer to a stop */
    room_expect(room, "stop", "proof", "is for lot FL-78");
    room_expect_booked(room, false);
    assert_false(is_proved(room, two.serials[0]));
    (void)room_scan(room, one.serials[0]); /* the right one */
    assert_true(is_proved(room, one.serials[0]));
}

static void proved_things_are_put_away_by_scanning_the_shelf(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 3);
    (void)room_scan(room, lot.serials[0]);
    (void)room_scan(room, lot.serials[1]);
    (void)room_scan(room, "A02");
    room_expect(room, "go", "proof", "Booked: 2 things stand at A02");
    assert_string_equal(room_unit(room, lot.serials[0]).place, "A02");
    assert_string_equal(room_unit(room, lot.serials[1]).place, "A02");
    assert_string_equal(room_unit(room, lot.serials[2]).place, "");
    (void)room_scan(room, lot.serials[2]);
    (void)room_scan(room, "A01");
    room_expect(room, "go", "proof", "stands at A01");
    assert_string_equal(room_unit(room, lot.serials[2]).place, "A01");
    (void)room_scan(room, lot.serials[2]); /* on its shelf now: a check-out */
    room_expect(room, "ask", "check-out", "An older Flint stands at A01");
}

static void more_of_a_lot_is_received_from_the_proof(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)receive(room, "FL-77", 1);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77"); /* a label waits: it is about that */
    room_expect(room, "go", "proof", "1 label to prove");
    room_expect_key(room, "YES", true);
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 1 ×");
    assert_int_equal(room_movements(room, MOVEMENT_RECEIPT), 2);
}

static void an_unproved_thing_is_not_proposed(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 1);
    (void)room_press(room, "NO");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, lot.serials[0]); /* proves, and nothing else */
    room_expect(room, "go", "proof", "is proved");
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, lot.serials[0]).status, UNIT_IN);
}

static void a_label_goes_from_waiting_to_printed_and_is_proved_by_its_scan(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 1);
    mark(room, lot.serials[0], 1, "sent");
    const struct print sent = room_print(room, lot.serials[0], "", 1);
    assert_int_equal(sent.state, PRINT_SENT);
    assert_string_equal(sent.device, "front-label");
    assert_int_equal(sent.device_job, 17);
    mark(room, lot.serials[0], 1, "printed");
    assert_false(room_unit(room, lot.serials[0]).labelled); /* that is only what the printer claims */
    (void)room_scan(room, lot.serials[0]);
    assert_true(is_proved(room, lot.serials[0]));
}

static void a_mark_without_device_says_nothing_of_one(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 1);
    (void)room_act(room, "print-mark",
                   json_pack("{s:s,s:i,s:s}", "unit", lot.serials[0], "number", 1, "state", "failed"));
    assert_int_equal(room_print(room, lot.serials[0], "", 1).state, PRINT_FAILED);
}

static void a_label_nobody_knows_of_asks_and_its_scan_settles_that(void **state)
{
    struct room *room = *state;
    struct question question;
    bool found;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 1);
    mark(room, lot.serials[0], 1, "sent");
    mark(room, lot.serials[0], 1, "unknown");
    const int64_t asked = room_question(room, "label-unknown");
    assert_true(asked > 0);
    assert_true(question_load(room->reader, asked, &question, &found, NULL) && found);
    assert_string_equal(question.unit, lot.serials[0]);
    assert_non_null(strstr(question.note, "Did the label come out?"));
    (void)room_scan(room, lot.serials[0]);
    assert_true(is_proved(room, lot.serials[0]));
    assert_int_equal(room_question(room, NULL), 0);
}

static void a_reprint_has_the_next_number_and_is_proved_by_its_scan(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "reprint", json_pack("{s:s}", "unit", room->flint));
    room_expect(room, "go", "idle", "A new label of C");
    room_expect_undo(room, "order of a label for C");
    assert_int_equal(room_print(room, room->flint, "", 2).state, PRINT_WAITING);
    room_refuses(room, "reprint", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED,
                 "waits for the label printer");
    (void)room_scan(room, room->flint); /* the old label, while the new one waits */
    assert_int_equal(room_print(room, room->flint, "", 2).state, PRINT_WAITING);
    mark(room, room->flint, 2, "sent");
    mark(room, room->flint, 2, "printed");
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-out", "may go"); /* and it is usable as ever */
    assert_int_equal(room_print(room, room->flint, "", 2).state, PRINT_PROVED);
}

static void a_reprint_is_withdrawn_by_undo_while_it_waits(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "reprint", json_pack("{s:s}", "unit", room->flint));
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Maren: order of a label for");
    assert_int_equal(room_print(room, room->flint, "", 2).state, PRINT_WITHDRAWN);
    assert_true(room_unit(room, room->flint).labelled);
}

static void badges_and_shelf_labels_are_proved_by_their_scan(void **state)
{
    struct room *room = *state;
    assert_int_equal(room_print(room, room->tobias, "", 1).state, PRINT_WAITING);
    assert_string_equal(room_print(room, room->tobias, "", 1).label_template, "person");
    mark(room, room->tobias, 1, "sent");
    mark(room, room->tobias, 1, "printed");
    (void)room_scan(room, room->tobias);
    assert_int_equal(room_print(room, room->tobias, "", 1).state, PRINT_PROVED);
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s,s:b}", "code", "C09", "kind", "shelf", "label", 1));
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "place", "C09", "number", 1, "state", "sent"));
    (void)room_scan(room, "C09");
    assert_int_equal(room_print(room, "", "C09", 1).state, PRINT_PROVED);
    assert_string_equal(room_print(room, "", "C09", 1).label_template, "place");
}

static void proving_by_the_act_is_proving_by_the_scan(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const struct lot lot = receive(room, "FL-77", 1);
    (void)room_act(room, "prove", json_pack("{s:s}", "unit", lot.serials[0]));
    assert_true(is_proved(room, lot.serials[0]));
}

static void malformed_acts_on_labels_are_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *kind, *content;
        enum fault_code code;
        const char *says;
    } cases[] = {
        {"reprint", "{}", FAULT_INPUT, "say one of 'unit', 'place' and 'batch'"},
        {"reprint", "{\"unit\":\"C999999X\"}", FAULT_MISSING, "'C999999X' is not known here"},
        {"reprint", "{\"unit\":\"H999999X\"}", FAULT_MISSING, "'H999999X' is not known here"},
        {"reprint", "{\"units\":\"C1\"}", FAULT_INPUT, "'units' is not known here"},
        {"prove", "{}", FAULT_INPUT, "'unit' is missing"},
        {"prove", "{\"unit\":\"C999999X\"}", FAULT_MISSING, "'C999999X' is not known here"},
        {"prove", "{\"unit\":[]}", FAULT_INPUT, "'unit' is not a text"},
        {"print-mark", "{\"unit\":\"C1\",\"state\":\"sent\"}", FAULT_INPUT, "'number' is missing"},
        {"print-mark", "{\"unit\":\"C1\",\"number\":1}", FAULT_INPUT, "'state' is missing"},
        {"print-mark", "{\"unit\":\"C1\",\"number\":1,\"state\":\"lost\"}", FAULT_INPUT, "not one of a print's states"},
        {"print-mark", "{\"number\":1,\"state\":\"sent\"}", FAULT_REFUSED, "a unit's or a place's"},
        {"print-mark", "{\"unit\":\"C1\",\"number\":0,\"state\":\"sent\"}", FAULT_INPUT, "'number' is not a whole"},
        {"print-mark", "{\"place\":\"A01\",\"number\":1,\"state\":\"sent\"}", FAULT_REFUSED, "was not ordered"},
        {"print-mark", "{\"unit\":\"C1\",\"number\":1,\"state\":\"sent\",\"devise\":\"x\"}", FAULT_INPUT,
         "'devise' is not known here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        room_refuses(room, cases[i].kind, json_loads(cases[i].content, 0, NULL), cases[i].code, cases[i].says);
    room_refuses(room, "print-mark", json_pack("{s:s,s:i,s:s}", "unit", room->flint, "number", 1, "state", "waiting"),
                 FAULT_REFUSED, "proved cannot become waiting");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_single_lot_is_proved_by_the_label_alone),
        IN_ROOM(with_several_lots_the_makers_code_comes_first),
        IN_ROOM(a_swapped_label_stops_and_is_not_proved),
        IN_ROOM(proved_things_are_put_away_by_scanning_the_shelf),
        IN_ROOM(more_of_a_lot_is_received_from_the_proof),
        IN_ROOM(an_unproved_thing_is_not_proposed),
        IN_ROOM(a_label_goes_from_waiting_to_printed_and_is_proved_by_its_scan),
        IN_ROOM(a_mark_without_device_says_nothing_of_one),
        IN_ROOM(a_label_nobody_knows_of_asks_and_its_scan_settles_that),
        IN_ROOM(a_reprint_has_the_next_number_and_is_proved_by_its_scan),
        IN_ROOM(a_reprint_is_withdrawn_by_undo_while_it_waits),
        IN_ROOM(badges_and_shelf_labels_are_proved_by_their_scan),
        IN_ROOM(proving_by_the_act_is_proving_by_the_scan),
        IN_ROOM(malformed_acts_on_labels_are_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/labels", tests, room_group_setup, room_group_teardown);
}

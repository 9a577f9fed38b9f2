#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* UNDO takes an act back by counter-movements; nothing is erased. Common practice of book-keeping, no source. */

static void check_out(struct room *room, const char *person, const char *serial, const char *machine)
{
    (void)room_scan(room, person);
    (void)room_scan(room, serial);
    (void)room_scan_printer(room, machine);
    room_expect_booked(room, true);
}

static void check_in(struct room *room, const char *serial)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, serial);
    if (serial[0] == 'V')
        (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, serial[0] == 'V' ? "B01" : "A02");
    room_expect_booked(room, true);
}

static void a_new_counter_has_nothing_to_undo(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, "A01");
    room_expect_undo(room, NULL);
    (void)room_press(room, "UNDO");
    room_expect(room, NULL, "idle", "nothing to undo at this counter");
    room_refuses(room, "undo", json_object(), FAULT_MISSING, "nothing to undo at this counter");
}

static void undo_of_a_check_out_puts_the_thing_back_and_closes_its_job(void **state)
{
    struct room *room = *state;
    struct job job;
    const struct unit before = room_unit(room, room->vat_flint);
    check_out(room, room->tobias, room->vat_flint, "CAPSTAN");
    room_expect_undo(room, "Tobias: check-out of V");
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Tobias: check-out of V");
    const struct unit after = room_unit(room, room->vat_flint);
    assert_int_equal(after.status, UNIT_IN);
    assert_string_equal(after.place, before.place);
    assert_string_equal(after.holder, "");
    assert_string_equal(after.job, "");
    assert_int_equal(after.minutes, before.minutes);
    assert_int_equal(after.out_since_ms, MOVEMENT_NULL);
    assert_false(room_job(room, "CAPSTAN", &job));
    assert_int_equal(room_movements(room, MOVEMENT_CHECK_OUT), 1); /* it happened; a correction stands beside it */
    assert_int_equal(room_movements(room, MOVEMENT_CORRECTION), 1);
    room_expect_undo(room, NULL); /* not the undo itself */
}

static void undo_of_a_check_in_reopens_the_job(void **state)
{
    struct room *room = *state;
    struct job before, after;
    check_out(room, room->tobias, room->vat_flint, "CAPSTAN");
    assert_true(room_job(room, "CAPSTAN", &before));
    room_pass(room, 3600);
    check_in(room, room->vat_flint);
    assert_false(room_job(room, "CAPSTAN", &after));
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Tobias: check-in of V");
    assert_true(room_job(room, "CAPSTAN", &after));
    assert_string_equal(after.id, before.id);
    assert_int_equal(after.started_ms, before.started_ms);
    const struct unit vat = room_unit(room, room->vat_flint);
    assert_int_equal(vat.status, UNIT_OUT);
    assert_string_equal(vat.holder, room->tobias);
    assert_string_equal(vat.printer, "CAPSTAN");
    assert_int_equal(vat.minutes, 600); /* its hours are as before */
    room_pass(room, 3600);
    check_in(room, room->vat_flint); /* and the whole time counts */
    assert_int_equal(room_unit(room, room->vat_flint).minutes, 600 + 120);
}

static void undo_twice_takes_back_two_acts_and_then_says_there_is_nothing(void **state)
{
    struct room *room = *state;
    check_out(room, room->tobias, room->vat_flint, "CAPSTAN");
    check_out(room, room->tobias, room->oak, "HALYARD");
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Tobias: check-out of C");
    room_expect_undo(room, "Tobias: check-out of V");
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Tobias: check-out of V");
    assert_int_equal(room_unit(room, room->oak).status, UNIT_IN);
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_IN);
    (void)room_press(room, "UNDO");
    room_expect(room, NULL, "idle", "nothing to undo");
}

static void one_act_is_taken_back_once(void **state)
{
    struct room *room = *state;
    char act[ACT_ID_SIZE];
    check_out(room, room->tobias, room->vat_flint, "CAPSTAN");
    (void)snprintf(act, sizeof act, "%s", room->act);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", act));
    room_expect_booked(room, true);
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "taken back already");
    room_refuses(room, "undo", json_pack("{s:s}", "act", "never-was-there"), FAULT_MISSING, "is not known");
    room_refuses(room, "undo", json_pack("{s:i}", "act", 7), FAULT_INPUT, "'act' is not a text");
    room_refuses(room, "undo", json_pack("{s:s}", "acts", "x"), FAULT_INPUT, "'acts' is not known here");
}

static void what_was_moved_since_is_not_taken_back(void **state)
{
    struct room *room = *state;
    char act[ACT_ID_SIZE];
    check_out(room, room->tobias, room->flint, "CAPSTAN");
    (void)snprintf(act, sizeof act, "%s", room->act);
    check_in(room, room->flint);
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "was moved since");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
}

static void a_refusal_at_the_counter_is_a_sentence_on_the_screen(void **state)
{
    struct room *room = *state;
    check_out(room, room->tobias, room->flint, "CAPSTAN");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    check_in(room, room->flint); /* at the other counter */
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "UNDO");
    room_expect(room, "stop", "idle", "Not taken back: C");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
}

static void one_thing_of_two_moved_since_keeps_both(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    check_in(room, room->vat_flint);
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "UNDO");
    room_expect(room, "stop", "idle", "was moved since");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
}

static void a_job_others_joined_goes_on_when_its_first_check_out_is_taken_back(void **state)
{
    struct room *room = *state;
    struct job job;
    char act[ACT_ID_SIZE];
    check_out(room, room->tobias, room->vat_flint, "CAPSTAN");
    (void)snprintf(act, sizeof act, "%s", room->act);
    check_out(room, room->jarl, room->flint, "CAPSTAN");
    (void)room_act(room, "undo", json_pack("{s:s}", "act", act));
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_IN);
    assert_true(room_job(room, "CAPSTAN", &job));
    check_in(room, room->flint);
    assert_false(room_job(room, "CAPSTAN", &job));
}

static void a_check_in_is_not_taken_back_into_a_printer_with_another_job(void **state)
{
    struct room *room = *state;
    char act[ACT_ID_SIZE];
    check_out(room, room->tobias, room->vat_flint, "CAPSTAN");
    check_in(room, room->vat_flint);
    (void)snprintf(act, sizeof act, "%s", room->act);
    check_out(room, room->jarl, room->vat_oak, "CAPSTAN");
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "has another job since");
}

static void another_persons_act_is_asked_about_first(void **state)
{
    struct room *room = *state;
    check_out(room, room->tobias, room->flint, "CAPSTAN");
    (void)room_scan(room, room->jarl);
    (void)room_press(room, "UNDO");
    room_expect(room, "ask", "idle", "Take back what another person did? Tobias: check-out of C");
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
    (void)room_press(room, "NO");
    room_expect(room, NULL, "idle", "Left as it is");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
    (void)room_press(room, "UNDO");
    (void)room_press(room, "YES");
    room_expect(room, "go", "idle", "Taken back: Tobias:");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
}

static void a_question_about_undo_is_let_go_by_whatever_else_is_scanned(void **state)
{
    struct room *room = *state;
    const char *const others[] = {"A01", room->oak, "(01)09506000135014(10)OK-1", room->jarl, "what is this"};
    check_out(room, room->tobias, room->flint, "CAPSTAN");
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        (void)room_scan(room, room->jarl);
        (void)room_press(room, "UNDO");
        room_expect(room, "ask", "idle", "Take back what another person did?");
        (void)room_scan(room, others[i]);
        (void)room_press(room, "YES");
        room_expect_booked(room, false);
        assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
        (void)room_press(room, "NO");
    }
}

static void ones_own_act_is_taken_back_at_once(void **state)
{
    struct room *room = *state;
    check_out(room, room->tobias, room->flint, "CAPSTAN");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
}

static bool first_serial(const struct unit *unit, void *context)
{
    (void)snprintf(context, SERIAL_SIZE, "%s", unit->serial);
    return false;
}

static void receive_one(struct room *room, char serial[SERIAL_SIZE])
{
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_press(room, "YES");
    serial[0] = '\0';
    assert_true(unit_each_of_lot(room->reader, "FLINT", "FL-77", "", 1, first_serial, serial, NULL));
}

static void undo_of_a_receipt_voids_the_units_and_withdraws_waiting_labels(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    receive_one(room, serial);
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Maren: receipt of C");
    assert_int_equal(room_unit(room, serial).status, UNIT_VOID);
    assert_int_equal(room_print(room, serial, "", 1).state, PRINT_WITHDRAWN);
    (void)room_scan(room, serial); /* its label turned up all the same */
    room_expect(room, "stop", "idle", "no longer in service");
    room_expect_reason(room, "gone", serial);
    room_refuses(room, "reprint", json_pack("{s:s}", "unit", serial), FAULT_REFUSED, "was taken back");
}

static void undo_of_a_receipt_goes_past_the_labels_that_were_proved(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    receive_one(room, serial);
    (void)room_scan(room, serial);
    room_expect(room, "go", "proof", "is proved");
    room_expect_undo(room, "Maren: receipt of C");
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, serial).status, UNIT_VOID);
    assert_int_equal(room_print(room, serial, "", 1).state, PRINT_PROVED);
}

static void a_label_on_its_way_may_still_come_out_of_a_receipt_taken_back(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    receive_one(room, serial);
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "unit", serial, "number", 1, "state", "sent"));
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, serial).status, UNIT_VOID);
    (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "unit", serial, "number", 1, "state", "printed"));
    assert_int_equal(room_print(room, serial, "", 1).state, PRINT_PRINTED);
    assert_int_equal(room_unit(room, serial).status, UNIT_VOID);
}

static void a_receipt_is_not_taken_back_once_the_thing_was_put_away(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE], act[ACT_ID_SIZE];
    receive_one(room, serial);
    (void)snprintf(act, sizeof act, "%s", room->act);
    (void)room_scan(room, serial);
    (void)room_scan(room, "A02");
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "was moved since");
    (void)room_press(room, "UNDO"); /* the put-away first */
    room_expect(room, "go", "idle", "Taken back: Maren: put-away of C");
    assert_string_equal(room_unit(room, serial).place, "");
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Maren: receipt of C");
}

static void undo_of_a_hold_and_of_a_release(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    room_expect_undo(room, "Maren: hold on C");
    (void)room_press(room, "UNDO");
    assert_string_equal(room_unit(room, room->flint).hold, "");
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    (void)room_act(room, "release", json_pack("{s:s}", "unit", room->flint));
    room_expect_undo(room, "Maren: release of C");
    (void)room_press(room, "UNDO");
    assert_string_equal(room_unit(room, room->flint).hold, "leaking");
}

static void undo_of_taken_settles_the_question_it_opened(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint_old);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_press(room, "TAKEN");
    assert_true(room_question(room, "taken") > 0);
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, room->flint_old).status, UNIT_IN);
    assert_int_equal(room_question(room, NULL), 0);
}

static void undo_of_taken_leaves_a_question_that_was_settled_meanwhile(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint_old);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_press(room, "TAKEN");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(
        room, "settle",
        json_pack("{s:I,s:s}", "question", (json_int_t)room_question(room, "taken"), "how", "spoke to Jarl"));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back");
    assert_int_equal(room_unit(room, room->flint_old).status, UNIT_IN);
}

static void undo_of_a_delivery_closes_it_and_of_its_closing_opens_it(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    char delivery[DELIVERY_SIZE];
    (void)snprintf(delivery, sizeof delivery, "%s",
                   json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id")));
    (void)room_act(room, "delivery-close", json_pack("{s:s}", "delivery", delivery));
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Maren: closing of a delivery");
    const json_t *open = json_object_get(room->view, "delivery");
    assert_string_equal(json_string_value(json_object_get(open, "id")), delivery);
    room_expect_undo(room, "Maren: opening of a delivery");
    (void)room_press(room, "UNDO");
    assert_true(json_is_null(json_object_get(room->view, "delivery")));
    room_expect_undo(room, NULL);
}

static void a_delivery_with_things_in_it_stays_open(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE], act[ACT_ID_SIZE];
    (void)snprintf(act, sizeof act, "test-act-%06d", room->acts + 1);
    receive_one(room, serial);
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "things were received from delivery");
}

static void an_entry_is_entered_anew_and_not_taken_back(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "C01", "kind", "shelf"));
    room_expect_undo(room, NULL);
    room_refuses(room, "undo", json_pack("{s:s}", "act", room->act), FAULT_REFUSED, "enter it anew");
    (void)room_press(room, "UNDO");
    room_expect(room, NULL, "idle", "nothing to undo");
    check_out(room, room->tobias, room->flint, "CAPSTAN");
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "C02", "kind", "shelf"));
    room_expect_undo(room, "Tobias: check-out of C"); /* UNDO goes past it, and says so */
}

static void what_was_taken_on_and_taken_back_is_not_counted_on_its_shelf(void **state)
{
    struct room *room = *state;
    int64_t before = 0, after = 0;
    assert_true(unit_count_in_place(room->reader, "A01", &before, NULL));
    const json_t *answer = room_act(room, "take-on", json_pack("{s:s,s:s}", "item", "OAK", "place", "A01"));
    char serial[SERIAL_SIZE];
    (void)snprintf(serial, sizeof serial, "%s", json_string_value(json_object_get(answer, "serial")));
    (void)room_act(room, "undo", json_object());
    assert_int_equal(room_unit(room, serial).status, UNIT_VOID);
    assert_string_equal(room_unit(room, serial).place, "");
    assert_string_equal(room_unit(room, serial).item, "OAK");
    assert_true(unit_count_in_place(room->reader, "A01", &after, NULL));
    assert_int_equal(after, before);
}

static void a_take_on_is_taken_back_whole(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    room_take_on(room, "VAT-S", json_pack("{s:s,s:i}", "resin", "FLINT", "amount_ml", 300), serial);
    room_expect_undo(room, "Maren: take-on of V");
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, serial).status, UNIT_VOID);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_new_counter_has_nothing_to_undo),
        IN_ROOM(undo_of_a_check_out_puts_the_thing_back_and_closes_its_job),
        IN_ROOM(undo_of_a_check_in_reopens_the_job),
        IN_ROOM(undo_twice_takes_back_two_acts_and_then_says_there_is_nothing),
        IN_ROOM(one_act_is_taken_back_once),
        IN_ROOM(what_was_moved_since_is_not_taken_back),
        IN_ROOM(a_refusal_at_the_counter_is_a_sentence_on_the_screen),
        IN_ROOM(one_thing_of_two_moved_since_keeps_both),
        IN_ROOM(a_job_others_joined_goes_on_when_its_first_check_out_is_taken_back),
        IN_ROOM(a_check_in_is_not_taken_back_into_a_printer_with_another_job),
        IN_ROOM(another_persons_act_is_asked_about_first),
        IN_ROOM(a_question_about_undo_is_let_go_by_whatever_else_is_scanned),
        IN_ROOM(ones_own_act_is_taken_back_at_once),
        IN_ROOM(undo_of_a_receipt_voids_the_units_and_withdraws_waiting_labels),
        IN_ROOM(undo_of_a_receipt_goes_past_the_labels_that_were_proved),
        IN_ROOM(a_label_on_its_way_may_still_come_out_of_a_receipt_taken_back),
        IN_ROOM(a_receipt_is_not_taken_back_once_the_thing_was_put_away),
        IN_ROOM(undo_of_a_hold_and_of_a_release),
        IN_ROOM(undo_of_taken_settles_the_question_it_opened),
        IN_ROOM(undo_of_taken_leaves_a_question_that_was_settled_meanwhile),
        IN_ROOM(undo_of_a_delivery_closes_it_and_of_its_closing_opens_it),
        IN_ROOM(a_delivery_with_things_in_it_stays_open),
        IN_ROOM(an_entry_is_entered_anew_and_not_taken_back),
        IN_ROOM(what_was_taken_on_and_taken_back_is_not_counted_on_its_shelf),
        IN_ROOM(a_take_on_is_taken_back_whole),
    };
    return cmocka_run_group_tests_name("desk/undo", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/relabel.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/ledger/trace.h"
#include "tests/desk/room.h"

/* A label that is lost: a new serial for the thing, and the old one alarms. */

static struct unit relabel(struct room *room, const char *serial)
{
    const json_t *answer = room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", serial, "confirm", 1));
    const char *fresh = json_string_value(json_object_get(answer, "serial"));
    assert_non_null(fresh);
    room_expect_booked(room, true);
    return room_unit(room, fresh);
}

/* All that a correction writes down of a unit, which is all there is but the serial and its labels. */
static void expect_same(const struct unit *fresh, const struct unit *old)
{
    struct unit_state one = {.unit = *fresh, .mix = ""}, two = {.unit = *old, .mix = ""};
    struct movement as = {.seq = 0}, was = {.seq = 0};
    one.unit.labelled = two.unit.labelled;
    assert_true(apply_write_correction(&one, 1, &as, NULL) && apply_write_correction(&two, 1, &was, NULL));
    assert_string_equal(as.detail, was.detail);
    assert_string_equal(as.other, was.other);
    assert_string_equal(as.item, was.item);
    assert_string_equal(as.lot, was.lot);
    assert_string_equal(as.place, was.place);
    assert_string_equal(as.printer, was.printer);
    assert_string_equal(as.delivery, was.delivery);
    assert_string_equal(as.job, was.job);
    assert_string_equal(as.word, was.word);
    assert_int_equal(as.amount_ul, was.amount_ul);
    assert_int_equal(as.minutes, was.minutes);
    assert_int_equal(as.filled, was.filled);
    assert_int_equal(as.expires, was.expires);
}

static void the_new_serial_takes_over_all_that_the_thing_is(void **state)
{
    struct room *room = *state;
    const struct unit old = room_unit(room, room->vat_flint);
    const struct unit fresh = relabel(room, room->vat_flint), left = room_unit(room, room->vat_flint);
    expect_same(&fresh, &old);
    assert_false(fresh.labelled);
    assert_int_equal(room_print(room, fresh.serial, "", 1).state, PRINT_WAITING);
    assert_int_equal(left.status, UNIT_RELABELLED);
    assert_string_equal(left.heir, fresh.serial);
    assert_string_equal(left.item, old.item);
    assert_string_equal(left.place, "");
    room_expect_content(room, fresh.serial, "400000:FLINT:VT-1");
    room_expect_content(room, room->vat_flint, "");
}

static bool add_up(const struct stock_line *line, void *context)
{
    int64_t *sums = context;
    sums[0] += line->units;
    sums[1] += line->amount_ul;
    return true;
}

static void the_stock_counts_one_thing_and_not_two(void **state)
{
    struct room *room = *state;
    int64_t before[2] = {0, 0}, after[2] = {0, 0};
    assert_true(stock_each_of_item(room->reader, "FLINT", add_up, before, NULL));
    (void)relabel(room, room->flint);
    assert_true(stock_each_of_item(room->reader, "FLINT", add_up, after, NULL));
    assert_int_equal(after[0], before[0]);
    assert_int_equal(after[1], before[1]);
}

static void a_mix_goes_along_and_the_past_of_both_can_be_told(void **state)
{
    struct room *room = *state;
    struct unit_state then;
    bool found = false;
    (void)room_act(
        room, "pour",
        json_pack("{s:s,s:s,s:i,s:b}", "from", room->flint, "to", room->vat_flint, "amount_ml", 100, "confirm", 1));
    const struct unit fresh = relabel(room, room->vat_flint);
    room_expect_content(room, fresh.serial, "100000:FLINT:FL-1 400000:FLINT:VT-1");
    const int64_t seq = room_seq(room);
    (void)room_act(room, "amount", json_pack("{s:s,s:i}", "unit", fresh.serial, "amount_ml", 250));
    assert_true(apply_unit_before(room->reader, fresh.serial, seq + 1, &then, &found, NULL));
    assert_true(found);
    assert_string_equal(then.mix, "100000:FLINT:FL-1 400000:FLINT:VT-1");
    assert_true(apply_unit_before(room->reader, room->vat_flint, seq + 1, &then, &found, NULL));
    assert_true(found);
    assert_int_equal(then.unit.status, UNIT_RELABELLED);
}

struct reach {
    const char *old, *fresh;
    bool old_there, fresh_there;
};

static bool look(const struct trace_stop *stop, void *context)
{
    struct reach *reach = context;
    reach->old_there = reach->old_there || (strcmp(stop->serial, reach->old) == 0 && stop->present);
    reach->fresh_there = reach->fresh_there || (strcmp(stop->serial, reach->fresh) == 0 && stop->present);
    return true;
}

static void a_recall_follows_the_lot_to_the_new_serial_and_back_after_undo(void **state)
{
    struct room *room = *state;
    const struct unit fresh = relabel(room, room->flint);
    struct reach reach = {.old = room->flint, .fresh = fresh.serial};
    assert_true(trace_lot(room->reader, "FLINT", "FL-1", look, &reach, NULL, NULL));
    assert_true(reach.fresh_there);
    assert_false(reach.old_there);
    (void)room_act(room, "undo", json_object());
    reach = (struct reach){.old = room->flint, .fresh = fresh.serial};
    assert_true(trace_lot(room->reader, "FLINT", "FL-1", look, &reach, NULL, NULL));
    assert_true(reach.old_there);
    assert_false(reach.fresh_there);
}

/* What is out stays out, with its hours: they count from the check-out under the old serial. */
static void one_that_is_out_comes_back_with_its_hours_under_the_new_serial(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:i}", "units", room->vat_flint, "printer", "CAPSTAN", "need_ml", 10));
    room_expect_booked(room, true);
    const struct unit fresh = relabel(room, room->vat_flint);
    assert_int_equal(fresh.status, UNIT_OUT);
    assert_string_equal(fresh.printer, "CAPSTAN");
    room_pass(room, 7200);
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:s}],s:s}", "units", "unit", fresh.serial, "film", "clear", "place", "B01"));
    assert_int_equal(room_unit(room, fresh.serial).minutes, 600 + 120);
}

static void the_old_serial_alarms_wherever_it_is_scanned_and_asks_once(void **state)
{
    struct room *room = *state;
    char says[80];
    const struct unit fresh = relabel(room, room->flint);
    (void)snprintf(says, sizeof says, "%s was given up as lost on 2026-03-02: its thing is now %s.", room->flint,
                   fresh.serial);
    room_scan(room, room->flint);
    room_expect(room, "stop", "idle", says);
    room_expect_reason(room, "alarmed", fresh.serial);
    const int64_t question = room_question(room, "lost-label-found");
    assert_true(question > 0);
    const int64_t before = room_movements(room, MOVEMENT_QUESTION);
    room_scan(room, room->flint);
    room_expect_reason(room, "alarmed", fresh.serial);
    room_expect_booked(room, false);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    room_scan(room, room->flint);
    assert_int_equal(room_movements(room, MOVEMENT_QUESTION), before);
    (void)room_act(room, "settle", json_pack("{s:I,s:s}", "question", (json_int_t)question, "how", "defaced"));
    room_scan(room, room->flint); /* it was to be defaced, and turns up again */
    assert_int_equal(room_movements(room, MOVEMENT_QUESTION), before + 1);
}

static void in_the_middle_of_a_group_it_alarms_and_joins_nothing(void **state)
{
    struct room *room = *state;
    (void)relabel(room, room->flint);
    room_scan(room, room->tobias);
    room_scan(room, room->vat_empty);
    room_scan(room, room->flint);
    room_expect(room, "stop", "check-out", "was given up as lost");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 1);
}

static void the_new_serial_and_a_label_that_was_never_lost_do_not_alarm(void **state)
{
    struct room *room = *state;
    const struct unit fresh = relabel(room, room->flint);
    room_scan(room, fresh.serial);
    room_expect(room, "go", "proof", "is proved: it stands at A01");
    room_expect_no_reason(room, "alarmed");
    room_press(room, "NO");
    room_scan(room, fresh.serial);
    room_expect(room, "go", "check-out", "may go");
    room_press(room, "NO");
    room_scan(room, room->flint_more);
    room_expect(room, "go", "check-out", "may go");
    assert_int_equal(room_question(room, "lost-label-found"), 0);
}

static void a_script_that_names_the_old_serial_is_stopped_and_taken_books_what_it_is_now(void **state)
{
    struct room *room = *state;
    const struct unit fresh = relabel(room, room->flint);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint, "printer", "CAPSTAN", "confirm", 1));
    room_expect_reason(room, "alarmed", fresh.serial);
    room_expect_booked(room, false);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint, "printer", "CAPSTAN", "taken", 1));
    assert_int_equal(room_unit(room, fresh.serial).status, UNIT_OUT);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_RELABELLED);
    assert_true(room_question(room, "lost-label-found") > 0);
    room_refuses(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"), FAULT_REFUSED,
                 fresh.serial);
    room_refuses(room, "reprint", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, fresh.serial);
}

/* Two serials of one thing in two places would be two things. */
static void lent_or_taken_to_another_room_it_is_what_it_is_now_too(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "ANNEX", "kind", "room"));
    const struct unit fresh = relabel(room, room->flint);
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:b}", "units", room->flint, "place", "ANNEX", "taken", 1));
    assert_string_equal(room_unit(room, fresh.serial).place, "ANNEX");
    assert_int_equal(room_unit(room, fresh.serial).status, UNIT_OUT);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_RELABELLED);
    assert_true(room_question(room, "lost-label-found") > 0);
}

static void given_up_while_it_stands_in_a_group_it_is_taken_as_what_it_is_now(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "ANNEX", "kind", "room"));
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "ANNEX");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    const struct unit lent = relabel(room, room->flint);
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "TAKEN");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, lent.serial).place, "ANNEX");
    (void)room_scan(room, room->oak);
    (void)room_scan_printer(room, "SEXTANT");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    const struct unit out = relabel(room, room->oak);
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "TAKEN");
    assert_string_equal(room_unit(room, out.serial).printer, "SEXTANT");
    assert_int_equal(room_unit(room, room->oak).status, UNIT_RELABELLED);
}

static void without_a_yes_it_asks_whether_the_label_is_surely_gone(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "relabel", json_pack("{s:s}", "unit", room->flint));
    room_expect_reason(room, "label-in-hand", room->flint);
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
    room_refuses(room, "relabel", json_pack("{s:s}", "unit", "C000999K"), FAULT_MISSING, "not known here");
    (void)room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_empty, "reason", "worn"));
    (void)room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", room->vat_empty, "confirm", 1));
    room_expect_reason(room, "gone", room->vat_empty);
}

static void lost_twice_the_first_serial_says_the_last_one(void **state)
{
    struct room *room = *state;
    const struct unit second = relabel(room, room->flint);
    room_scan(room, second.serial);
    const struct unit third = relabel(room, second.serial);
    (void)room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", room->flint, "confirm", 1));
    room_expect_reason(room, "alarmed", third.serial);
    room_expect_booked(room, true); /* the question */
    room_scan(room, second.serial);
    room_expect_reason(room, "alarmed", third.serial);
}

/* The old label's order is dropped, the new one ordered, and UNDO turns both round. */
static void undo_gives_the_old_serial_back_and_the_new_one_is_never_given_again(void **state)
{
    struct room *room = *state;
    const struct unit before = room_unit(room, room->flint);
    (void)room_act(room, "reprint", json_pack("{s:s}", "unit", room->flint));
    const struct unit fresh = relabel(room, room->flint);
    assert_int_equal(room_print(room, room->flint, "", 2).state, PRINT_WITHDRAWN);
    (void)room_act(room, "undo", json_object());
    room_expect_booked(room, true);
    const struct unit back = room_unit(room, room->flint);
    assert_int_equal(back.status, UNIT_IN);
    assert_string_equal(back.place, before.place);
    assert_string_equal(back.heir, "");
    assert_true(back.labelled);
    assert_int_equal(back.amount_ul, before.amount_ul);
    assert_int_equal(room_unit(room, fresh.serial).status, UNIT_VOID);
    assert_int_equal(room_print(room, room->flint, "", 2).state, PRINT_WAITING);
    assert_int_equal(room_print(room, fresh.serial, "", 1).state, PRINT_WITHDRAWN);
    room_scan(room, room->flint);
    room_expect_no_reason(room, "alarmed");
    const struct unit again = relabel(room, room->flint);
    assert_string_not_equal(again.serial, fresh.serial);
}

static bool note_due(const struct unit *unit, void *context)
{
    char(*serials)[SERIAL_SIZE] = context;
    (void)snprintf(serials[serials[0][0] != '\0'], SERIAL_SIZE, "%s", unit->serial);
    return true;
}

/* A serial that never was stands nowhere, belongs with nothing and is promised back by nobody. */
static void what_undo_leaves_of_the_new_serial_is_nowhere_and_owes_nothing(void **state)
{
    struct room *room = *state;
    char due[2][SERIAL_SIZE] = {"", ""};
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "ANNEX", "kind", "room"));
    (void)room_act(room, "pair", json_pack("{s:s}", "unit", room->vat_flint));
    (void)room_act(
        room, "lend",
        json_pack("{s:[s],s:s,s:i,s:b}", "units", room->vat_flint, "place", "ANNEX", "days", 1, "confirm", 1));
    room_expect_booked(room, true);
    (void)room_act(room, "reserve", json_pack("{s:s,s:s}", "unit", room->vat_flint, "for", room->jarl));
    const struct unit before = room_unit(room, room->vat_flint), fresh = relabel(room, room->vat_flint);
    (void)room_act(room, "undo", json_object());
    room_expect_booked(room, true);
    const struct unit ghost = room_unit(room, fresh.serial), back = room_unit(room, room->vat_flint);
    expect_same(&back, &before);
    assert_int_equal(ghost.status, UNIT_VOID);
    assert_string_equal(ghost.place, "");
    assert_string_equal(ghost.holder, "");
    assert_string_equal(ghost.pair, "");
    assert_string_equal(ghost.reserved, "");
    assert_int_equal(ghost.due, MOVEMENT_NULL);
    assert_int_equal(ghost.out_since_ms, MOVEMENT_NULL);
    assert_true(unit_each_due(room->reader, INT32_MAX, note_due, due, NULL));
    assert_string_equal(due[0], room->vat_flint);
    assert_string_equal(due[1], "");
}

static void what_was_moved_since_under_the_new_serial_is_undone_first(void **state)
{
    struct room *room = *state;
    const struct unit fresh = relabel(room, room->flint);
    char act[ACT_ID_SIZE];
    (void)snprintf(act, sizeof act, "%s", room->act);
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", fresh.serial, "place", "A02"));
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "was moved since");
}

static void a_label_that_was_never_proved_is_printed_again_under_the_same_serial(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "take-on", json_pack("{s:s,s:s}", "item", "OAK", "place", "A02"));
    char serial[SERIAL_SIZE];
    (void)snprintf(serial, sizeof serial, "%s", json_string_value(json_object_get(room->view, "serial")));
    (void)room_act(room, "print-withdraw", json_pack("{s:s}", "unit", serial));
    const json_t *answer = room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", serial, "confirm", 1));
    assert_string_equal(json_string_value(json_object_get(answer, "serial")), serial);
    assert_int_equal(room_unit(room, serial).status, UNIT_IN);
    assert_int_equal(room_print(room, serial, "", 2).state, PRINT_WAITING);
}

static void a_technician_who_names_it_without_elimination_is_looked_after_by_a_question(void **state)
{
    struct room *room = *state;
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    (void)relabel(room, room->flint);
    assert_true(room_question(room, "label-chosen") > 0);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(the_new_serial_takes_over_all_that_the_thing_is),
        IN_ROOM(the_stock_counts_one_thing_and_not_two),
        IN_ROOM(a_mix_goes_along_and_the_past_of_both_can_be_told),
        IN_ROOM(a_recall_follows_the_lot_to_the_new_serial_and_back_after_undo),
        IN_ROOM(one_that_is_out_comes_back_with_its_hours_under_the_new_serial),
        IN_ROOM(the_old_serial_alarms_wherever_it_is_scanned_and_asks_once),
        IN_ROOM(in_the_middle_of_a_group_it_alarms_and_joins_nothing),
        IN_ROOM(the_new_serial_and_a_label_that_was_never_lost_do_not_alarm),
        IN_ROOM(a_script_that_names_the_old_serial_is_stopped_and_taken_books_what_it_is_now),
        IN_ROOM(lent_or_taken_to_another_room_it_is_what_it_is_now_too),
        IN_ROOM(given_up_while_it_stands_in_a_group_it_is_taken_as_what_it_is_now),
        IN_ROOM(without_a_yes_it_asks_whether_the_label_is_surely_gone),
        IN_ROOM(lost_twice_the_first_serial_says_the_last_one),
        IN_ROOM(undo_gives_the_old_serial_back_and_the_new_one_is_never_given_again),
        IN_ROOM(what_undo_leaves_of_the_new_serial_is_nowhere_and_owes_nothing),
        IN_ROOM(what_was_moved_since_under_the_new_serial_is_undone_first),
        IN_ROOM(a_label_that_was_never_proved_is_printed_again_under_the_same_serial),
        IN_ROOM(a_technician_who_names_it_without_elimination_is_looked_after_by_a_question),
    };
    return cmocka_run_group_tests_name("desk/relabel", tests, room_group_setup, room_group_teardown);
}

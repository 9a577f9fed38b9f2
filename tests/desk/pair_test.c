#include "kiosk/desk/pair.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/stock.h"
#include "tests/desk/room.h"

/* The tray's label counts as its vat while the case is open. Common practice, no source. */

static void pair(struct room *room, const char *vat, char tray[SERIAL_SIZE])
{
    const json_t *answer = room_act(room, "pair", json_pack("{s:s}", "unit", vat));
    (void)snprintf(tray, SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
}

static bool add_units(const struct stock_line *line, void *context)
{
    *(int64_t *)context += line->units;
    return true;
}

static int64_t units_in_stock(struct room *room)
{
    int64_t units = 0;
    assert_true(stock_each(room->reader, "", add_units, &units, NULL));
    return units;
}

static bool count_one(const struct unit *unit, void *context)
{
    (void)unit;
    ++*(int *)context;
    return true;
}

static void a_trays_label_is_ordered_printed_and_proved_and_is_no_stock(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    int all_before = 0, all = 0;
    const int64_t before = units_in_stock(room);
    assert_true(unit_each(room->reader, UNIT_BY_ALL, "", "", INT32_MAX, count_one, &all_before, NULL));
    pair(room, room->vat_flint, tray);
    room_expect(room, "go", "idle", "It is printed: stick it on and scan it");
    assert_int_equal(tray[0], 'T');
    assert_string_equal(room_unit(room, room->vat_flint).pair, tray);
    assert_string_equal(room_unit(room, tray).pair, room->vat_flint);
    assert_int_equal(units_in_stock(room), before);
    assert_true(unit_each(room->reader, UNIT_BY_ALL, "", "", INT32_MAX, count_one, &all, NULL));
    assert_int_equal(all, all_before);
    assert_string_equal(room_print(room, tray, "", 1).label_template, "vat");
    static const char *const states[] = {"sent", "printed"};
    for (size_t i = 0; i < 2; i++)
        (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "unit", tray, "number", 1, "state", states[i]));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, tray);
    assert_true(room_unit(room, tray).labelled);
    assert_int_equal(room_print(room, tray, "", 1).state, PRINT_PROVED);
}

static void a_tray_alone_stands_for_its_vat_and_the_case_is_asked_for(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_flint, tray);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, tray);
    room_expect(room, "go", "check-out", "while it is closed, scan the case.");
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "go", "check-out", "may go");
    (void)room_scan(room, tray); /* both labels of one vat */
    room_expect(room, "go", "check-out", "may go");
    assert_int_equal(json_array_size(json_object_get(room->view, "units")), 1);
    (void)room_scan_printer(room, "CAPSTAN");
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_OUT);
    (void)room_scan(room, tray);
    room_expect(room, "ask", "check-in", "while it is closed, scan the case.");
}

static void with_the_case_open_the_tray_is_all_that_is_scanned(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE], fresh[SERIAL_SIZE];
    pair(room, room->vat_flint, tray);
    pair(room, room->vat_empty, fresh);
    (void)room_scan(room, room->tobias); /* an inspection */
    (void)room_scan(room, tray);
    (void)room_press(room, "INSPECTED");
    (void)room_scan(room, tray);
    room_expect(room, "ask", "inspect", "How is the film of");
    (void)room_press(room, "FILM-CLEAR");
    room_expect(room, "go", "idle", "was inspected, clear");
    assert_true(room_unit(room, room->vat_flint).inspected_minutes != MOVEMENT_NULL);
    (void)room_scan(room, room->tobias); /* a filling */
    (void)room_scan(room, room->flint);
    (void)room_scan(room, fresh);
    (void)room_press(room, "POUR");
    (void)room_press(room, "250ML");
    assert_int_equal(room_unit(room, room->vat_empty).amount_ul, 250000);
    (void)room_scan(room, room->tobias); /* a transfer, vat by vat */
    (void)room_scan(room, tray);
    (void)room_press(room, "POUR");
    (void)room_scan(room, fresh);
    (void)room_press(room, "ALL");
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 0);
    assert_int_equal(room_unit(room, room->vat_empty).amount_ul, 650000);
}

static void a_tray_of_another_case_stops_and_nothing_is_booked(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_oak, tray);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    const int64_t seq = room_seq(room);
    (void)room_scan(room, tray);
    room_expect(room, "stop", "check-out", "which is in your hand?");
    room_expect_reason(room, "other-tray", "belongs in case");
    room_expect_key(room, "TRAY-MOVED", true);
    room_expect_key(room, "TRAY-STAYS", true);
    room_expect_key(room, "OVERRULE", false);
    static const char *const scans[] = {"CAPSTAN", "B01"}; /* whatever comes next asks again */
    static const char *const cards[] = {"YES", "TAKEN", "INSPECTED", "POUR", "UNKNOWN"};
    for (size_t i = 0; i < sizeof scans / sizeof *scans; i++) {
        (void)room_scan(room, scans[i]);
        room_expect_reason(room, "other-tray", "which is in your hand?");
    }
    for (size_t i = 0; i < sizeof cards / sizeof *cards; i++) {
        (void)room_press(room, cards[i]);
        room_expect_reason(room, "other-tray", "which is in your hand?");
    }
    (void)room_scan(room, room->oak);
    room_expect_reason(room, "other-tray", "which is in your hand?");
    (void)room_scan(room, room->jarl);
    room_expect_reason(room, "other-tray", "which is in your hand?");
    assert_int_equal(room_seq(room), seq);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZTRAY-STAYS\x1e\x04");
    room_expect(room, "go", "check-out", "may go");
    assert_string_equal(
        json_string_value(json_object_get(json_array_get(json_object_get(room->view, "units"), 0), "serial")),
        room->vat_oak);
    assert_int_equal(room_seq(room), seq);
}

static void no_puts_it_aside_and_the_right_tray_answers_too(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE], own[SERIAL_SIZE];
    pair(room, room->vat_oak, tray);
    pair(room, room->vat_flint, own);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, tray);
    (void)room_scan(room, own);
    room_expect(room, "go", "check-out", "may go");
    (void)room_scan(room, tray);
    room_expect_reason(room, "other-tray", "which is in your hand?");
    (void)room_press(room, "NO");
    room_expect(room, NULL, "idle", "Put aside");
    (void)room_scan(room, room->vat_oak);
    room_expect_no_reason(room, "other-tray");
}

static void a_tray_that_moved_is_paired_anew_and_the_storekeeper_hears_of_it(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE], own[SERIAL_SIZE];
    pair(room, room->vat_oak, tray);
    pair(room, room->vat_flint, own);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, tray);
    (void)room_press(room, "TRAY-MOVED");
    room_expect(room, "ask", "check-out", "Scan your badge to say that the tray moved, then TRAY-MOVED again");
    (void)room_scan(room, room->tobias);
    room_expect(room, "stop", "check-out", "which is in your hand?");
    (void)room_press(room, "TRAY-MOVED");
    room_expect_booked(room, true);
    room_expect(room, "go", "check-out", "may go");
    assert_string_equal(room_unit(room, room->vat_flint).pair, tray);
    assert_string_equal(room_unit(room, tray).pair, room->vat_flint);
    assert_string_equal(room_unit(room, room->vat_oak).pair, "");
    assert_string_equal(room_unit(room, own).pair, "");
    assert_true(room_question(room, "tray-moved") > 0);
    room_expect_undo(room, "Tobias: pairing of V");
    (void)room_press(room, "NO");
    (void)room_scan(room, own);
    room_expect(room, "stop", "idle", "a tray that no case has");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    assert_string_equal(room_unit(room, room->vat_flint).pair, own);
    assert_string_equal(room_unit(room, own).pair, room->vat_flint);
    assert_string_equal(room_unit(room, room->vat_oak).pair, tray);
    assert_string_equal(room_unit(room, tray).pair, room->vat_oak);
    assert_int_equal(room_question(room, "tray-moved"), 0);
}

static void a_vat_that_is_retired_takes_its_trays_label_along(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_empty, tray);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, tray);
    (void)room_press(room, "RETIRE");
    (void)room_press(room, "YES");
    assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_RETIRED);
    assert_int_equal(room_unit(room, tray).status, UNIT_RETIRED);
    room_expect_undo(room, "Tobias: retirement of V");
    (void)room_scan(room, tray);
    room_expect(room, "stop", "idle", "is no longer in service (retired)");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, tray).status, UNIT_TRAY);
    assert_string_equal(room_unit(room, tray).pair, room->vat_empty);
}

static void what_has_left_the_room_has_left_with_its_trays_label(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_empty, tray);
    (void)room_scan(room, room->tobias);
    room_act(room, "retire", json_pack("{s:s, s:s}", "unit", room->vat_empty, "reason", "worn"));
    room_act(room, "dispose", json_pack("{s:s}", "unit", room->vat_empty));
    assert_int_equal(room_unit(room, room->vat_empty).status, UNIT_GONE);
    assert_int_equal(room_unit(room, tray).status, UNIT_GONE);
}

static void a_new_pair_is_taken_back_whole(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE], again[SERIAL_SIZE];
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    pair(room, room->vat_flint, tray);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", room->act));
    assert_string_equal(room_unit(room, room->vat_flint).pair, "");
    assert_int_equal(room_unit(room, tray).status, UNIT_VOID);
    pair(room, room->vat_flint, again);
    assert_string_not_equal(again, tray);
    assert_string_equal(room_unit(room, room->vat_flint).pair, again);
}

/* The case has lost its label: the tray leads to the case's new one. */
static void a_new_serial_of_the_vat_keeps_its_tray(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE], fresh[SERIAL_SIZE], act[ACT_ID_SIZE];
    pair(room, room->vat_flint, tray);
    const json_t *answer = room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", room->vat_flint, "confirm", 1));
    (void)snprintf(fresh, sizeof fresh, "%s", json_string_value(json_object_get(answer, "serial")));
    (void)snprintf(act, sizeof act, "%s", room->act);
    assert_string_equal(room_unit(room, fresh).pair, tray);
    assert_string_equal(room_unit(room, tray).pair, fresh);
    assert_string_equal(room_unit(room, room->vat_flint).pair, "");
    (void)room_act(room, "undo", json_pack("{s:s}", "act", act));
    assert_string_equal(room_unit(room, room->vat_flint).pair, tray);
    assert_string_equal(room_unit(room, tray).pair, room->vat_flint);
}

static void what_is_no_vat_in_a_case_has_no_tray(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_flint, tray);
    room_refuses(room, "pair", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "only that has a second label");
    room_refuses(room, "pair", json_pack("{s:s,s:s}", "unit", room->vat_oak, "tray", room->flint), FAULT_INPUT,
                 "not the label of a tray");
    room_refuses(room, "pair", json_pack("{s:s,s:s}", "unit", room->vat_flint, "tray", tray), FAULT_REFUSED,
                 "are a pair already");
    room_refuses(room, "inspect", json_pack("{s:s,s:s}", "unit", tray, "film", "clear"), FAULT_REFUSED, "say that one");
    (void)room_act(room, "pair", json_pack("{s:s,s:s}", "unit", room->vat_oak, "tray", tray)); /* as somebody saw */
    assert_string_equal(room_unit(room, room->vat_oak).pair, tray);
    assert_true(room_question(room, "tray-moved") > 0);
}

/* Taken as it was: what a script calls by its tray is booked as its vat, and the tray stays a label. */
static void a_tray_that_was_taken_is_its_vat(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_flint, tray);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", tray, "printer", "CAPSTAN", "taken", 1));
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_OUT);
    assert_string_equal(room_unit(room, room->vat_flint).printer, "CAPSTAN");
    assert_int_equal(room_unit(room, tray).status, UNIT_TRAY);
    room_expect(room, "go", "idle", room->vat_flint);
    room_refuses(room, "check-out",
                 json_pack("{s:[s,s],s:s,s:b}", "units", tray, room->vat_flint, "printer", "CAPSTAN", "taken", 1),
                 FAULT_INPUT, "leave one out");
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "ANNEX", "kind", "room"));
    (void)room_act(room, "lend", json_pack("{s:[s],s:s,s:b}", "units", tray, "place", "ANNEX", "taken", 1));
    assert_string_equal(room_unit(room, room->vat_flint).place, "ANNEX");
    assert_int_equal(room_unit(room, tray).status, UNIT_TRAY);
}

static void a_tray_that_no_case_has_is_taken_by_nobody(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    pair(room, room->vat_flint, tray);
    char other[SERIAL_SIZE];
    pair(room, room->vat_flint, other); /* the first is parted */
    assert_string_equal(room_unit(room, tray).pair, "");
    room_refuses(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", tray, "printer", "CAPSTAN", "taken", 1),
                 FAULT_REFUSED, "the label of a tray that no case has");
    assert_int_equal(room_unit(room, tray).status, UNIT_TRAY);
}

/* A vat without a case has its label on the tray, and that is the unit. */
static void a_tray_that_is_a_unit_of_its_own_stays_one(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    (void)room_act(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "TRAY", "letter", "T", "name", "Open vat"));
    room_take_on(room, "TRAY", json_pack("{s:s}", "resin", "FLINT"), serial);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, serial);
    room_expect(room, "ask", "check-out", "No use-by date is known");
    room_refuses(room, "pair", json_pack("{s:s,s:s}", "unit", room->vat_oak, "tray", serial), FAULT_INPUT,
                 "not the label of a tray");
}

static void who_pairs_is_said_in_an_act(void **state)
{
    struct room *room = *state;
    room->person[0] = '\0';
    room_refuses(room, "pair", json_pack("{s:s}", "unit", room->vat_flint), FAULT_INPUT, "'person' is missing");
    assert_string_equal(room_unit(room, room->vat_flint).pair, "");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_trays_label_is_ordered_printed_and_proved_and_is_no_stock),
        IN_ROOM(a_tray_alone_stands_for_its_vat_and_the_case_is_asked_for),
        IN_ROOM(with_the_case_open_the_tray_is_all_that_is_scanned),
        IN_ROOM(a_tray_of_another_case_stops_and_nothing_is_booked),
        IN_ROOM(no_puts_it_aside_and_the_right_tray_answers_too),
        IN_ROOM(a_tray_that_moved_is_paired_anew_and_the_storekeeper_hears_of_it),
        IN_ROOM(a_vat_that_is_retired_takes_its_trays_label_along),
        IN_ROOM(what_has_left_the_room_has_left_with_its_trays_label),
        IN_ROOM(a_new_pair_is_taken_back_whole),
        IN_ROOM(a_new_serial_of_the_vat_keeps_its_tray),
        IN_ROOM(what_is_no_vat_in_a_case_has_no_tray),
        IN_ROOM(a_tray_that_was_taken_is_its_vat),
        IN_ROOM(a_tray_that_no_case_has_is_taken_by_nobody),
        IN_ROOM(a_tray_that_is_a_unit_of_its_own_stays_one),
        IN_ROOM(who_pairs_is_said_in_an_act),
    };
    return cmocka_run_group_tests_name("desk/pair", tests, room_group_setup, room_group_teardown);
}

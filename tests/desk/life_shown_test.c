#include "kiosk/desk/life_shown.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What a printer shows of a life, beside ours. The room's small vats have 10 hours on them; here they are rated for
 * 500: 490 left, and up to 50 hours either way are no difference. Common practice, no source. */

static void rate(struct room *room, int hours)
{
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-S", "letter", "V", "name", "Small vat", "life_hours", hours));
}

static json_t *shown(const char *unit, int hours)
{
    return json_pack("{s:s,s:i}", "unit", unit, "hours", hours);
}

static void scan_card(struct room *room, const char *word)
{
    char bytes[64];
    snprintf(bytes, sizeof bytes,
             "[)>\x1e"
             "06\x1dZ%s\x1e\x04",
             word);
    (void)room_scan(room, bytes);
}

/* Of the newest reading of a vat. */
static struct movement reading(struct room *room, const char *serial)
{
    struct movement movement;
    bool found = false;
    assert_true(ledger_last_of_unit(room->reader, serial, MOVEMENT_LIFE_SHOWN, &movement, &found, NULL));
    assert_true(found);
    return movement;
}

static void one_that_agrees_is_booked_beside_ours_and_asks_nothing(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    const int64_t ours = room_unit(room, room->vat_flint).minutes;
    (void)room_act(room, "life-shown", shown(room->vat_flint, 488));
    room_expect(room, "go", "idle", " has 490 h left, the printer shows 488.");
    room_expect_booked(room, true);
    assert_int_equal(room_question(room, NULL), 0);
    assert_int_equal(room_unit(room, room->vat_flint).minutes, ours);
    const struct movement movement = reading(room, room->vat_flint);
    assert_int_equal(movement.minutes, 488 * 60);
    assert_string_equal(movement.detail, "{\"left\":29400,\"life\":30000}");
}

static void one_that_differs_asks_the_storekeeper_and_changes_no_hours(void **state)
{
    struct room *room = *state;
    struct question question;
    bool found = false;
    char says[160];
    rate(room, 500);
    const int64_t ours = room_unit(room, room->vat_flint).minutes;
    (void)room_act(room, "life-shown", shown(room->vat_flint, 439));
    room_expect(room, "go", "idle", "our books 490. The storekeeper is asked which is right");
    assert_true(question_load(room->reader, room_question(room, "life-differs"), &question, &found, NULL) && found);
    assert_string_equal(question.unit, room->vat_flint);
    snprintf(says, sizeof says,
             "The printer shows 439 h left of %s, our books 490 h (10 of 500 used). Look who used it", room->vat_flint);
    assert_non_null(strstr(question.note, says));
    assert_non_null(strstr(question.note, "; then settle."));
    assert_int_equal(room_unit(room, room->vat_flint).minutes, ours);
}

static void a_second_one_asks_again_only_when_the_first_is_settled(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    (void)room_act(room, "life-shown", shown(room->vat_flint, 300));
    const int64_t first = room_question(room, "life-differs");
    (void)room_act(room, "life-shown", shown(room->vat_flint, 290));
    assert_int_equal(room_movements(room, MOVEMENT_LIFE_SHOWN), 2);
    assert_int_equal(room_movements(room, MOVEMENT_QUESTION), 1);
    (void)room_act(room, "life-shown", shown(room->vat_oak, 290)); /* another thing has its own */
    assert_int_equal(room_movements(room, MOVEMENT_QUESTION), 2);
    (void)room_act(room, "settle",
                   json_pack("{s:I,s:s}", "question", (json_int_t)first, "how", "the film was renewed"));
    (void)room_act(room, "life-shown", shown(room->vat_flint, 289));
    assert_int_equal(room_movements(room, MOVEMENT_QUESTION), 3);
}

static void undo_takes_reading_and_question_back(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    (void)room_act(room, "life-shown", shown(room->vat_flint, 300));
    assert_true(room_question(room, "life-differs") > 0);
    room_expect_undo(room, "Maren: life that a printer shows of V");
    (void)room_act(room, "undo", json_object());
    room_expect(room, "go", "idle", "Taken back");
    assert_int_equal(room_question(room, "life-differs"), 0);
    assert_int_equal(room_movements(room, MOVEMENT_CORRECTION), 1);
}

/* Badge, vat, LIFE-SHOWN, hours that add up, YES: no key, no storekeeper. */
static void a_technician_says_it_by_scans_alone(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    room_expect_key(room, "LIFE-SHOWN", true);
    scan_card(room, "LIFE-SHOWN");
    room_expect(room, "ask", "life", "How many hours does the printer show left of V");
    room_expect_key(room, "YES", false);
    assert_non_null(strstr(json_string_value(json_array_get(json_object_get(room->view, "prompts"), 0)),
                           "do not open the cover while the light is on"));
    scan_card(room, "YES"); /* nothing is said yet */
    room_expect(room, "ask", "life", "How many hours");
    scan_card(room, "1000H");
    scan_card(room, "0H");
    room_expect(room, "ask", "life", "The printer shows 0 h left of V");
    scan_card(room, "200H");
    scan_card(room, "200H");
    scan_card(room, "48H");
    room_expect(room, "ask", "life", "The printer shows 448 h left of V");
    scan_card(room, "250ML");
    room_expect(room, NULL, "life", "The card 250ML says no hours");
    scan_card(room, "100000H");
    room_expect(room, "ask", "life", "more than 100000 h: 0H begins anew");
    assert_int_equal(room_movements(room, MOVEMENT_LIFE_SHOWN), 0);
    scan_card(room, "YES");
    room_expect(room, "go", "idle", " has 490 h left, the printer shows 448.");
    assert_string_equal(reading(room, room->vat_flint).person, room->tobias);
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_OUT); /* it stays in its printer */
}

static void whoever_read_it_is_asked_for_the_badge(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "LIFE-SHOWN");
    (void)room_press(room, "48H");
    (void)room_press(room, "YES");
    room_expect(room, "ask", "life", "Scan your badge to say who read it, then YES");
    (void)room_scan(room, room->jarl);
    room_expect(room, "ask", "life", "The printer shows 48 h left of V"); /* what was said is kept */
    (void)room_press(room, "YES");
    assert_int_equal(room_movements(room, MOVEMENT_LIFE_SHOWN), 1);
}

/* The hours of a job that were said are not thrown away for the printer's number. */
static void what_comes_back_half_said_is_brought_back_first(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    room_expect_check_in_first(room, "LIFE-SHOWN");
}

static void a_card_without_one_thing_of_a_rated_life_says_what_is_missing(void **state)
{
    struct room *room = *state;
    (void)room_press(room, "LIFE-SHOWN");
    room_expect(room, NULL, "idle", "Scan the one vat or platform whose life");
    (void)room_scan(room, room->flint);
    (void)room_press(room, "LIFE-SHOWN");
    room_expect(room, NULL, "check-out", "Scan the one vat or platform");
    (void)room_press(room, "NO");
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "LIFE-SHOWN");
    room_expect(room, NULL, "check-out", "Nothing is booked: no rated life is entered for V");
    room_refuses(room, "life-shown", shown(room->vat_flint, 10), FAULT_REFUSED, "with the item VAT-S on the page Room");
}

static void hours_that_nobody_knew_are_taken_from_the_printer_and_undone_with_it(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    rate(room, 500);
    room_take_on(room, "VAT-S", NULL, vat);
    assert_true(room_unit(room, vat).minutes == MOVEMENT_NULL);
    (void)room_act(room, "life-shown", shown(vat, 3));
    room_expect(room, "go", "idle", "Our books did not know its hours: they take 497 of 500 used from it.");
    assert_int_equal(room_question(room, NULL), 0);
    assert_string_equal(reading(room, vat).detail, "{\"life\":30000,\"used\":29820}");
    assert_int_equal(room_unit(room, vat).minutes, 29820);
    (void)room_act(room, "undo", json_object());
    assert_true(room_unit(room, vat).minutes == MOVEMENT_NULL);
    (void)room_act(room, "life-shown", shown(vat, 600)); /* more than it is rated for: none used */
    assert_int_equal(room_unit(room, vat).minutes, 0);
    (void)room_act(room, "life-shown", shown(vat, 500));
    room_expect(room, "go", "idle", " has 500 h left, the printer shows 500.");
}

static void a_platform_of_a_rated_life_is_read_too(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "PLATE", "letter", "P", "name", "Platform", "life_hours", 2000));
    room_take_on(room, "PLATE", json_pack("{s:i}", "hours", 250), plate);
    (void)room_act(room, "life-shown", shown(plate, 1900));
    room_expect(room, "go", "idle", " has 1750 h left, the printer shows 1900.");
}

static void what_cannot_be_understood_says_what_is_wrong(void **state)
{
    struct room *room = *state;
    rate(room, 500);
    room_refuses(room, "life-shown", json_pack("{s:s}", "unit", room->vat_flint), FAULT_INPUT, "'hours' is missing");
    room_refuses(room, "life-shown", shown(room->vat_flint, -1), FAULT_INPUT, "'hours'");
    room_refuses(room, "life-shown", shown(room->vat_flint, 100001), FAULT_INPUT, "'hours'");
    room_refuses(room, "life-shown", shown(room->flint, 10), FAULT_INPUT, "no printer shows how long it lasts");
    room_refuses(room, "life-shown", shown("V9999999", 10), FAULT_MISSING, "V9999999");
    const json_t *answer = room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Ida", "role", "receiver"));
    (void)span_copy(span_of(json_string_value(json_object_get(answer, "serial"))), room->person, sizeof room->person);
    room_refuses(room, "life-shown", shown(room->vat_flint, 10), FAULT_REFUSED, "says what a printer shows");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(one_that_agrees_is_booked_beside_ours_and_asks_nothing),
        IN_ROOM(one_that_differs_asks_the_storekeeper_and_changes_no_hours),
        IN_ROOM(a_second_one_asks_again_only_when_the_first_is_settled),
        IN_ROOM(undo_takes_reading_and_question_back),
        IN_ROOM(a_technician_says_it_by_scans_alone),
        IN_ROOM(whoever_read_it_is_asked_for_the_badge),
        IN_ROOM(what_comes_back_half_said_is_brought_back_first),
        IN_ROOM(a_card_without_one_thing_of_a_rated_life_says_what_is_missing),
        IN_ROOM(hours_that_nobody_knew_are_taken_from_the_printer_and_undone_with_it),
        IN_ROOM(a_platform_of_a_rated_life_is_read_too),
        IN_ROOM(what_cannot_be_understood_says_what_is_wrong),
    };
    return cmocka_run_group_tests_name("desk/life_shown", tests, room_group_setup, room_group_teardown);
}

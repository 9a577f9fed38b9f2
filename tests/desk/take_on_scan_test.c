#include "kiosk/desk/take_on_scan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What stands there is taken on with scans alone. */

static int scans; /* of the test under way */

static void scan_label(struct room *room, const char *text, size_t length, const char *symbology)
{
    scans++;
    (void)room_scan_bytes(room, text, length, symbology);
}

static void card(struct room *room, const char *word)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(card_label_write(word, text, &length, NULL));
    scan_label(room, text, length, "]d1");
}

static void item_card(struct room *room, const char *item)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(item_label_write(item, text, &length, NULL));
    scan_label(room, text, length, "]d1");
}

static void shelf(struct room *room, const char *place)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(place_label_write(place, text, &length, NULL));
    scan_label(room, text, length, "]d1");
}

static void makers_code(struct room *room, const char *gtin, const char *lot)
{
    char text[64];
    const int length = snprintf(text, sizeof text,
                                "01%s17270214"
                                "10%s",
                                gtin, lot);
    scan_label(room, text, (size_t)length, "]d2");
}

static void our_label(struct room *room, const char *serial)
{
    const struct unit_label empty = {.serial = ""};
    struct unit_label label = empty;
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    (void)snprintf(label.serial, sizeof label.serial, "%s", serial);
    assert_true(unit_label_write(&label, text, &length, NULL));
    scan_label(room, text, length, "]d1");
}

/* YES, then its label, stuck on: the unit as it is then. */
static struct unit yes_and_label(struct room *room)
{
    char serial[SERIAL_SIZE];
    card(room, "YES");
    room_expect_booked(room, true);
    room_expect(room, "go", "take-on", "Stick its label on, scan it");
    const json_t *units = json_object_get(room->view, "units");
    const json_t *last = json_array_get(units, json_array_size(units) - 1);
    (void)snprintf(serial, sizeof serial, "%s", json_string_value(json_object_get(last, "serial")));
    assert_int_equal(room_print(room, serial, "", 1).state, PRINT_WAITING);
    our_label(room, serial);
    room_expect(room, "go", "take-on", "is proved");
    const struct unit unit = room_unit(room, serial);
    assert_true(unit.labelled);
    assert_string_equal(unit.place, "A02");
    return unit;
}

static void enter_platform(struct room *room)
{
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s}", "code", "PLATE", "letter", "P", "name", "Build platform"));
}

/* Six things, badge, card and shelf once: no thing takes more than five scans, its proof included. */
static void a_whole_shelf_of_six_things_is_taken_on_with_scans_alone(void **state)
{
    struct room *room = *state;
    enum { MOST_A_THING = 5 };
    int most = 0;
    enter_platform(room);
    room_scan(room, room->maren);
    card(room, "TAKE-ON");
    room_expect(room, "ask", "take-on", "scan the shelf");
    shelf(room, "A02");
    room_expect(room, "ask", "take-on", "A02: scan the item's card");
    for (int thing = 0; thing < 6; thing++) {
        struct unit unit;
        scans = 0;
        switch (thing) {
        case 0: /* full, unopened: the maker's code says lot and date */
            makers_code(room, "09506000135007", "FL-7");
            room_expect(room, "ask", "take-on", "Take on Flint cartridge, lot FL-7, use by 2027-02-14, amount unknown");
            card(room, "1000ML");
            unit = yes_and_label(room);
            assert_string_equal(unit.lot, "FL-7");
            assert_int_equal(unit.amount_ul, 1000000);
            break;
        case 1: /* nobody knows how much */
            makers_code(room, "09506000135007", "FL-7");
            unit = yes_and_label(room);
            assert_int_equal(unit.amount_ul, MOVEMENT_NULL);
            break;
        case 2:
            item_card(room, "OAK");
            card(room, "250ML");
            unit = yes_and_label(room);
            assert_string_equal(unit.resin, "OAK");
            assert_int_equal(unit.amount_ul, 250000);
            break;
        case 3:
            item_card(room, "PLATE");
            room_expect(room, "ask", "take-on", "how many hours of light?");
            room_expect_key(room, "YES", false);
            card(room, "12H");
            unit = yes_and_label(room);
            assert_int_equal(unit.minutes, 720);
            break;
        case 4: /* hours nobody knows are said, and are not 0 */
            item_card(room, "VAT-S");
            card(room, "UNKNOWN");
            room_expect(room, "ask", "take-on", "hours unknown");
            unit = yes_and_label(room);
            assert_int_equal(unit.minutes, MOVEMENT_NULL);
            assert_string_equal(unit.resin, "");
            break;
        default: /* a vat with resin in it */
            item_card(room, "VAT-S");
            makers_code(room, "09506000135007", "FL-8");
            card(room, "48H");
            unit = yes_and_label(room);
            assert_string_equal(unit.item, "VAT-S");
            assert_string_equal(unit.resin, "FLINT");
            assert_string_equal(unit.lot, "FL-8");
            assert_int_equal(unit.minutes, 2880);
            break;
        }
        most = scans > most ? scans : most;
    }
    assert_int_equal(most, MOST_A_THING);
    card(room, "DONE");
    room_expect(room, NULL, "idle", "Signed out");
}

static void a_shelf_and_then_an_items_card_begin_it_too(void **state)
{
    struct room *room = *state;
    room_scan(room, room->maren);
    shelf(room, "A02");
    item_card(room, "OAK");
    room_expect(room, "ask", "take-on", "Take on Oak cartridge, amount unknown, at A02?");
    assert_int_equal(yes_and_label(room).status, UNIT_IN);
}

static void an_items_card_alone_asks_where_it_stands(void **state)
{
    struct room *room = *state;
    item_card(room, "OAK");
    room_expect(room, "ask", "take-on", "scan the shelf it stands on");
    room_expect_key(room, "YES", false);
    room_press(room, "YES");
    room_expect_booked(room, false);
    room_scan(room, "CAPSTAN");
    room_expect(room, "ask", "take-on", "is a printer");
    shelf(room, "A02");
    room_expect(room, "ask", "take-on", "at A02?");
    room_press(room, "YES");
    room_expect(room, "ask", "take-on", "Scan your badge");
    room_scan(room, room->tobias);
    room_press(room, "YES");
    room_expect_booked(room, false); /* a technician does not take on */
    room_expect_reason(room, "not-allowed", "");
    room_scan(room, room->maren);
    room_press(room, "YES");
    room_expect_booked(room, true);
}

/* What the first label waits for does not hold up the next thing. */
static void the_next_thing_may_be_said_before_the_label_is_scanned(void **state)
{
    struct room *room = *state;
    const int64_t before = room_movements(room, MOVEMENT_TAKE_ON);
    room_scan(room, room->maren);
    card(room, "TAKE-ON");
    shelf(room, "A02");
    item_card(room, "OAK");
    card(room, "YES");
    const char *serial =
        json_string_value(json_object_get(json_array_get(json_object_get(room->view, "units"), 0), "serial"));
    char first[SERIAL_SIZE];
    (void)snprintf(first, sizeof first, "%s", serial);
    item_card(room, "CHALK");
    our_label(room, first);
    room_expect(room, "ask", "take-on", "is proved. Take on Chalk cartridge");
    assert_true(room_unit(room, first).labelled);
    card(room, "YES");
    room_expect_booked(room, true);
    assert_int_equal(room_movements(room, MOVEMENT_TAKE_ON), before + 2);
}

static void another_items_card_begins_afresh_and_a_card_that_says_nothing_of_it_is_told(void **state)
{
    struct room *room = *state;
    card(room, "TAKE-ON");
    shelf(room, "A02");
    item_card(room, "VAT-S");
    card(room, "12H");
    card(room, "FILM-FOGGED");
    room_expect(room, "ask", "take-on", "12 h, film fogged");
    item_card(room, "VAT-L");
    room_expect(room, "ask", "take-on", "how many hours of light?");
    item_card(room, "OAK"); /* into the vat */
    room_expect(room, "ask", "take-on", "Take on Large vat with OAK, amount unknown");
    card(room, "NO");
    card(room, "TAKE-ON");
    shelf(room, "A02");
    item_card(room, "OAK");
    card(room, "12H");
    room_expect(room, NULL, "take-on", "says nothing here");
    our_label(room, room->flint);
    room_expect(room, NULL, "take-on", "has our label and is booked (at A01)");
}

/* Looked for and never booked: the card keeps shelf, item and lot. */
static void what_was_never_booked_goes_on_from_the_lost_label(void **state)
{
    struct room *room = *state;
    room_scan(room, room->maren);
    card(room, "LABEL-LOST");
    shelf(room, "A02");
    makers_code(room, "09506000135038", "CH-99");
    room_expect(room, "ask", "label-lost", "it was never booked");
    room_expect_key(room, "TAKE-ON", true);
    card(room, "TAKE-ON");
    room_expect(room, "ask", "take-on",
                "Take on Chalk cartridge, lot CH-99, use by 2027-02-14, amount unknown, at A02?");
    assert_string_equal(yes_and_label(room).lot, "CH-99");
}

static void undo_takes_the_last_one_back(void **state)
{
    struct room *room = *state;
    room_scan(room, room->maren);
    shelf(room, "A02");
    item_card(room, "OAK");
    const struct unit unit = yes_and_label(room);
    card(room, "UNDO");
    assert_int_equal(room_unit(room, unit.serial).status, UNIT_VOID);
}

static void hours_nobody_knows_leave_the_amount_as_it_was_said(void **state)
{
    struct room *room = *state;
    room_scan(room, room->maren);
    shelf(room, "A02");
    item_card(room, "VAT-S");
    makers_code(room, "09506000135007", "FL-8");
    card(room, "300ML");
    card(room, "UNKNOWN");
    room_expect(room, "ask", "take-on", "300 ml, hours unknown");
    const struct unit unit = yes_and_label(room);
    assert_int_equal(unit.amount_ul, 300000);
    assert_int_equal(unit.minutes, MOVEMENT_NULL);
    item_card(room, "OAK"); /* no hours: the card can only mean the amount */
    card(room, "250ML");
    card(room, "UNKNOWN");
    room_expect(room, "ask", "take-on", "amount unknown");
    assert_int_equal(yes_and_label(room).amount_ul, MOVEMENT_NULL);
}

static void an_amount_off_by_a_thousand_is_asked_about_before_it_is_booked(void **state)
{
    struct room *room = *state;
    room_scan(room, room->maren);
    card(room, "TAKE-ON");
    shelf(room, "A02");
    makers_code(room, "09506000135007", "FL-7");
    room_press(room, "640000ML");
    room_expect(room, "ask", "take-on", "640000 ml");
    room_expect_reason(room, "amount-unlikely", "was 640 ml meant?");
    room_press(room, "640ML");
    room_expect_no_reason(room, "amount-unlikely");
    room_press(room, "640000ML");
    room_press(room, "YES"); /* it was asked about, and it is so */
    room_expect_booked(room, true);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_whole_shelf_of_six_things_is_taken_on_with_scans_alone),
        IN_ROOM(a_shelf_and_then_an_items_card_begin_it_too),
        IN_ROOM(an_items_card_alone_asks_where_it_stands),
        IN_ROOM(the_next_thing_may_be_said_before_the_label_is_scanned),
        IN_ROOM(another_items_card_begins_afresh_and_a_card_that_says_nothing_of_it_is_told),
        IN_ROOM(what_was_never_booked_goes_on_from_the_lost_label),
        IN_ROOM(undo_takes_the_last_one_back),
        IN_ROOM(hours_nobody_knows_leave_the_amount_as_it_was_said),
        IN_ROOM(an_amount_off_by_a_thousand_is_asked_about_before_it_is_booked),
    };
    return cmocka_run_group_tests_name("desk/take_on_scan", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/label_lost.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* A thing without its label, found by elimination with scans alone. */

static void card(struct room *room, const char *word)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(card_label_write(word, text, &length, NULL));
    (void)room_scan_bytes(room, text, length, "]d1");
}

static void item_card(struct room *room, const char *item)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(item_label_write(item, text, &length, NULL));
    (void)room_scan_bytes(room, text, length, "]d1");
}

/* The maker's code of an item and a lot: GS1 element strings. */
static void code_of(struct room *room, const char *gtin, const char *lot)
{
    char text[64];
    const int length = snprintf(text, sizeof text, "01%s10%s", gtin, lot);
    (void)room_scan_bytes(room, text, (size_t)length, "]d2");
}

/* Flint's. */
static void makers_code(struct room *room, const char *lot)
{
    code_of(room, "09506000135007", lot);
}

static size_t candidates(const struct room *room)
{
    return json_array_size(json_object_get(room->view, "candidates"));
}

/* Badge, card, shelf, maker's code, one neighbour, YES: two of the lot stand there. */
static void the_one_whose_label_nobody_saw_must_be_it(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    card(room, "LABEL-LOST");
    room_expect(room, "ask", "label-lost", "scan the shelf or printer");
    room_scan(room, "A01");
    room_expect(room, "ask", "label-lost", "scan the item's card");
    makers_code(room, "FL-1");
    room_expect(room, "ask", "label-lost", "2 may be it: ");
    assert_int_equal(candidates(room), 2);
    room_expect_key(room, "YES", false);
    room_scan(room, room->flint_more);
    room_expect(room, "ask", "label-lost", "It must be ");
    room_expect(room, "ask", "label-lost", "(Flint cartridge, lot FL-1, 1000 ml)");
    room_expect(room, "ask", "label-lost", room->flint);
    room_expect_key(room, "YES", true);
    card(room, "YES");
    room_expect_booked(room, true);
    const struct unit old = room_unit(room, room->flint);
    assert_int_equal(old.status, UNIT_RELABELLED);
    assert_int_equal(room_question(room, "label-chosen"), 0); /* nobody had to choose */
    room_scan(room, old.heir);
    room_expect(room, "go", "proof", "it stands at A01");
}

static void a_neighbours_label_says_the_kind_and_is_left_out(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "B01");
    room_scan(room, room->vat_empty);
    room_expect(room, "ask", "label-lost", "3 may be it: ");
    room_expect(room, "ask", "label-lost", "They differ: resin, film.");
    room_scan(room, room->vat_empty); /* twice is once */
    assert_int_equal(candidates(room), 3);
    room_scan(room, room->vat_flint);
    room_scan(room, room->vat_oak);
    room_expect(room, "ask", "label-lost", room->vat_fogged);
    room_press(room, "YES");
    assert_int_equal(room_unit(room, room->vat_fogged).status, UNIT_RELABELLED);
}

static void a_printer_is_where_a_thing_may_stand_too(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:i}", "units", room->vat_empty, "printer", "CAPSTAN", "need_ml", 10));
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "CAPSTAN");
    item_card(room, "VAT-S");
    room_expect(room, "ask", "label-lost", "It must be ");
    room_expect(room, "ask", "label-lost", room->vat_empty);
    room_press(room, "YES");
    const struct unit old = room_unit(room, room->vat_empty), fresh = room_unit(room, old.heir);
    assert_int_equal(fresh.status, UNIT_OUT);
    assert_string_equal(fresh.printer, "CAPSTAN");
}

/* One that is out by the books may have come back unbooked: it is said, and its label rules it out. */
static void one_that_is_out_is_said_until_its_label_is_seen(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:i}", "units", room->flint_more, "printer", "SEXTANT", "need_ml", 10));
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    makers_code(room, "FL-1");
    room_expect(room, "ask", "label-lost", "It is probably ");
    room_expect_reason(room, "also-out", room->flint_more);
    room_scan(room, room->flint_more);
    room_expect(room, "ask", "label-lost", "It must be ");
    room_expect_no_reason(room, "also-out");
}

/* Whatever the code says: nobody knows that it is not of this lot. */
static void one_of_an_unknown_lot_may_be_it_too(void **state)
{
    struct room *room = *state;
    char unknown[SERIAL_SIZE];
    room_take_on(room, "FLINT", NULL, unknown);
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    makers_code(room, "FL-1");
    room_expect(room, "ask", "label-lost", "3 may be it: ");
    room_scan(room, room->flint);
    room_scan(room, room->flint_more);
    room_expect(room, "ask", "label-lost", "It must be ");
    room_expect(room, "ask", "label-lost", unknown);
    room_expect_key(room, "TAKE-ON", false);
}

static void a_bottle_that_holds_a_mix_may_be_it_whatever_the_code_on_it_says(void **state)
{
    struct room *room = *state;
    char bottle[SERIAL_SIZE];
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s,s:s}", "code", "FLINT-R", "letter", "R", "name", "Flint bottle",
                             "resin", "Flint", "revision", "2", "gtin", "09506000135069"));
    json_t *more = json_pack("{s:s,s:i}", "lot", "FL-5", "amount_ml", 500);
    json_object_set_new(more, "expires", room_day(room, 240));
    room_take_on(room, "FLINT-R", more, bottle);
    (void)room_act(room, "pour",
                   json_pack("{s:s,s:s,s:i,s:b}", "from", room->flint, "to", bottle, "amount_ml", 100, "confirm", 1));
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, bottle).lot, "");
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    code_of(room, "09506000135069", "FL-5");
    room_expect(room, "ask", "label-lost", "It must be ");
    room_expect(room, "ask", "label-lost", bottle);
}

static void one_of_an_unknown_lot_that_is_out_is_said(void **state)
{
    struct room *room = *state;
    char unknown[SERIAL_SIZE];
    room_take_on(room, "OAK", json_pack("{s:i}", "amount_ml", 900), unknown);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", unknown, "printer", "SEXTANT", "taken", 1));
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    code_of(room, "09506000135014", "OK-1");
    room_expect(room, "ask", "label-lost", "It is probably ");
    room_expect_reason(room, "also-out", unknown);
}

/* A vat's lot is that of the resin in it, and the code on its case says another. */
static void the_lot_on_a_vats_case_leaves_no_vat_out(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "B01");
    code_of(room, "09506000135045", "CASE-7");
    room_expect(room, "ask", "label-lost", "4 may be it: ");
    room_scan(room, room->vat_flint);
    room_scan(room, room->vat_oak);
    room_scan(room, room->vat_fogged);
    room_expect(room, "ask", "label-lost", room->vat_empty);
}

/* Moved without a scan, it is not taken on a second time: its label is looked for where it should be. */
static void one_that_is_booked_elsewhere_is_looked_for_there_first(void **state)
{
    struct room *room = *state;
    char says[60];
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A02");
    item_card(room, "OAK");
    (void)snprintf(says, sizeof says, "%s is booked at A01: scan its label there first", room->oak);
    room_expect(room, "ask", "label-lost", says);
    room_scan(room, "A01"); /* no label hangs there */
    room_expect(room, "ask", "label-lost", "It must be ");
    room_expect(room, "ask", "label-lost", room->oak);
    room_scan(room, "A02");
    room_scan(room, room->oak); /* it does: then this is another one */
    room_expect(room, "ask", "label-lost", "it was never booked");
    item_card(room, "FLINT");
    room_expect(room, "ask", "label-lost", "and 1 more: scan their labels there first");
}

static void when_all_were_seen_it_was_never_booked(void **state)
{
    struct room *room = *state;
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    item_card(room, "CHALK");
    room_scan(room, room->chalk);
    room_expect(room, "ask", "label-lost", "it was never booked");
    room_expect_key(room, "YES", false);
    room_press(room, "YES");
    room_expect_booked(room, false);
}

static void nobody_signed_in_is_asked_for_a_badge_and_nothing_is_forgotten(void **state)
{
    struct room *room = *state;
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    item_card(room, "OAK");
    room_expect(room, "ask", "label-lost", room->oak);
    room_press(room, "YES");
    room_expect(room, "ask", "label-lost", "Scan your badge");
    room_restart(room);
    room_scan(room, room->tobias);
    room_expect(room, "ask", "label-lost", room->oak);
    room_press(room, "YES");
    assert_int_equal(room_unit(room, room->oak).status, UNIT_RELABELLED);
}

/* Among several a person may choose on the page: booked, and the storekeeper is asked. */
static void choosing_among_several_opens_a_question(void **state)
{
    struct room *room = *state;
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    makers_code(room, "FL-1");
    assert_int_equal(candidates(room), 2);
    (void)room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", room->flint, "confirm", 1));
    room_expect(room, "go", "idle", "from now on");
    assert_true(room_question(room, "label-chosen") > 0);
}

static void who_found_it_by_elimination_is_not_asked_about_it_on_the_page_either(void **state)
{
    struct room *room = *state;
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    item_card(room, "OAK");
    (void)room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", room->oak, "confirm", 1));
    assert_int_equal(room_question(room, "label-chosen"), 0);
}

static void one_that_was_moved_meanwhile_is_not_booked_by_an_old_yes(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    item_card(room, "OAK");
    room_expect_key(room, "YES", true);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", room->oak, "place", "A02"));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    room_press(room, "YES");
    room_expect_booked(room, false);
    room_expect(room, "ask", "label-lost", "is booked at A02: scan its label there first");
    room_press(room, "NO");
    room_expect(room, NULL, "idle", "nothing was booked");
}

static void a_card_or_code_of_no_item_is_said_and_the_rest_stays(void **state)
{
    struct room *room = *state;
    room_scan(room, room->flint);
    item_card(room, "OAK");
    room_expect(room, NULL, "check-out", "an item's card takes on what stands here");
    room_press(room, "LABEL-LOST");
    room_scan(room, "A01");
    item_card(room, "GRANITE");
    room_expect_reason(room, "unknown", "GRANITE");
    (void)room_scan_bytes(room, "0109506000139999", 16, "]d2");
    room_expect(room, "ask", "label-lost", "names no item that is known here");
    room_scan(room, "oak"); /* typed */
    room_expect(room, "ask", "label-lost", room->oak);
    (void)room_scan_picture(room, "[)>\x1e"
                                  "06\x1dPOAK\x1e\x04");
    room_expect(room, "stop", "label-lost", "in a photograph does not count");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(the_one_whose_label_nobody_saw_must_be_it),
        IN_ROOM(a_neighbours_label_says_the_kind_and_is_left_out),
        IN_ROOM(a_printer_is_where_a_thing_may_stand_too),
        IN_ROOM(one_that_is_out_is_said_until_its_label_is_seen),
        IN_ROOM(one_of_an_unknown_lot_may_be_it_too),
        IN_ROOM(a_bottle_that_holds_a_mix_may_be_it_whatever_the_code_on_it_says),
        IN_ROOM(one_of_an_unknown_lot_that_is_out_is_said),
        IN_ROOM(the_lot_on_a_vats_case_leaves_no_vat_out),
        IN_ROOM(one_that_is_booked_elsewhere_is_looked_for_there_first),
        IN_ROOM(when_all_were_seen_it_was_never_booked),
        IN_ROOM(nobody_signed_in_is_asked_for_a_badge_and_nothing_is_forgotten),
        IN_ROOM(choosing_among_several_opens_a_question),
        IN_ROOM(who_found_it_by_elimination_is_not_asked_about_it_on_the_page_either),
        IN_ROOM(one_that_was_moved_meanwhile_is_not_booked_by_an_old_yes),
        IN_ROOM(a_card_or_code_of_no_item_is_said_and_the_rest_stays),
    };
    return cmocka_run_group_tests_name("desk/label_lost", tests, room_group_setup, room_group_teardown);
}

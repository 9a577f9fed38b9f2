#include "kiosk/desk/pour.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/contents.h"
#include "labels/basics/text.h"
#include "tests/desk/room.h"

/* Badge, cartridge, vat, the card, the amount: five scans and no key. */
static void a_vat_is_filled_by_scans_alone(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->flint);
    room_scan(room, room->vat_empty);
    room_scan(room, "[)>\x1e"
                    "06\x1dZPOUR\x1e\x04");
    room_expect(room, "ask", "pour", "How much from");
    room_expect_key(room, "ALL", true);
    room_scan(room, "[)>\x1e"
                    "06\x1dZ500ML\x1e\x04");
    room_expect(room, "go", "idle", "500 ml");
    room_expect_booked(room, true);
    room_expect_content(room, room->flint, "500000:FLINT:FL-1");
    room_expect_content(room, room->vat_empty, "500000:FLINT:FL-1");
    const struct unit vat = room_unit(room, room->vat_empty), cartridge = room_unit(room, room->flint);
    assert_int_equal(vat.filled, room_today(room));
    assert_int_equal(vat.first_filled, room_today(room));
    assert_int_equal(vat.expires, cartridge.expires);
    assert_int_equal(cartridge.opened, room_today(room));
    assert_int_equal(vat.prints, 2);                                  /* what it says has changed: a new case label */
    assert_true(json_is_null(json_object_get(room->view, "person"))); /* the group is closed */
}

static void the_vat_may_be_scanned_first(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->vat_empty);
    room_press(room, "POUR");
    room_expect(room, NULL, "pour", "scan what it goes into");
    room_scan(room, room->flint);
    room_expect(room, "ask", "pour", "How much from");
    room_press(room, "250ML");
    room_expect_content(room, room->flint, "750000:FLINT:FL-1");
    room_expect_content(room, room->vat_empty, "250000:FLINT:FL-1");
}

static void topping_up_the_same_lot_needs_no_new_label(void **state)
{
    struct room *room = *state;
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_empty, "amount_ml", 300));
    const int64_t prints = room_unit(room, room->vat_empty).prints;
    room_act(room, "pour",
             json_pack("{s:s,s:s,s:i}", "from", room->flint_more, "to", room->vat_empty, "amount_ml", 100));
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_empty).prints, prints);
    room_expect_content(room, room->vat_empty, "400000:FLINT:FL-1");
}

static void another_lot_is_a_mix_with_a_new_label(void **state)
{
    struct room *room = *state;
    char other[SERIAL_SIZE];
    room_take_on(room, "FLINT",
                 json_pack("{s:s,s:o,s:i}", "lot", "FL-2", "expires", room_day(room, 50), "amount_ml", 1000), other);
    const int64_t prints = room_unit(room, room->vat_flint).prints;
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", other, "to", room->vat_flint, "amount_ml", 100));
    room_expect_booked(room, true);
    room_expect_content(room, room->vat_flint, "100000:FLINT:FL-2 400000:FLINT:VT-1");
    assert_int_equal(room_unit(room, room->vat_flint).prints, prints + 1);
    assert_int_equal(room_unit(room, room->vat_flint).expires, room_today(room) + 50);
}

static void what_speaks_against_it_is_said_with_its_reason(void **state)
{
    struct room *room = *state;
    const struct {
        const char *from, *to;
        int ml;
        const char *verdict, *code;
    } cases[] = {
        {room->oak, room->vat_flint, 100, "stop", "other-resin"},
        {room->flint3, room->vat_flint, 100, "stop", "other-revision"},
        {room->flint_old, room->vat_flint, 100, "stop", "expired"},
        {room->flint, room->oak, 100, "stop", "not-poured"},
        {room->vat_empty, room->vat_flint, 100, "stop", "empty"},
        {room->flint, room->vat_fogged, 100, "ask", "film-fogged"},
        {room->flint, room->vat_flint, 1001, "ask", "more-than-booked"},
        {room->flint, room->vat_flint, 300000, "ask", "amount-unlikely"},
        {room->flint, room->vat_flint, 1, "ask", "amount-unlikely"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        room_act(room, "pour",
                 json_pack("{s:s,s:s,s:i}", "from", cases[i].from, "to", cases[i].to, "amount_ml", cases[i].ml));
        room_expect(room, cases[i].verdict, "idle", "");
        room_expect_reason(room, cases[i].code, "");
        room_expect_booked(room, false);
    }
    room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_flint, "amount_ml", 10));
    room_expect_reason(room, "on-hold", "leaking");
    room_distrust_clock(room);
    room_act(room, "pour",
             json_pack("{s:s,s:s,s:i}", "from", room->flint_more, "to", room->vat_flint, "amount_ml", 100));
    room_expect_reason(room, "clock", "");
}

/* YES to "more than the books say": the books follow and the storekeeper is told. */
static void more_than_the_books_say_is_booked_when_it_is_so(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->flint);
    room_scan(room, room->vat_empty);
    room_press(room, "POUR");
    room_press(room, "1200ML");
    room_expect(room, "ask", "pour", "more than the 1000 ml");
    room_press(room, "YES");
    room_expect_booked(room, true);
    room_expect_content(room, room->flint, "0:FLINT:FL-1");
    room_expect_content(room, room->vat_empty, "1200000:FLINT:FL-1");
    assert_true(room_question(room, "more-than-booked") > 0);
}

static void a_stop_is_never_answered_by_yes_and_reality_is_booked(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->oak);
    room_scan(room, room->vat_flint);
    room_press(room, "POUR");
    room_expect(room, "stop", "pour", "holds");
    room_expect_key(room, "YES", false);
    room_press(room, "YES");
    room_expect_booked(room, false);
    room_press(room, "TAKEN");
    room_expect(room, "ask", "pour", "how much first");
    room_press(room, "100ML");
    room_expect(room, "stop", "pour", "");
    room_expect_key(room, "TAKEN", true);
    room_press(room, "TAKEN");
    room_expect_booked(room, true);
    room_expect_content(room, room->vat_flint, "400000:FLINT:VT-1 100000:OAK:OK-1");
    assert_true(room_question(room, "poured") > 0);
}

static void recovered_resin_keeps_to_its_own_bottle(void **state)
{
    struct room *room = *state;
    char fresh[SERIAL_SIZE], own[SERIAL_SIZE];
    room_act(room, "item-entry",
             json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", "FLINT-R", "letter", "R", "name", "Flint bottle", "resin",
                       "Flint", "revision", "2"));
    room_take_on(room, "FLINT-R",
                 json_pack("{s:s,s:o,s:i}", "lot", "FL-1", "expires", room_day(room, 240), "amount_ml", 500), fresh);
    room_take_on(room, "FLINT-R",
                 json_pack("{s:s,s:o,s:i}", "lot", "FL-1", "expires", room_day(room, 240), "amount_ml", 0), own);
    room_act(room, "clean", json_pack("{s:s}", "unit", own));
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->vat_flint, "to", fresh, "amount_ml", 100));
    room_expect_reason(room, "recovered", "has been in a vat");
    room_act(room, "pour", json_pack("{s:s,s:s,s:b}", "from", room->vat_flint, "to", own, "all", 1));
    room_expect_booked(room, true);
    assert_true(room_unit(room, own).recovered);
    room_expect_content(room, own, "400000:FLINT:VT-1");
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", own, "amount_ml", 100));
    room_expect_reason(room, "recovered", "holds");
}

static void all_of_an_unknown_amount_leaves_nothing(void **state)
{
    struct room *room = *state;
    char cartridge[SERIAL_SIZE];
    room_take_on(room, "FLINT", json_pack("{s:s,s:o}", "lot", "FL-3", "expires", room_day(room, 200)), cartridge);
    assert_true(room_unit(room, cartridge).amount_ul == MOVEMENT_NULL);
    room_act(room, "pour", json_pack("{s:s,s:s,s:b}", "from", cartridge, "to", room->vat_empty, "all", 1));
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, cartridge).amount_ul, 0);
    assert_true(room_unit(room, room->vat_empty).amount_ul == MOVEMENT_NULL);
    room_expect_content(room, room->vat_empty, "?:FLINT:FL-3");
}

static void undo_puts_both_back_and_withdraws_the_label(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->flint);
    room_scan(room, room->vat_empty);
    const struct unit from = room_unit(room, room->flint), to = room_unit(room, room->vat_empty);
    room_press(room, "POUR");
    room_press(room, "500ML");
    room_expect_undo(room, "pouring from");
    room_scan(room, room->tobias);
    room_press(room, "UNDO");
    room_expect_booked(room, true);
    const struct unit from_after = room_unit(room, room->flint), to_after = room_unit(room, room->vat_empty);
    assert_int_equal(from_after.amount_ul, from.amount_ul);
    assert_true(from_after.opened == MOVEMENT_NULL);
    assert_string_equal(to_after.resin, "");
    assert_true(to_after.first_filled == MOVEMENT_NULL && to_after.filled == to.filled);
    room_expect_content(room, room->vat_empty, "");
    const struct print label = room_print(room, room->vat_empty, "", to_after.prints);
    assert_int_equal(label.state, PRINT_WITHDRAWN);
}

static void what_was_poured_on_stands_in_the_way_of_undo(void **state)
{
    struct room *room = *state;
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_empty, "amount_ml", 300));
    char act[ACT_ID_SIZE];
    (void)span_copy(span_of(room->act), act, sizeof act);
    room_act(room, "pour", json_pack("{s:s,s:s,s:b}", "from", room->vat_empty, "to", room->vat_flint, "all", 1));
    room_expect_booked(room, true);
    room_refuses(room, "undo", json_pack("{s:s}", "act", act), FAULT_REFUSED, "was moved since");
}

static void a_vat_is_cleaned_and_its_rest_is_waste(void **state)
{
    struct room *room = *state;
    room_scan(room, room->tobias);
    room_scan(room, room->vat_flint);
    room_press(room, "CLEAN");
    room_expect(room, "ask", "clean", "The 400 ml in");
    room_press(room, "YES");
    room_expect_booked(room, true);
    room_expect_content(room, room->vat_flint, "");
    const struct unit vat = room_unit(room, room->vat_flint);
    assert_int_equal(vat.amount_ul, 0);
    assert_true(vat.expires == MOVEMENT_NULL);
    assert_int_equal(room_movements(room, MOVEMENT_WASTE), 1);
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->oak, "to", room->vat_flint, "amount_ml", 100));
    room_expect_booked(room, true); /* another resin may go in now */
    room_expect_content(room, room->vat_flint, "100000:OAK:OK-1");
}

/* The waste container scanned after the card belongs to the same cleaning. */
static void what_was_cleaned_out_goes_into_the_waste_container(void **state)
{
    struct room *room = *state;
    char waste[SERIAL_SIZE];
    room_act(room, "item-entry",
             json_pack("{s:s,s:s,s:s}", "code", "WASTE-10", "letter", "W", "name", "Waste container"));
    room_take_on(room, "WASTE-10", json_pack("{s:i}", "amount_ml", 0), waste);
    room_scan(room, room->tobias);
    room_scan(room, room->vat_flint);
    room_press(room, "CLEAN");
    room_scan(room, waste);
    room_expect(room, "ask", "clean", waste);
    room_press(room, "YES");
    room_expect_booked(room, true);
    room_expect_content(room, room->vat_flint, "");
    assert_int_equal(room_unit(room, waste).amount_ul, 400000);
}

static void an_amount_that_was_seen_is_booked(void **state)
{
    struct room *room = *state;
    room_act(room, "amount", json_pack("{s:s,s:i}", "unit", room->flint, "amount_ml", 850));
    room_expect_booked(room, true);
    room_expect_content(room, room->flint, "850000:FLINT:FL-1");
    room_refuses(room, "amount", json_pack("{s:s,s:i}", "unit", room->vat_empty, "amount_ml", 5), FAULT_REFUSED,
                 "say what was filled into it first");
}

static void a_pour_without_its_amount_is_refused(void **state)
{
    struct room *room = *state;
    room_refuses(room, "pour", json_pack("{s:s,s:s}", "from", room->flint, "to", room->vat_empty), FAULT_INPUT,
                 "one of 'amount_ml', 'all' and 'unknown'");
    room_refuses(room, "pour", json_pack("{s:s,s:s,s:b}", "from", "C999999X", "to", room->vat_empty, "all", 1),
                 FAULT_MISSING, "is not known here");
    room_refuses(room, "clean", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "no vat and no bottle");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_vat_is_filled_by_scans_alone),
        IN_ROOM(the_vat_may_be_scanned_first),
        IN_ROOM(topping_up_the_same_lot_needs_no_new_label),
        IN_ROOM(another_lot_is_a_mix_with_a_new_label),
        IN_ROOM(what_speaks_against_it_is_said_with_its_reason),
        IN_ROOM(more_than_the_books_say_is_booked_when_it_is_so),
        IN_ROOM(a_stop_is_never_answered_by_yes_and_reality_is_booked),
        IN_ROOM(recovered_resin_keeps_to_its_own_bottle),
        IN_ROOM(all_of_an_unknown_amount_leaves_nothing),
        IN_ROOM(undo_puts_both_back_and_withdraws_the_label),
        IN_ROOM(what_was_poured_on_stands_in_the_way_of_undo),
        IN_ROOM(a_vat_is_cleaned_and_its_rest_is_waste),
        IN_ROOM(what_was_cleaned_out_goes_into_the_waste_container),
        IN_ROOM(an_amount_that_was_seen_is_booked),
        IN_ROOM(a_pour_without_its_amount_is_refused),
    };
    return cmocka_run_group_tests_name("desk/pour", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/amount.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Amounts that somebody says: off by a thousand they are asked about. Common practice, no source. */

static void say(struct room *room, const char *unit, double ml, bool confirm)
{
    json_t *content = json_pack("{s:s,s:f}", "unit", unit, "amount_ml", ml);
    if (confirm)
        json_object_set_new(content, "confirm", json_true());
    (void)room_act(room, "amount", content);
}

static void an_amount_off_by_a_thousand_is_asked_about_and_a_script_confirms(void **state)
{
    struct room *room = *state;
    say(room, room->flint, 0.3, false);
    room_expect(room, "ask", "idle", "0.3 ml in C");
    room_expect_reason(room, "amount-unlikely", "was 300 ml meant?");
    room_expect_booked(room, false);
    say(room, room->flint, 0.3, true);
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).amount_ul, 300);
}

static void an_amount_that_can_be_so_is_booked_at_once(void **state)
{
    struct room *room = *state;
    static const double amounts[] = {300, 5, 0};
    for (size_t i = 0; i < sizeof amounts / sizeof *amounts; i++) {
        say(room, room->flint, amounts[i], false);
        room_expect_booked(room, true);
        assert_int_equal(room_unit(room, room->flint).amount_ul, (int64_t)amounts[i] * 1000);
    }
}

static void bring_back(struct room *room, const char *amount)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, amount);
    (void)room_scan(room, "A02");
}

static void at_the_counter_yes_says_that_it_is_so(void **state)
{
    struct room *room = *state;
    bring_back(room, "1ML");
    room_expect(room, "ask", "check-in", "1 ml in C");
    room_expect_reason(room, "amount-unlikely", "was 1000 ml meant?");
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    room_expect(room, "go", "idle", "is back, at A02");
    assert_int_equal(room_unit(room, room->flint).amount_ul, 1000);
}

static void at_the_counter_another_card_corrects_it(void **state)
{
    struct room *room = *state;
    bring_back(room, "1ML");
    (void)room_press(room, "500ML");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).amount_ul, 500000);
}

static void at_the_counter_nobody_knows_is_an_answer_too(void **state)
{
    struct room *room = *state;
    bring_back(room, "250000ML");
    room_expect_reason(room, "amount-unlikely", "was 250 ml meant?");
    (void)room_press(room, "UNKNOWN");
    room_expect_booked(room, true);
    assert_true(room_unit(room, room->flint).amount_ul == MOVEMENT_NULL);
}

/* The card is about the thing that was asked about, not about the last one. */
static void of_two_things_the_one_that_is_asked_about_is_corrected(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out",
                   json_pack("{s:[s,s],s:s}", "units", room->vat_flint, room->flint, "printer", "CAPSTAN"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "1ML");
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "250ML");
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    room_expect(room, "ask", "check-in", "was 1000 ml meant?");
    (void)room_press(room, "100ML");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).amount_ul, 100000);
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 250000);
}

static void yes_with_nothing_asked_books_nothing(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
}

static json_t *back(struct room *room, double ml)
{
    return json_pack("{s:[{s:s,s:f}],s:s}", "units", "unit", room->flint, "amount_ml", ml, "place", "A01");
}

static void a_scripts_check_in_is_asked_about_and_confirmed(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    (void)room_act(room, "check-in", back(room, 0.25));
    room_expect_reason(room, "amount-unlikely", "was 250 ml meant?");
    room_expect_booked(room, false);
    json_t *sure = back(room, 0.25);
    json_object_set_new(sure, "confirm", json_true());
    (void)room_act(room, "check-in", sure);
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).amount_ul, 250);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_amount_off_by_a_thousand_is_asked_about_and_a_script_confirms),
        IN_ROOM(an_amount_that_can_be_so_is_booked_at_once),
        IN_ROOM(at_the_counter_yes_says_that_it_is_so),
        IN_ROOM(at_the_counter_another_card_corrects_it),
        IN_ROOM(at_the_counter_nobody_knows_is_an_answer_too),
        IN_ROOM(of_two_things_the_one_that_is_asked_about_is_corrected),
        IN_ROOM(yes_with_nothing_asked_books_nothing),
        IN_ROOM(a_scripts_check_in_is_asked_about_and_confirmed),
    };
    return cmocka_run_group_tests_name("desk/amount", tests, room_group_setup, room_group_teardown);
}

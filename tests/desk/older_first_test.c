#include "kiosk/desk/older_first.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* An older one stands in storage while a newer one goes out. Common practice, no source. */

/* A proved Flint cartridge on A01 that may be used for so many days. */
static void flint(struct room *room, const char *lot, int days, int ml, char serial[SERIAL_SIZE])
{
    room_take_on(room, "FLINT",
                 json_pack("{s:s,s:o,s:i}", "lot", lot, "expires", room_day(room, days), "amount_ml", ml), serial);
}

static void expect_older(struct room *room, const char *older)
{
    char says[80];
    (void)snprintf(says, sizeof says, "An older Flint stands at A01: %s", older);
    room_expect_reason(room, "older-first", says);
}

static void an_older_one_is_named_with_its_place_and_yes_takes_this_one(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    flint(room, "FL-0", 10, 1000, older);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    room_expect(room, "ask", "check-out", "use by 2026-03-12 (this one: 2026-10-28).");
    expect_older(room, older);
    room_expect_key(room, "YES", false); /* no printer yet */
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "How much resin will the job on Capstan need?");
    expect_older(room, older);
    (void)room_press(room, "250ML");
    room_expect(room, "ask", "check-out", older);
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
    assert_int_equal(room_unit(room, older).status, UNIT_IN);
}

static void the_older_one_scanned_takes_its_place(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    flint(room, "FL-0", 10, 1000, older);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, older);
    room_expect(room, "go", "check-out", "2 things may go");
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, older).status, UNIT_OUT);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_IN);
}

static void one_of_the_same_day_is_no_reason_and_the_oldest_goes(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    (void)room_scan(room, room->flint); /* another of its day stands beside it */
    room_expect(room, "go", "check-out", "may go");
    (void)room_press(room, "NO");
    flint(room, "FL-0", 10, 1000, older);
    (void)room_scan(room, older);
    room_expect(room, "go", "check-out", "may go");
}

/* What stands there and may not go out itself is not proposed. */
static void nothing_is_proposed_that_could_not_go(void **state)
{
    struct room *room = *state;
    char held[SERIAL_SIZE], empty[SERIAL_SIZE], other[SERIAL_SIZE], bare[SERIAL_SIZE], out[SERIAL_SIZE];
    room_take_on(room, "FLINT3", json_pack("{s:s,s:o}", "lot", "FN-2", "expires", room_day(room, 5)), other);
    flint(room, "FL-2", 10, 1000, held);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", held, "reason", "leaking"));
    flint(room, "FL-3", 10, 1000, empty);
    (void)room_act(room, "amount", json_pack("{s:s,s:i}", "unit", empty, "amount_ml", 0));
    flint(room, "FL-4", 10, 1000, out);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", out, "printer", "SEXTANT"));
    room_take_on(room, "FLINT", json_pack("{s:s,s:o,s:b}", "lot", "FL-5", "expires", room_day(room, 10), "labelled", 0),
                 bare);
    (void)room_scan(room, room->flint);
    room_expect(room, "go", "check-out", "may go");
}

static void one_that_does_not_fit_the_printer_is_proposed_only_while_none_is_said(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s,s:s}", "code", "FLINT-L", "letter", "C", "name", "Flint, large",
                             "resin", "Flint", "revision", "2", "fits", "SEXTANT"));
    room_take_on(room, "FLINT-L", json_pack("{s:s,s:o}", "lot", "FL-0", "expires", room_day(room, 10)), older);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    expect_older(room, older);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect_booked(room, true);
}

/* Known by the amount's card: 200 ml would have to be changed during the job. */
static void an_older_rest_that_is_too_little_for_the_job_may_stay(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    flint(room, "FL-0", 10, 200, older);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN");
    expect_older(room, older);
    (void)room_press(room, "500ML");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
}

static void the_need_of_a_ticket_counts_as_the_cards_does(void **state)
{
    struct room *room = *state;
    char rest[SERIAL_SIZE], older[SERIAL_SIZE];
    flint(room, "FL-0", 10, 200, rest);
    (void)room_act(room, "job-start", json_pack("{s:s,s:i}", "printer", "CAPSTAN", "need_ml", 500));
    (void)room_act(room, "job-start", json_pack("{s:s,s:i}", "printer", "SEXTANT", "need_ml", 500));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN");
    room_expect_booked(room, true);
    flint(room, "FL-8", 20, 1000, older); /* and one that is enough */
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint_more);
    (void)room_scan(room, "SEXTANT");
    room_expect(room, "ask", "check-out", older);
}

static void a_script_confirms(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    flint(room, "FL-0", 10, 1000, older);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    expect_older(room, older);
    room_expect_booked(room, false);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint, "printer", "CAPSTAN", "confirm", 1));
    room_expect_booked(room, true);
}

static void a_vat_has_no_older_first(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    room_take_on(
        room, "VAT-S",
        json_pack("{s:s,s:s,s:o,s:s}", "resin", "FLINT", "lot", "VT-9", "expires", room_day(room, 9), "film", "clear"),
        older);
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "go", "check-out", "may go");
}

static void what_is_stopped_keeps_nobody_waiting_for_an_older_one(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE];
    flint(room, "FL-0", 10, 1000, older);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_oak);
    (void)room_scan(room, room->flint);
    room_expect(room, "stop", "check-out", "");
    room_expect_no_reason(room, "older-first");
}

static void bottle(struct room *room, int days, char serial[SERIAL_SIZE])
{
    room_take_on(room, "FLINT-R",
                 json_pack("{s:s,s:o,s:i}", "lot", "FB-1", "expires", room_day(room, days), "amount_ml", 500), serial);
}

/* What has been in a vat is no older one of fresh resin. */
static void a_bottle_is_compared_with_bottles_of_fresh_resin(void **state)
{
    struct room *room = *state;
    char older[SERIAL_SIZE], newer[SERIAL_SIZE], recovered[SERIAL_SIZE];
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", "FLINT-R", "letter", "R", "name", "Flint bottle", "resin",
                             "Flint", "revision", "2"));
    bottle(room, 300, newer);
    bottle(room, 5, recovered);
    (void)room_act(room, "clean", json_pack("{s:s}", "unit", recovered));
    (void)room_act(room, "pour",
                   json_pack("{s:s,s:s,s:i}", "from", room->vat_flint, "to", recovered, "amount_ml", 300));
    assert_true(room_unit(room, recovered).recovered);
    assert_true(room_unit(room, recovered).expires < room_unit(room, newer).expires);
    (void)room_scan(room, newer); /* older cartridges and a bottle of recovered resin stand there */
    room_expect(room, "go", "check-out", "may go");
    (void)room_press(room, "NO");
    bottle(room, 10, older);
    (void)room_scan(room, newer);
    expect_older(room, older);
}

static void the_oldest_of_many_lots_is_the_one(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE], oldest[SERIAL_SIZE], lot[16];
    for (int i = 0; i < 40; i++) {
        (void)snprintf(lot, sizeof lot, "FL-M%d", i);
        flint(room, lot, 100 - i, 1000, i == 39 ? oldest : serial);
    }
    (void)room_scan(room, room->flint);
    expect_older(room, oldest);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_older_one_is_named_with_its_place_and_yes_takes_this_one),
        IN_ROOM(the_older_one_scanned_takes_its_place),
        IN_ROOM(one_of_the_same_day_is_no_reason_and_the_oldest_goes),
        IN_ROOM(nothing_is_proposed_that_could_not_go),
        IN_ROOM(one_that_does_not_fit_the_printer_is_proposed_only_while_none_is_said),
        IN_ROOM(an_older_rest_that_is_too_little_for_the_job_may_stay),
        IN_ROOM(the_need_of_a_ticket_counts_as_the_cards_does),
        IN_ROOM(a_script_confirms),
        IN_ROOM(a_vat_has_no_older_first),
        IN_ROOM(what_is_stopped_keeps_nobody_waiting_for_an_older_one),
        IN_ROOM(a_bottle_is_compared_with_bottles_of_fresh_resin),
        IN_ROOM(the_oldest_of_many_lots_is_the_one),
    };
    return cmocka_run_group_tests_name("desk/older_first", tests, room_group_setup, room_group_teardown);
}

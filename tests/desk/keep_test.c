#include "kiosk/desk/keep.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Keeping a thing for a person or a job: common practice of stores, no source. */

static void reserve(struct room *room, const char *serial, const char *whom, int days)
{
    json_t *content = json_pack("{s:s,s:s}", "unit", serial, "for", whom);
    if (days >= 0)
        json_object_set_new(content, "until", room_day(room, days));
    (void)room_act(room, "reserve", content);
    room_expect_booked(room, true);
}

static void start_job(struct room *room, const char *machine, const char *code)
{
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", machine, "job", code));
}

static void expect_kept(struct room *room, const char *serial, const char *whom, int64_t until)
{
    const struct unit unit = room_unit(room, serial);
    assert_string_equal(unit.reserved, whom);
    assert_int_equal(unit.reserved_until, until);
}

static void take(struct room *room, const char *badge, const char *serial, const char *machine)
{
    (void)room_scan(room, badge);
    (void)room_scan(room, serial);
    (void)room_scan_printer(room, machine);
}

static void what_is_kept_for_a_job_goes_to_no_other(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, "KQ-1042", 5);
    start_job(room, "HALYARD", "KQ-1043");
    take(room, room->tobias, room->flint, "HALYARD");
    room_expect(room, "stop", "check-out", "is kept for job KQ-1042 until 2026-03-07 (by Maren).");
    room_expect_reason(room, "reserved", "");
    room_expect_booked(room, false);
    room_expect_key(room, "OVERRULE", true);
    room_expect_key(room, "FREE", true);
    (void)room_press(room, "NO");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint); /* where it goes is not said: nothing is withheld yet */
    room_expect_no_reason(room, "reserved");
}

static void for_that_job_it_goes_and_is_kept_no_more(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, "KQ-1042", 5);
    start_job(room, "CAPSTAN", "KQ-1042");
    take(room, room->tobias, room->flint, "CAPSTAN");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->flint).printer, "CAPSTAN");
    expect_kept(room, room->flint, "", MOVEMENT_NULL);
    room_expect_undo(room, "Tobias: check-out of C");
    (void)room_press(room, "UNDO");
    expect_kept(room, room->flint, "KQ-1042", room_today(room) + 5);
}

static void for_a_person_it_is_kept_by_scans_alone(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "KEEP");
    room_expect(room, "ask", "keep", "Kept for Tobias: until when?");
    room_expect_key(room, "7D", true);
    (void)room_press(room, "3D");
    room_expect(room, "go", "idle", "is kept for Tobias until 2026-03-05");
    expect_kept(room, room->vat_flint, room->tobias, room_today(room) + 3);
    room_expect_undo(room, "Tobias: keeping of V");
    take(room, room->jarl, room->vat_flint, "CAPSTAN");
    room_expect_reason(room, "reserved", "is kept for Tobias");
    (void)room_press(room, "NO");
    take(room, room->tobias, room->vat_flint, "CAPSTAN");
    room_expect_booked(room, true);
    expect_kept(room, room->vat_flint, "", MOVEMENT_NULL);
}

static void the_badge_may_come_last(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint);
    (void)room_press(room, "KEEP");
    room_expect(room, "ask", "keep", "Scan your badge");
    (void)room_press(room, "UNKNOWN");
    room_expect_booked(room, false);
    (void)room_scan(room, room->jarl);
    room_expect(room, "go", "idle", "is kept for Jarl until somebody frees it");
    expect_kept(room, room->flint, room->jarl, MOVEMENT_NULL);
}

static void a_printer_scanned_before_the_day_keeps_it_for_the_job_there(void **state)
{
    struct room *room = *state;
    start_job(room, "CAPSTAN", "KQ-1042");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "KEEP");
    (void)room_scan(room, "HALYARD");
    room_expect(room, "ask", "keep", "No job with a code runs on HALYARD");
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "ask", "keep", "Kept for job KQ-1042: until when?");
    (void)room_press(room, "1D");
    room_expect_booked(room, true);
    expect_kept(room, room->flint, "KQ-1042", room_today(room) + 1);
}

static void the_card_free_ends_it(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, "KQ-1042", -1);
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "FREE");
    room_expect(room, "go", "idle", "1 thing is kept no more");
    expect_kept(room, room->flint, "", MOVEMENT_NULL);
    room_expect_undo(room, "Jarl: freeing of C");
    (void)room_scan(room, room->flint);
    (void)room_press(room, "FREE");
    room_expect(room, NULL, "check-out", "kept for nobody");
}

static void what_somebody_else_keeps_is_not_kept_for_another(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, room->tobias, -1);
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "KEEP");
    room_expect(room, "stop", "keep", "is kept for Tobias (by Maren).");
    (void)room_press(room, "7D");
    room_expect_booked(room, false);
    room_refuses(room, "reserve", json_pack("{s:s,s:s}", "unit", room->flint, "for", "KQ-1"), FAULT_REFUSED,
                 "free it first");
    reserve(room, room->flint, room->tobias, 3); /* for the same one until another day */
    expect_kept(room, room->flint, room->tobias, room_today(room) + 3);
}

static void after_its_last_day_it_is_anybodys(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, "KQ-1042", 1);
    room_pass(room, 2 * 24 * 3600);
    take(room, room->jarl, room->flint, "CAPSTAN");
    room_expect_booked(room, true);
    expect_kept(room, room->flint, "", MOVEMENT_NULL);
}

static void taken_by_another_all_the_same_it_stays_kept(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, room->tobias, -1);
    take(room, room->jarl, room->flint, "CAPSTAN");
    (void)room_press(room, "TAKEN");
    room_expect_booked(room, true);
    assert_true(room_question(room, "taken") > 0);
    expect_kept(room, room->flint, room->tobias, MOVEMENT_NULL);
}

static void a_storekeeper_lets_it_go_to_another(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, room->tobias, -1);
    take(room, room->jarl, room->flint, "CAPSTAN");
    (void)room_press(room, "OVERRULE");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->flint).holder, room->jarl);
    expect_kept(room, room->flint, room->tobias, MOVEMENT_NULL);
}

static void what_is_out_is_kept_from_its_return_on(void **state)
{
    struct room *room = *state;
    take(room, room->jarl, room->flint, "CAPSTAN");
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "KEEP");
    (void)room_press(room, "UNKNOWN");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->flint).holder, room->jarl); /* who has it keeps it */
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->flint, "place", "A01"));
    expect_kept(room, room->flint, room->tobias, MOVEMENT_NULL);
}

static void resin_of_what_is_kept_is_poured_for_nobody_else(void **state)
{
    struct room *room = *state;
    reserve(room, room->flint, room->tobias, -1);
    (void)snprintf(room->person, sizeof room->person, "%s", room->jarl);
    json_t *content = json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_empty, "amount_ml", 100);
    (void)room_act(room, "pour", json_incref(content));
    room_expect_reason(room, "reserved", "is kept for Tobias");
    room_expect_booked(room, false);
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    (void)room_act(room, "pour", content);
    room_expect_booked(room, true);
}

static void resin_of_what_is_kept_for_a_job_goes_into_the_vat_in_its_printer(void **state)
{
    struct room *room = *state;
    start_job(room, "CAPSTAN", "KQ-1042");
    take(room, room->jarl, room->vat_flint, "CAPSTAN");
    reserve(room, room->flint, "KQ-1042", -1);
    json_t *content = json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_empty, "amount_ml", 100);
    (void)room_act(room, "pour", content);
    room_expect_reason(room, "reserved", "job KQ-1042");
    (void)room_act(
        room, "pour",
        json_pack("{s:s,s:s,s:i,s:b}", "from", room->flint, "to", room->vat_flint, "amount_ml", 100, "confirm", 1));
    room_expect_booked(room, true);
}

static void it_is_not_lent_to_another_room_either(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "ANNEX", "kind", "room"));
    reserve(room, room->flint, "KQ-1042", -1);
    (void)room_act(room, "lend", json_pack("{s:[s],s:s}", "units", room->flint, "place", "ANNEX"));
    room_expect_reason(room, "reserved", "");
    reserve(room, room->oak, room->maren, -1);
    (void)room_act(room, "lend", json_pack("{s:[s],s:s}", "units", room->oak, "place", "ANNEX"));
    room_expect_booked(room, true);
    expect_kept(room, room->oak, "", MOVEMENT_NULL);
}

static void what_ends_its_service_and_who_leaves_frees_it(void **state)
{
    struct room *room = *state;
    reserve(room, room->vat_empty, "KQ-1042", -1);
    (void)room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_empty, "reason", "worn"));
    expect_kept(room, room->vat_empty, "", MOVEMENT_NULL);
    room_refuses(room, "reserve", json_pack("{s:s,s:s}", "unit", room->vat_empty, "for", "KQ-1"), FAULT_REFUSED,
                 "no longer in service");
    reserve(room, room->flint, room->jarl, -1);
    (void)room_act(room, "name-erase", json_pack("{s:s}", "person", room->jarl));
    expect_kept(room, room->flint, "", MOVEMENT_NULL);
}

static void a_script_is_told_what_is_wrong(void **state)
{
    struct room *room = *state;
    room_refuses(room, "reserve", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "'for' is missing");
    room_refuses(room, "reserve",
                 json_pack("{s:s,s:s,s:o}", "unit", room->flint, "for", "KQ-1", "until", room_day(room, -1)),
                 FAULT_INPUT, "'until' is past");
    room_refuses(room, "unreserve", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, "kept for nobody");
    (void)room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Ines", "role", "receiver"));
    (void)snprintf(room->person, sizeof room->person, "%s", json_string_value(json_object_get(room->view, "serial")));
    room_refuses(room, "reserve", json_pack("{s:s,s:s}", "unit", room->flint, "for", "KQ-1"), FAULT_REFUSED,
                 "keeps things for somebody");
}

static void who_keeps_and_who_frees_is_said_in_an_act(void **state)
{
    struct room *room = *state;
    reserve(room, room->oak, "KQ-1", -1);
    room->person[0] = '\0';
    room_refuses(room, "reserve", json_pack("{s:s,s:s}", "unit", room->flint, "for", "KQ-1"), FAULT_INPUT,
                 "'person' is missing");
    room_refuses(room, "unreserve", json_pack("{s:s}", "unit", room->oak), FAULT_INPUT, "'person' is missing");
    expect_kept(room, room->oak, "KQ-1", MOVEMENT_NULL);
}

/* A day that is said under a stop would count for whoever comes next. */
static void a_day_said_under_a_stop_is_not_kept_in_mind(void **state)
{
    struct room *room = *state;
    start_job(room, "CAPSTAN", "KQ-1042");
    reserve(room, room->flint, "KQ-1042", -1);
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "KEEP");
    room_expect(room, "stop", "keep", "is kept for job KQ-1042");
    room_expect_key(room, "FREE", true);
    room_expect_key(room, "UNKNOWN", false);
    (void)room_press(room, "UNKNOWN");
    room_expect(room, "stop", "keep", "is kept for job KQ-1042");
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "ask", "keep", "Kept for job KQ-1042: until when?");
    room_expect_booked(room, false);
    room_expect_key(room, "UNKNOWN", true);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(what_is_kept_for_a_job_goes_to_no_other),
        IN_ROOM(for_that_job_it_goes_and_is_kept_no_more),
        IN_ROOM(for_a_person_it_is_kept_by_scans_alone),
        IN_ROOM(the_badge_may_come_last),
        IN_ROOM(a_printer_scanned_before_the_day_keeps_it_for_the_job_there),
        IN_ROOM(the_card_free_ends_it),
        IN_ROOM(what_somebody_else_keeps_is_not_kept_for_another),
        IN_ROOM(after_its_last_day_it_is_anybodys),
        IN_ROOM(taken_by_another_all_the_same_it_stays_kept),
        IN_ROOM(a_storekeeper_lets_it_go_to_another),
        IN_ROOM(what_is_out_is_kept_from_its_return_on),
        IN_ROOM(resin_of_what_is_kept_is_poured_for_nobody_else),
        IN_ROOM(resin_of_what_is_kept_for_a_job_goes_into_the_vat_in_its_printer),
        IN_ROOM(it_is_not_lent_to_another_room_either),
        IN_ROOM(what_ends_its_service_and_who_leaves_frees_it),
        IN_ROOM(a_script_is_told_what_is_wrong),
        IN_ROOM(who_keeps_and_who_frees_is_said_in_an_act),
        IN_ROOM(a_day_said_under_a_stop_is_not_kept_in_mind),
    };
    return cmocka_run_group_tests_name("desk/keep", tests, room_group_setup, room_group_teardown);
}

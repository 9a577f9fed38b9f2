#include "kiosk/desk/care.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What is looked after is asked about when a thing goes out. Common practice, no source. */

enum { A_DAY = 24 * 60 * 60 };

static void item(struct room *room, const char *code, const char *letter, const char *name, const char *key, int value)
{
    json_t *content = json_pack("{s:s,s:s,s:s,s:i}", "code", code, "letter", letter, "name", name, key, value);
    if (letter[0] == 'C')
        json_object_update_new(content,
                               json_pack("{s:s,s:s,s:i}", "resin", "Flint", "revision", "2", "content_ml", 1000));
    (void)room_act(room, "item-entry", content);
}

/* Flint is stirred after three days. */
static void flint_settles(struct room *room)
{
    item(room, "FLINT", "C", "Flint cartridge", "stir_days", 3);
}

static void pour_into(struct room *room, const char *vat)
{
    (void)room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", vat, "amount_ml", 100));
}

static void platform(struct room *room, const char *key, int value, char serial[SERIAL_SIZE])
{
    item(room, "PLATE", "P", "Platform", key, value);
    room_take_on(room, "PLATE", json_pack("{s:i}", "hours", 0), serial);
}

/* Out and back with so many hours of light. */
static void run(struct room *room, const char *unit, int hours)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", unit, "printer", "CAPSTAN", "confirm", 1));
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", unit, "minutes", hours * 60, "place", "B01"));
}

/* ---- what was seen, and when ---- */

static void a_film_is_looked_at_every_so_many_hours(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", room->vat_empty, "film", "clear"));
    item(room, "VAT-S", "V", "Small vat", "inspect_hours", 30);
    const int64_t seen_at = room_unit(room, room->vat_empty).inspected_minutes;
    assert_int_equal(seen_at, room_unit(room, room->vat_empty).minutes);
    run(room, room->vat_empty, 29);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_empty);
    room_expect_no_reason(room, "inspection-due");
    (void)room_press(room, "NO");
    run(room, room->vat_empty, 2);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_empty);
    room_expect(room, "ask", "check-out", "has run 31 h since it was last looked at; every 30 h is asked");
    room_expect_key(room, "INSPECTED", true);
    (void)room_press(room, "INSPECTED");
    (void)room_press(room, "FILM-CLEAR");
    room_expect(room, "go", "idle", "It may be used");
    (void)room_scan(room, room->vat_empty);
    room_expect_no_reason(room, "inspection-due");
    (void)room_press(room, "NO");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    assert_int_equal(room_unit(room, room->vat_empty).inspected_minutes, seen_at);
}

static void a_scratched_surface_that_was_released_is_asked_about(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    platform(room, "inspect_hours", 100, plate);
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", plate, "surface", "scratched"));
    (void)room_scan(room, plate);
    room_expect(room, "stop", "check-out", "surface-scratched");
    room_expect_no_reason(room, "surface-scratched");
    (void)room_press(room, "NO");
    (void)room_act(room, "release", json_pack("{s:s}", "unit", plate));
    (void)room_scan(room, plate);
    room_expect(room, "ask", "check-out", "parts come off harder");
    (void)room_press(room, "NO");
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", plate, "surface", "fine"));
    (void)room_scan(room, plate);
    room_expect_no_reason(room, "surface-scratched");
}

/* ---- stirring ---- */

static void a_resin_that_stood_is_stirred_by_scans_and_the_check_out_goes_on(void **state)
{
    struct room *room = *state;
    flint_settles(room);
    pour_into(room, room->vat_flint);
    room_pass(room, 12 * A_DAY);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "ask", "check-out", "has stood for 12 days; it is stirred after 3.");
    room_expect_key(room, "STIRRED", true);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZSTIRRED\x1e\x04");
    room_expect_booked(room, true);
    room_expect_no_reason(room, "stir-due");
    assert_int_equal(room_movements(room, MOVEMENT_STIR), 1);
    room_expect_undo(room, "Tobias: stirring of V");
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "go", "idle", "to Capstan");
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_OUT);
}

static void yes_takes_it_unstirred(void **state)
{
    struct room *room = *state;
    flint_settles(room);
    pour_into(room, room->vat_flint);
    room_pass(room, 4 * A_DAY);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, "CAPSTAN");
    (void)room_press(room, "UNKNOWN");
    room_expect_reason(room, "stir-due", "has stood for 4 days");
    (void)room_press(room, "YES");
    room_expect(room, "go", "idle", "to Capstan");
    assert_int_equal(room_movements(room, MOVEMENT_STIR), 0);
}

/* Taken on, nobody knows since when it stands; brought back, it was carried; used, the printer's mixer stirred it. */
static void since_when_it_stands_is_known_from_what_moved_it(void **state)
{
    struct room *room = *state;
    flint_settles(room);
    assert_true(room_unit(room, room->vat_flint).stood_ms == MOVEMENT_NULL);
    room_pass(room, 20 * A_DAY);
    (void)room_scan(room, room->vat_flint);
    room_expect_no_reason(room, "stir-due");
    (void)room_press(room, "NO");
    pour_into(room, room->vat_flint);
    const int64_t poured = room_unit(room, room->vat_flint).stood_ms;
    assert_true(poured != MOVEMENT_NULL);
    assert_true(room_unit(room, room->flint).stood_ms == MOVEMENT_NULL); /* what stayed behind was not stirred */
    room_pass(room, A_DAY);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    (void)room_act(room, "job-start", json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "job", "KQ-7", "need_ml", 50));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-7", "how", "done"));
    const int64_t used = room_unit(room, room->vat_flint).stood_ms;
    assert_int_equal(used - poured, (int64_t)A_DAY * 1000);
    room_pass(room, A_DAY);
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->vat_flint, "place", "B01"));
    assert_int_equal(room_unit(room, room->vat_flint).stood_ms - used, (int64_t)A_DAY * 1000);
    (void)room_act(room, "clean", json_pack("{s:s}", "unit", room->vat_flint));
    assert_true(room_unit(room, room->vat_flint).stood_ms == MOVEMENT_NULL);
}

static void stirring_without_being_asked_closes_the_group(void **state)
{
    struct room *room = *state;
    (void)room_press(room, "STIRRED");
    room_expect(room, NULL, "idle", "Scan the vat, cartridge or bottle that was stirred");
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "STIRRED");
    room_expect(room, "ask", "check-out", "Scan your badge to say who stirred it");
    (void)room_scan(room, room->jarl);
    (void)room_press(room, "STIRRED");
    room_expect(room, "go", "idle", "was stirred.");
    const int64_t stood = room_unit(room, room->vat_flint).stood_ms;
    assert_true(stood != MOVEMENT_NULL);
    (void)room_scan(room, room->jarl);
    (void)room_press(room, "UNDO");
    assert_true(room_unit(room, room->vat_flint).stood_ms == MOVEMENT_NULL);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "STIRRED");
    room_expect(room, NULL, "check-out", "Scan the vat, cartridge or bottle");
    room_refuses(room, "stir", json_pack("{s:s}", "unit", room->vat_empty), FAULT_INPUT, "there is nothing to stir");
}

/* The hours of a job that were said are not thrown away for it. */
static void what_comes_back_half_said_is_brought_back_before_stirring(void **state)
{
    struct room *room = *state;
    room_expect_check_in_first(room, "STIRRED");
}

/* ---- a platform's removable surface ---- */

static void a_worn_surface_is_asked_about_until_it_is_renewed(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    platform(room, "surface_hours", 100, plate);
    run(room, plate, 99);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, plate);
    room_expect_no_reason(room, "surface-worn");
    (void)room_press(room, "NO");
    run(room, plate, 1);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, plate);
    room_expect(room, "ask", "check-out", "The removable surface of");
    room_expect_key(room, "NEW-SURFACE", true);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZNEW-SURFACE\x1e\x04");
    room_expect(room, "go", "check-out", "may go");
    assert_int_equal(room_unit(room, plate).surface_minutes, 6000);
    assert_int_equal(room_unit(room, plate).minutes, 6000); /* the body is as old as it was */
    room_expect_undo(room, "Tobias: new surface of P");
    (void)room_press(room, "UNDO");
    assert_true(room_unit(room, plate).surface_minutes == MOVEMENT_NULL);
    room_refuses(room, "surface-renewed", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "no surface to renew");
}

static void a_platform_is_retired_by_scans(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    platform(room, "life_hours", 100, plate);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, plate);
    room_expect_key(room, "RETIRE", true);
    (void)room_press(room, "RETIRE");
    room_expect(room, "ask", "retire", "It can't be used any more");
    (void)room_press(room, "YES");
    assert_int_equal(room_unit(room, plate).status, UNIT_RETIRED);
}

static void who_may_not_print_may_not_do_this(void **state)
{
    struct room *room = *state;
    const json_t *answer = room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Ida", "role", "receiver"));
    (void)span_copy(span_of(json_string_value(json_object_get(answer, "serial"))), room->person, sizeof room->person);
    room_refuses(room, "stir", json_pack("{s:s}", "unit", room->vat_flint), FAULT_REFUSED, "stirs resin");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_film_is_looked_at_every_so_many_hours),
        IN_ROOM(a_scratched_surface_that_was_released_is_asked_about),
        IN_ROOM(a_resin_that_stood_is_stirred_by_scans_and_the_check_out_goes_on),
        IN_ROOM(yes_takes_it_unstirred),
        IN_ROOM(since_when_it_stands_is_known_from_what_moved_it),
        IN_ROOM(what_comes_back_half_said_is_brought_back_before_stirring),
        IN_ROOM(stirring_without_being_asked_closes_the_group),
        IN_ROOM(a_worn_surface_is_asked_about_until_it_is_renewed),
        IN_ROOM(a_platform_is_retired_by_scans),
        IN_ROOM(who_may_not_print_may_not_do_this),
    };
    return cmocka_run_group_tests_name("desk/care", tests, room_group_setup, room_group_teardown);
}

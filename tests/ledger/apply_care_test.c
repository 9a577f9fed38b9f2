#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* When a film was last seen, since when a resin stands, which surface a platform has, what a printer shows. Common
 * practice, no source. */

static void add_platform(struct room *room, char serial[SERIAL_SIZE])
{
    struct movement m;
    movement_init(&m, MOVEMENT_ITEM_ENTRY);
    SET(m.item, "PLATE");
    SET(m.detail, "{\"letter\":\"P\",\"name\":\"Platform\"}");
    apply_room_must(room, &m);
    assert_true(serial_write('P', 1, serial) || serial_write('P', 2, serial)); /* not every number makes one */
    m = apply_room_receipt(serial, "PLATE");
    apply_room_must(room, &m);
}

static void an_inspection_remembers_the_hours_it_was_made_at(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_INSPECTION, APPLY_ROOM_VAT);
    SET(m.word, "clear");
    m.minutes = 4200;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_VAT)->inspected_minutes, 4200);
    m = apply_room_movement(MOVEMENT_INSPECTION, APPLY_ROOM_VAT); /* as an earlier kiosk booked it */
    SET(m.word, "fogged");
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_VAT)->inspected_minutes, 4200);
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->film, "fogged");
}

static void a_surface_stays_as_it_was_seen_until_it_is_renewed(void **state)
{
    struct room *room = *state;
    char platform[SERIAL_SIZE];
    add_platform(room, platform);
    struct movement m = apply_room_movement(MOVEMENT_INSPECTION, platform);
    SET(m.word, "scratched");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, platform)->film, ""); /* an earlier kiosk's says nothing that stays */
    m = apply_room_movement(MOVEMENT_INSPECTION, platform);
    SET(m.word, "scratched");
    SET(m.detail, "{\"surface\":\"scratched\"}");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, platform)->film, "scratched");
    assert_true(apply_room_unit(room, platform)->surface_minutes == MOVEMENT_NULL);
    m = apply_room_movement(MOVEMENT_SURFACE_RENEWAL, platform);
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, platform)->film, "fine");
    assert_int_equal(apply_room_unit(room, platform)->surface_minutes, 0); /* it had no hours on it yet */
    m = apply_room_movement(MOVEMENT_SURFACE_RENEWAL, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "no surface to renew");
}

static void what_was_stirred_stands_since_then(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_STIR, APPLY_ROOM_CARTRIDGE);
    m.trusted = true;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->stood_ms, m.at.ms);
    m = apply_room_movement(MOVEMENT_STIR, APPLY_ROOM_CARTRIDGE);
    m.trusted = false; /* since when, this clock does not say */
    apply_room_must(room, &m);
    assert_true(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->stood_ms == MOVEMENT_NULL);
    m = apply_room_movement(MOVEMENT_STIR, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "there is nothing to stir");
}

/* Earlier kiosks poured and carried too, and their movements mean what they meant. */
static void what_moves_it_says_so_itself(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_CHECK_OUT, APPLY_ROOM_CARTRIDGE);
    SET(m.printer, "CAPSTAN");
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_CHECK_IN, APPLY_ROOM_CARTRIDGE);
    m.trusted = true;
    apply_room_must(room, &m);
    assert_true(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->stood_ms == MOVEMENT_NULL);
    m = apply_room_movement(MOVEMENT_CHECK_OUT, APPLY_ROOM_CARTRIDGE);
    SET(m.printer, "CAPSTAN");
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_CHECK_IN, APPLY_ROOM_CARTRIDGE);
    SET(m.detail, "{\"stirred\":1}");
    m.trusted = true;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_CARTRIDGE)->stood_ms, m.at.ms);
}

static void what_a_printer_shows_of_a_life_changes_no_hours_of_ours(void **state)
{
    struct room *room = *state;
    const int64_t ours = apply_room_unit(room, APPLY_ROOM_VAT)->minutes;
    struct movement m = apply_room_movement(MOVEMENT_LIFE_SHOWN, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "what the printer shows of");
    m.minutes = 24600;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_VAT)->minutes, ours);
    strcpy(m.detail, "{\"used\":60}");
    apply_room_must_refuse(room, &m, "are known");
    m = apply_room_movement(MOVEMENT_LIFE_SHOWN, APPLY_ROOM_CARTRIDGE);
    m.minutes = 60;
    apply_room_must_refuse(room, &m, "is no vat and no platform");
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_inspection_remembers_the_hours_it_was_made_at),
        TEST(a_surface_stays_as_it_was_seen_until_it_is_renewed),
        TEST(what_was_stirred_stands_since_then),
        TEST(what_moves_it_says_so_itself),
        TEST(what_a_printer_shows_of_a_life_changes_no_hours_of_ours),
    };
    return cmocka_run_group_tests_name("ledger/apply_care", tests, NULL, NULL);
}

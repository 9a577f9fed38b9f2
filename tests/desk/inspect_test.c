#include "kiosk/desk/inspect.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* After a failed job somebody looks, and says what was seen. Common practice, no source. */

static void fail_a_job(struct room *room)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    (void)room_act(room, "job-start", json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "job", "KQ-7", "need_ml", 50));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-7", "how", "aborted"));
}

static void bring_back(struct room *room)
{
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->vat_flint, "place", "B01"));
}

static json_t *seen(const char *unit, const char *film)
{
    return json_pack("{s:s,s:s}", "unit", unit, "film", film);
}

static void platform(struct room *room, char serial[SERIAL_SIZE])
{
    (void)room_act(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "PLATE", "letter", "P", "name", "Platform"));
    room_take_on(room, "PLATE", NULL, serial);
}

/* Badge, vat, INSPECTED, the film: four scans and no key, and no storekeeper. */
static void a_technician_inspects_by_scans_alone(void **state)
{
    struct room *room = *state;
    fail_a_job(room);
    bring_back(room);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "stop", "check-out", "has not been inspected since job KQ-7 was aborted");
    room_expect_key(room, "INSPECTED", true);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZINSPECTED\x1e\x04");
    room_expect(room, "ask", "inspect", "How is the film of");
    room_expect_key(room, "FLOAT-STUCK", true);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZFILM-FOGGED\x1e\x04");
    room_expect(room, "go", "idle", "was inspected, fogged. It may be used");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
    assert_string_equal(room_unit(room, room->vat_flint).film, "fogged");
    assert_true(json_is_null(json_object_get(room->view, "person"))); /* the group is closed */
}

static void it_may_stay_in_the_printer_and_the_badge_may_come_last(void **state)
{
    struct room *room = *state;
    fail_a_job(room);
    (void)room_scan(room, room->vat_flint);
    room_expect_key(room, "INSPECTED", true);
    (void)room_press(room, "INSPECTED");
    (void)room_press(room, "FILM-CLEAR");
    room_expect(room, "ask", "inspect", "Scan your badge to say who inspected it");
    (void)room_scan(room, room->jarl);
    room_expect(room, "go", "idle", "It may be used");
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_OUT);
    assert_string_equal(room_unit(room, room->vat_flint).printer, "CAPSTAN");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
}

static void what_is_wrong_puts_it_on_hold_for_that(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *key, *value, *hold;
    } cases[] = {{"film", "dented", "film-dented"},
                 {"film", "bits", "film-bits"},
                 {"film", "leaking", "film-leaking"},
                 {"mixer", "missing", "mixer-missing"},
                 {"float", "stuck", "float-stuck"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        json_t *content = seen(room->vat_flint, "clear");
        json_object_set_new(content, cases[i].key, json_string(cases[i].value));
        (void)room_act(room, "inspect", content);
        room_expect(room, "go", "idle", cases[i].hold);
        assert_string_equal(room_unit(room, room->vat_flint).hold, cases[i].hold);
    }
    (void)room_act(room, "inspect", seen(room->vat_flint, "clear")); /* what one has found, a storekeeper releases */
    assert_string_equal(room_unit(room, room->vat_flint).hold, "float-stuck");
}

static void parts_of_a_vat_are_said_by_cards_before_its_film(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "INSPECTED");
    (void)room_press(room, "MIXER-MISSING");
    room_expect(room, "ask", "inspect", "How is the film of");
    room_expect_key(room, "MIXER-MISSING", false); /* heard */
    (void)room_press(room, "SURFACE-FINE");
    room_expect(room, NULL, "inspect", "does not say how");
    (void)room_press(room, "FILM-CLEAR");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "mixer-missing");
}

/* The hours of a job that were said are not thrown away for it. */
static void what_comes_back_half_said_is_brought_back_before_an_inspection(void **state)
{
    struct room *room = *state;
    room_expect_check_in_first(room, "INSPECTED");
}

static void a_platform_has_a_surface(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    platform(room, plate);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", plate, "reason", "to-inspect"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, plate);
    room_expect(room, "stop", "check-out", "The surface of");
    (void)room_press(room, "INSPECTED");
    room_expect_key(room, "FILM-CLEAR", false);
    (void)room_press(room, "SURFACE-FINE");
    assert_string_equal(room_unit(room, plate).hold, "");
    assert_string_equal(room_unit(room, plate).film, "fine");
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", plate, "surface", "scratched"));
    assert_string_equal(room_unit(room, plate).hold, "surface-scratched");
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", plate, "surface", "loose"));
    assert_string_equal(room_unit(room, plate).hold, "surface-loose");
}

static void another_hold_stays_and_what_was_found_is_a_question(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "lot-recalled"));
    (void)room_act(room, "inspect", seen(room->vat_flint, "clear"));
    assert_string_equal(room_unit(room, room->vat_flint).hold, "lot-recalled");
    assert_int_equal(room_question(room, NULL), 0);
    (void)room_act(room, "inspect", seen(room->vat_flint, "bits"));
    assert_string_equal(room_unit(room, room->vat_flint).hold, "lot-recalled");
    assert_string_equal(room_unit(room, room->vat_flint).film, "bits");
    assert_true(room_question(room, "inspection") > 0);
}

static void what_makes_no_sense_is_refused_with_its_reason(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE];
    platform(room, plate);
    room_refuses(room, "inspect", seen(room->flint, "clear"), FAULT_INPUT, "known are unit, surface");
    room_refuses(room, "inspect", json_pack("{s:s,s:s}", "unit", room->flint, "surface", "fine"), FAULT_INPUT,
                 "no film and no surface");
    room_refuses(room, "inspect", seen(plate, "clear"), FAULT_INPUT, "'film' is not known here");
    room_refuses(room, "inspect", json_pack("{s:s}", "unit", room->vat_flint), FAULT_INPUT, "'film' is missing");
    room_refuses(room, "inspect", seen(room->vat_flint, "shiny"), FAULT_INPUT, "not one of clear");
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_press(room, "INSPECTED");
    room_expect(room, NULL, "check-out", "Scan the one vat or platform");
}

static void an_inspection_is_taken_back_and_the_vat_waits_again(void **state)
{
    struct room *room = *state;
    fail_a_job(room);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "INSPECTED");
    (void)room_press(room, "FILM-BITS");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "film-bits");
    room_expect_undo(room, "Tobias: inspection of V");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    room_expect_booked(room, true);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
    assert_string_equal(room_unit(room, room->vat_flint).film, "clear");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_technician_inspects_by_scans_alone),
        IN_ROOM(it_may_stay_in_the_printer_and_the_badge_may_come_last),
        IN_ROOM(what_is_wrong_puts_it_on_hold_for_that),
        IN_ROOM(parts_of_a_vat_are_said_by_cards_before_its_film),
        IN_ROOM(what_comes_back_half_said_is_brought_back_before_an_inspection),
        IN_ROOM(a_platform_has_a_surface),
        IN_ROOM(another_hold_stays_and_what_was_found_is_a_question),
        IN_ROOM(what_makes_no_sense_is_refused_with_its_reason),
        IN_ROOM(an_inspection_is_taken_back_and_the_vat_waits_again),
    };
    return cmocka_run_group_tests_name("desk/inspect", tests, room_group_setup, room_group_teardown);
}

#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/catalogue.h"
#include "tests/desk/room.h"

/* The demo's invented room. Serials from the range a real kiosk refuses. Ours, no source. */

static void fill(struct room *room)
{
    struct fault fault = {0};
    if (!desk_demo_fill(room->writer, clock_now(room->clock), &fault))
        fail_msg("%s", fault.text);
}

struct seen {
    int units, vats, real, unlabelled;
    char vat[SERIAL_SIZE];
};

static bool look(const struct unit *unit, void *context)
{
    struct seen *seen = context;
    seen->units++;
    seen->real += !serial_is_demo(unit->serial);
    seen->unlabelled += !unit->labelled;
    if (unit->serial[0] == 'V' && unit->resin[0] != '\0' && strcmp(unit->item, "VAT-S") == 0) {
        seen->vats++;
        (void)snprintf(seen->vat, sizeof seen->vat, "%s", unit->serial);
    }
    return true;
}

static bool take_technician(const struct person *person, void *context)
{
    if (strcmp(person->role, "technician") == 0)
        (void)snprintf(context, SERIAL_SIZE, "%s", person->serial);
    return true;
}

static void the_demo_is_a_room_one_can_work_in(void **state)
{
    struct room *room = *state;
    struct seen seen = {0};
    char badge[SERIAL_SIZE] = "";
    fill(room);
    assert_true(unit_each(room->reader, UNIT_BY_ALL, "", "", INT64_MAX, look, &seen, NULL));
    assert_true(seen.units >= 10 && seen.vats >= 1);
    assert_int_equal(seen.real, 0);
    assert_int_equal(seen.unlabelled, 0);
    assert_true(person_each(room->reader, take_technician, badge, NULL));
    (void)room_scan(room, badge);
    (void)room_scan(room, seen.vat);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "go", "idle", "Booked: Small vat");
    assert_true(json_is_true(json_object_get(room->view, "demo")));
}

static void filling_again_changes_nothing_even_on_another_day(void **state)
{
    struct room *room = *state;
    fill(room);
    const int64_t seq = room_seq(room);
    fill(room);
    assert_int_equal(room_seq(room), seq);
    room_pass(room, 3 * 86400);
    room_restart(room);
    fill(room);
    assert_int_equal(room_seq(room), seq);
}

#define IN_DEMO(test) cmocka_unit_test_setup_teardown(test, room_setup_demo, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_DEMO(the_demo_is_a_room_one_can_work_in),
        IN_DEMO(filling_again_changes_nothing_even_on_another_day),
    };
    return cmocka_run_group_tests_name("desk/demo", tests, NULL, NULL);
}

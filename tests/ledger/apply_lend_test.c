#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

enum { DUE = 20800 };

static struct movement lend(const char *place, int64_t due)
{
    struct movement m = apply_room_movement(MOVEMENT_LEND, APPLY_ROOM_VAT);
    SET(m.place, place);
    m.expires = due;
    return m;
}

static void lent_again_it_has_another_day_and_the_same_holder(void **state)
{
    struct room *room = *state;
    struct movement m = lend("B2", DUE);
    apply_room_must(room, &m);
    const struct unit *vat = apply_room_unit(room, APPLY_ROOM_VAT);
    const int64_t since = vat->out_since_ms;
    assert_int_equal(vat->status, UNIT_OUT);
    assert_string_equal(vat->place, "B2");
    assert_string_equal(vat->holder, APPLY_ROOM_PERSON);
    assert_int_equal(vat->due, DUE);
    m = lend("B2", DUE + 7);
    SET(m.person, "H0000029");
    apply_room_must(room, &m);
    vat = apply_room_unit(room, APPLY_ROOM_VAT);
    assert_int_equal(vat->due, DUE + 7);
    assert_string_equal(vat->holder, APPLY_ROOM_PERSON);
    assert_int_equal(vat->out_since_ms, since);
}

static void back_on_a_shelf_nothing_is_promised(void **state)
{
    struct room *room = *state;
    struct movement m = lend("B2", DUE);
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_PUT_AWAY, APPLY_ROOM_VAT);
    SET(m.place, "B2");
    apply_room_must_refuse(room, &m, "is out, not in");
    m = apply_room_movement(MOVEMENT_CHECK_IN, APPLY_ROOM_VAT);
    SET(m.place, "B2");
    apply_room_must(room, &m);
    const struct unit *vat = apply_room_unit(room, APPLY_ROOM_VAT);
    assert_int_equal(vat->status, UNIT_IN);
    assert_int_equal(vat->due, MOVEMENT_NULL);
    assert_string_equal(vat->holder, "");
}

static void what_is_in_a_printer_is_not_lent_unless_it_was_taken(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_CHECK_OUT, APPLY_ROOM_VAT);
    m.expires = DUE;
    SET(m.printer, "CAPSTAN");
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_VAT)->due, DUE);
    m = lend("B2", DUE);
    apply_room_must_refuse(room, &m, "is out, not in");
    SET(m.word, "taken");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->printer, "");
    m = lend("", DUE);
    apply_room_must_refuse(room, &m, "without the room it goes to");
    m = lend("NOWHERE", DUE);
    apply_room_must_refuse(room, &m, "is not known");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(lent_again_it_has_another_day_and_the_same_holder),
        IN_ROOM(back_on_a_shelf_nothing_is_promised),
        IN_ROOM(what_is_in_a_printer_is_not_lent_unless_it_was_taken),
    };
    return cmocka_run_group_tests_name("ledger/apply_lend", tests, NULL, NULL);
}

#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

static struct movement retire(const char *serial, const char *reason)
{
    struct movement m = apply_room_movement(MOVEMENT_RETIRE, serial);
    SET(m.word, reason);
    return m;
}

static void what_is_retired_stands_nowhere_and_knows_its_heir(void **state)
{
    struct room *room = *state;
    struct movement m = retire(APPLY_ROOM_VAT, "worn");
    SET(m.other, APPLY_ROOM_CARTRIDGE);
    apply_room_must(room, &m);
    const struct unit *vat = apply_room_unit(room, APPLY_ROOM_VAT);
    assert_int_equal(vat->status, UNIT_RETIRED);
    assert_string_equal(vat->place, "");
    assert_string_equal(vat->heir, APPLY_ROOM_CARTRIDGE);
    m = apply_room_movement(MOVEMENT_CHECK_OUT, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "is retired, not in");
    m = retire(APPLY_ROOM_VAT, "worn");
    apply_room_must_refuse(room, &m, "is retired already");
    m = apply_room_movement(MOVEMENT_DISPOSE, APPLY_ROOM_VAT);
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, APPLY_ROOM_VAT)->status, UNIT_GONE);
    apply_room_must_refuse(room, &m, "retire it first");
}

static void what_still_holds_resin_is_not_retired(void **state)
{
    struct room *room = *state;
    struct movement m = retire(APPLY_ROOM_CARTRIDGE, "worn");
    apply_room_must_refuse(room, &m, "1000.0 ml are in");
    m = retire(APPLY_ROOM_VAT, "");
    apply_room_must_refuse(room, &m, "without a reason");
    m = retire("V999999X", "worn");
    apply_room_must_refuse(room, &m, "is not known");
    m = apply_room_movement(MOVEMENT_DISPOSE, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "is in, not retired");
}

static struct movement relabel(struct room *room, const char *serial, const char *fresh)
{
    struct unit_state old = {.unit = *apply_room_unit(room, serial), .mix = ""};
    struct movement m, made = apply_room_movement(MOVEMENT_RELABEL, serial);
    assert_true(apply_write_relabel(&old, fresh, &m, NULL));
    SET(m.person, made.person);
    return m;
}

static void a_new_serial_is_the_old_thing_and_the_old_one_holds_nothing(void **state)
{
    struct room *room = *state;
    const struct unit before = *apply_room_unit(room, APPLY_ROOM_CARTRIDGE);
    struct movement m = relabel(room, APPLY_ROOM_CARTRIDGE, "C004218R");
    apply_room_must(room, &m);
    struct unit expected = before;
    SET(expected.serial, "C004218R");
    expected.labelled = false;
    expected.prints = 0;
    expected.version = room->seq;
    apply_room_assert_same(apply_room_unit(room, "C004218R"), &expected);
    const struct unit *left = apply_room_unit(room, APPLY_ROOM_CARTRIDGE);
    assert_int_equal(left->status, UNIT_RELABELLED);
    assert_string_equal(left->heir, "C004218R");
    assert_string_equal(left->resin, "");
    assert_string_equal(left->delivery, "");
    assert_int_equal(left->amount_ul, MOVEMENT_NULL);
    m = apply_room_movement(MOVEMENT_CHECK_OUT, APPLY_ROOM_CARTRIDGE);
    SET(m.word, "taken");
    apply_room_must_refuse(room, &m, "its thing is C004218R now");
    m = apply_room_movement(MOVEMENT_LEND, APPLY_ROOM_CARTRIDGE);
    SET(m.place, "B2");
    SET(m.word, "taken");
    apply_room_must_refuse(room, &m, "its thing is C004218R now");
    m = apply_room_movement(MOVEMENT_HOLD, APPLY_ROOM_CARTRIDGE);
    SET(m.word, "leaking");
    apply_room_must_refuse(room, &m, "its thing is C004218R now");
}

static void must_fail(struct room *room, struct movement *m, enum fault_code code, const char *says)
{
    assert_false(apply_room_book(room, m));
    assert_int_equal(room->fault.code, code);
    assert_non_null(strstr(room->fault.text, says));
}

static void what_was_meant_for_another_state_or_serial_is_refused(void **state)
{
    struct room *room = *state;
    struct movement m = relabel(room, APPLY_ROOM_CARTRIDGE, "C004218R");
    m.amount_ul = 1;
    must_fail(room, &m, FAULT_CONFLICT, "changed meanwhile");
    m = relabel(room, APPLY_ROOM_CARTRIDGE, "C004218R");
    SET(m.place, "");
    must_fail(room, &m, FAULT_CONFLICT, "changed meanwhile");
    m = relabel(room, APPLY_ROOM_CARTRIDGE, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "begin with the same letter");
    m = relabel(room, APPLY_ROOM_CARTRIDGE, APPLY_ROOM_CARTRIDGE);
    apply_room_must_refuse(room, &m, "is in the ledger already");
    m = relabel(room, APPLY_ROOM_CARTRIDGE, "C004218X");
    must_fail(room, &m, FAULT_INPUT, "its check character is wrong");
    m = relabel(room, APPLY_ROOM_CARTRIDGE, "C004218R");
    m.other[0] = '\0';
    apply_room_must_refuse(room, &m, "without the unit whose label is lost");
    m = retire(APPLY_ROOM_VAT, "worn");
    apply_room_must(room, &m);
    m = relabel(room, APPLY_ROOM_VAT, "V0001244");
    apply_room_must_refuse(room, &m, "is retired");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(what_is_retired_stands_nowhere_and_knows_its_heir),
        IN_ROOM(what_still_holds_resin_is_not_retired),
        IN_ROOM(a_new_serial_is_the_old_thing_and_the_old_one_holds_nothing),
        IN_ROOM(what_was_meant_for_another_state_or_serial_is_refused),
    };
    return cmocka_run_group_tests_name("ledger/apply_service", tests, NULL, NULL);
}

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

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(what_is_retired_stands_nowhere_and_knows_its_heir),
        IN_ROOM(what_still_holds_resin_is_not_retired),
    };
    return cmocka_run_group_tests_name("ledger/apply_service", tests, NULL, NULL);
}

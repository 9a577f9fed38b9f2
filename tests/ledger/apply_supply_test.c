#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

static struct movement supply(const char *vat, const char *cartridge)
{
    struct movement m = apply_room_movement(MOVEMENT_SUPPLY, vat);
    SET(m.other, cartridge);
    SET(m.printer, "CAPSTAN");
    SET(m.job, "job-1");
    return m;
}

static void a_supply_changes_no_row(void **state)
{
    struct room *room = *state;
    const struct unit vat = *apply_room_unit(room, APPLY_ROOM_VAT);
    struct movement m = supply(APPLY_ROOM_VAT, APPLY_ROOM_CARTRIDGE);
    apply_room_must(room, &m);
    m = supply(APPLY_ROOM_VAT, "");
    apply_room_must(room, &m);
    apply_room_assert_same(apply_room_unit(room, APPLY_ROOM_VAT), &vat);
}

static void a_supply_is_from_a_cartridge_into_a_vat_and_names_what_is_known(void **state)
{
    struct room *room = *state;
    struct movement m = supply(APPLY_ROOM_CARTRIDGE, APPLY_ROOM_CARTRIDGE);
    apply_room_must_refuse(room, &m, "from a cartridge into a vat");
    m = supply(APPLY_ROOM_VAT, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "from a cartridge into a vat");
    m = supply("", APPLY_ROOM_CARTRIDGE);
    apply_room_must_refuse(room, &m, "without unit");
    m = supply("V999999X", APPLY_ROOM_CARTRIDGE);
    apply_room_must_refuse(room, &m, "unit V999999X is not known");
    m = supply(APPLY_ROOM_VAT, "C999999X");
    apply_room_must_refuse(room, &m, "unit C999999X is not known");
    m = supply(APPLY_ROOM_VAT, APPLY_ROOM_CARTRIDGE);
    SET(m.printer, "NOWHERE");
    apply_room_must_refuse(room, &m, "printer 'NOWHERE' is not known");
    m = supply(APPLY_ROOM_VAT, APPLY_ROOM_CARTRIDGE);
    SET(m.job, "job-9");
    apply_room_must_refuse(room, &m, "job 'job-9' was not started");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_supply_changes_no_row, apply_room_setup, apply_room_teardown),
        cmocka_unit_test_setup_teardown(a_supply_is_from_a_cartridge_into_a_vat_and_names_what_is_known,
                                        apply_room_setup, apply_room_teardown),
    };
    return cmocka_run_group_tests_name("ledger/apply_supply", tests, NULL, NULL);
}

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* The two labels of one vat: case and tray. Common practice, no source. */

static void serial_of(char letter, long number, char serial[SERIAL_SIZE])
{
    while (!serial_write(letter, number, serial)) /* not every number makes one */
        number++;
}

static struct movement pair(const char *vat, const char *tray, const char *word)
{
    struct movement m = apply_room_movement(MOVEMENT_PAIR, vat);
    SET(m.other, tray);
    SET(m.item, "BIGVAT");
    SET(m.word, word);
    return m;
}

static void a_trays_row_begins_with_its_pair_and_is_no_stock(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    serial_of('T', 1, tray);
    struct movement m = pair(APPLY_ROOM_VAT, tray, "");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->pair, tray);
    assert_string_equal(apply_room_unit(room, tray)->pair, APPLY_ROOM_VAT);
    assert_int_equal(apply_room_unit(room, tray)->status, UNIT_TRAY);
    assert_string_equal(apply_room_unit(room, tray)->item, apply_room_unit(room, APPLY_ROOM_VAT)->item);
    m = apply_room_movement(MOVEMENT_HOLD, tray);
    SET(m.word, "leaking");
    apply_room_must_refuse(room, &m, "its vat is " APPLY_ROOM_VAT ": say that one");
}

/* Reality is never refused, but a label is nowhere: its vat is. */
static void a_trays_label_is_neither_taken_nor_lent_nor_found(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    serial_of('T', 1, tray);
    struct movement m = pair(APPLY_ROOM_VAT, tray, "");
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_CHECK_OUT, tray);
    SET(m.printer, "CAPSTAN");
    SET(m.word, "taken");
    apply_room_must_refuse(room, &m, "its vat is " APPLY_ROOM_VAT ": say that one");
    m = apply_room_movement(MOVEMENT_LEND, tray);
    SET(m.place, "B2");
    SET(m.word, "taken");
    apply_room_must_refuse(room, &m, "its vat is " APPLY_ROOM_VAT ": say that one");
    m = apply_room_movement(MOVEMENT_CHECK_IN, tray);
    SET(m.place, "B2");
    SET(m.detail, "{\"as_found\":1}");
    apply_room_must_refuse(room, &m, "its vat is " APPLY_ROOM_VAT ": say that one");
    assert_int_equal(apply_room_unit(room, tray)->status, UNIT_TRAY);
}

static void a_pair_is_parted_before_one_of_it_goes_elsewhere(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE], other[SERIAL_SIZE];
    serial_of('T', 1, tray);
    serial_of('T', 20, other);
    struct movement m = pair(APPLY_ROOM_VAT, tray, "");
    apply_room_must(room, &m);
    m = pair(APPLY_ROOM_VAT, other, "");
    apply_room_must_refuse(room, &m, "part them before");
    m = pair(APPLY_ROOM_VAT, other, "apart");
    apply_room_must_refuse(room, &m, "there is nothing to part");
    m = pair(APPLY_ROOM_VAT, tray, "apart");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, APPLY_ROOM_VAT)->pair, "");
    assert_string_equal(apply_room_unit(room, tray)->pair, "");
    assert_int_equal(apply_room_unit(room, tray)->status, UNIT_TRAY);
    m = pair(APPLY_ROOM_VAT, other, "");
    apply_room_must(room, &m);
    m = pair(APPLY_ROOM_CARTRIDGE, tray, "");
    apply_room_must_refuse(room, &m, "make a pair, not");
    m = pair(APPLY_ROOM_VAT, APPLY_ROOM_CARTRIDGE, "");
    apply_room_must_refuse(room, &m, "make a pair, not");
}

static void a_trays_label_is_retired_like_its_vat(void **state)
{
    struct room *room = *state;
    char tray[SERIAL_SIZE];
    serial_of('T', 1, tray);
    struct movement m = pair(APPLY_ROOM_VAT, tray, "");
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_RETIRE, tray);
    SET(m.word, "worn");
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, tray)->status, UNIT_RETIRED);
    m = pair(APPLY_ROOM_VAT, tray, "apart");
    apply_room_must_refuse(room, &m, "not the label of a tray in a case");
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_trays_row_begins_with_its_pair_and_is_no_stock),
        TEST(a_trays_label_is_neither_taken_nor_lent_nor_found),
        TEST(a_pair_is_parted_before_one_of_it_goes_elsewhere),
        TEST(a_trays_label_is_retired_like_its_vat),
    };
    return cmocka_run_group_tests_name("ledger/apply_pair", tests, NULL, NULL);
}

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* The order in which labels are printed is a sum of movements like all else. First come, first served, and who is moved
 * to the front goes first: common practice, no source. */

static struct movement label(enum movement_kind kind, const char *serial, const char *word)
{
    struct movement m = apply_room_movement(kind, serial);
    m.pieces = 1;
    SET(m.word, word);
    return m;
}

static void order(struct room *room, const char *serial, const char *act)
{
    struct movement m = label(MOVEMENT_PRINT, serial, "waiting");
    SET(m.act, act);
    apply_room_must(room, &m);
}

static struct print row_of(struct room *room, const char *serial)
{
    struct print like = {.number = 1};
    SET(like.unit, serial);
    const struct print *print = memory_store_find(room->memory, MEMORY_PRINTS, &like, NULL);
    assert_non_null(print);
    return *print;
}

static struct movement to_the_front(struct room *room, const char *serial)
{
    struct movement m = label(MOVEMENT_PRINT_MOVE, serial, "");
    (void)snprintf(m.detail, sizeof m.detail, "{\"was\":%lld}", (long long)row_of(room, serial).rank);
    return m;
}

static void a_label_keeps_who_ordered_it_when_and_its_turn(void **state)
{
    struct room *room = *state;
    order(room, APPLY_ROOM_VAT, "receipt-0001");
    const struct print print = row_of(room, APPLY_ROOM_VAT);
    assert_string_equal(print.batch, "receipt-0001");
    assert_int_equal(print.ordered_ms, room->seq * 1000); /* apply_room.h: 1000 ms a number */
    assert_int_equal(print.rank, room->seq);
    struct movement m = label(MOVEMENT_PRINT, APPLY_ROOM_VAT, "sent");
    apply_room_must(room, &m);
    m = label(MOVEMENT_PRINT, APPLY_ROOM_VAT, "waiting"); /* refused before a byte went out */
    apply_room_must(room, &m);
    assert_int_equal(row_of(room, APPLY_ROOM_VAT).rank, print.rank); /* its turn is not lost */
    assert_string_equal(row_of(room, APPLY_ROOM_VAT).batch, "receipt-0001");
}

static void who_is_moved_last_stands_first_and_a_move_is_taken_back_exactly(void **state)
{
    struct room *room = *state;
    order(room, APPLY_ROOM_VAT, "receipt-0001");
    order(room, APPLY_ROOM_CARTRIDGE, "receipt-0002");
    const int64_t vat = row_of(room, APPLY_ROOM_VAT).rank, cartridge = row_of(room, APPLY_ROOM_CARTRIDGE).rank;
    assert_true(vat < cartridge);
    struct movement m = to_the_front(room, APPLY_ROOM_CARTRIDGE);
    apply_room_must(room, &m);
    const int64_t moved = room->seq;
    assert_true(row_of(room, APPLY_ROOM_CARTRIDGE).rank < vat);
    m = to_the_front(room, APPLY_ROOM_VAT);
    apply_room_must(room, &m);
    assert_true(row_of(room, APPLY_ROOM_VAT).rank < row_of(room, APPLY_ROOM_CARTRIDGE).rank);
    m = label(MOVEMENT_PRINT_MOVE, APPLY_ROOM_CARTRIDGE, "");
    m.refers = moved;
    (void)snprintf(m.detail, sizeof m.detail, "{\"rank\":%lld,\"was\":%lld}", (long long)cartridge, (long long)-moved);
    apply_room_must(room, &m);
    assert_int_equal(row_of(room, APPLY_ROOM_CARTRIDGE).rank, cartridge);
}

static void a_move_that_cannot_be_is_refused(void **state)
{
    struct room *room = *state;
    struct movement m = label(MOVEMENT_PRINT_MOVE, APPLY_ROOM_VAT, "");
    SET(m.detail, "{\"was\":1}");
    apply_room_must_refuse(room, &m, "is not ordered, not waiting");
    order(room, APPLY_ROOM_VAT, "receipt-0001");
    apply_room_must_refuse(room, &m, "was moved since");
    m = to_the_front(room, APPLY_ROOM_VAT);
    m.pieces = MOVEMENT_NULL;
    apply_room_must_refuse(room, &m, "without its number");
    m = to_the_front(room, APPLY_ROOM_VAT);
    (void)snprintf(m.detail, sizeof m.detail, "{\"rank\":7,\"was\":%lld}",
                   (long long)row_of(room, APPLY_ROOM_VAT).rank);
    apply_room_must_refuse(room, &m, "only where a move is taken back");
    m = label(MOVEMENT_PRINT, APPLY_ROOM_VAT, "sent");
    apply_room_must(room, &m);
    m = to_the_front(room, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "is sent, not waiting");
}

static void the_printer_is_told_to_go_or_to_cancel_what_was_sent(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_PRINT_TELL, "");
    SET(m.word, "go");
    apply_room_must(room, &m);
    SET(m.unit, APPLY_ROOM_VAT);
    apply_room_must_refuse(room, &m, "for all labels, not for one");
    order(room, APPLY_ROOM_VAT, "receipt-0001");
    m = label(MOVEMENT_PRINT_TELL, APPLY_ROOM_VAT, "cancel");
    apply_room_must_refuse(room, &m, "is waiting, not sent");
    struct movement sent = label(MOVEMENT_PRINT, APPLY_ROOM_VAT, "sent");
    apply_room_must(room, &sent);
    apply_room_must(room, &m);
    assert_int_equal(row_of(room, APPLY_ROOM_VAT).state,
                     PRINT_SENT); /* told, not done: the printer's word is awaited */
    m = label(MOVEMENT_PRINT_TELL, APPLY_ROOM_VAT, "stop");
    apply_room_must_refuse(room, &m, "one of go cancel");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_label_keeps_who_ordered_it_when_and_its_turn),
        TEST(who_is_moved_last_stands_first_and_a_move_is_taken_back_exactly),
        TEST(a_move_that_cannot_be_is_refused),
        TEST(the_printer_is_told_to_go_or_to_cancel_what_was_sent),
    };
    return cmocka_run_group_tests_name("ledger/print_order", tests, NULL, NULL);
}

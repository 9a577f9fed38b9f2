#include "kiosk/ledger/memory_store.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void keeps_ten_thousand_rows_and_their_last_state(void **state)
{
    enum { ROWS = 10000 };
    struct memory_store *memory = memory_store_create();
    const struct apply_store store = memory_store_apply(memory);
    (void)state;
    for (int pass = 0; pass < 2; pass++)
        for (int i = 0; i < ROWS; i++) {
            struct unit unit = {.version = pass * ROWS + i};
            snprintf(unit.serial, sizeof unit.serial, "V%06d", i);
            assert_true(store.save_unit(store.context, &unit, NULL));
        }
    assert_int_equal(memory_store_count(memory, MEMORY_UNITS), ROWS);
    for (int i = 0; i < ROWS; i++) {
        struct unit unit = {0};
        bool found = false;
        snprintf(unit.serial, sizeof unit.serial, "V%06d", i);
        assert_true(store.load_unit(store.context, &unit, &found, NULL));
        assert_true(found);
        assert_int_equal(unit.version, ROWS + i);
    }
    memory_store_destroy(memory);
}

static void says_when_there_is_no_such_row_and_leaves_the_callers_alone(void **state)
{
    struct memory_store *memory = memory_store_create();
    const struct apply_store store = memory_store_apply(memory);
    struct lot lot = {.item = "FLINT", .lot = "A", .expires = 7};
    bool found = true;
    (void)state;
    assert_true(store.load_lot(store.context, &lot, &found, NULL));
    assert_false(found);
    assert_int_equal(lot.expires, 7);
    assert_null(memory_store_find(memory, MEMORY_LOTS, &lot, NULL));
    memory_store_destroy(memory);
}

static void keys_of_two_parts_do_not_run_together(void **state)
{
    struct memory_store *memory = memory_store_create();
    const struct apply_store store = memory_store_apply(memory);
    const struct lot one = {.item = "AB", .lot = "C"}, two = {.item = "A", .lot = "BC"};
    char name[MEMORY_NAME_SIZE];
    (void)state;
    assert_true(store.save_lot(store.context, &one, NULL));
    assert_true(store.save_lot(store.context, &two, NULL));
    assert_int_equal(memory_store_count(memory, MEMORY_LOTS), 2);
    assert_string_equal(memory_row_name(MEMORY_LOTS, &two, name), "A BC");
    const struct print label = {.place = "A1", .number = 2};
    assert_string_equal(memory_row_name(MEMORY_PRINTS, &label, name), "A1 2");
    memory_store_destroy(memory);
}

static void keeps_a_text_beside_the_row_but_never_a_name(void **state)
{
    struct memory_store *memory = memory_store_create();
    const struct apply_store store = memory_store_apply(memory);
    struct person person = {.serial = "H000001", .role = "counter", .name = "Ada", .version = 1};
    const char *text = NULL;
    (void)state;
    assert_true(store.save_person(store.context, &person, "ABCD", NULL));
    person.version = 2;
    assert_true(store.save_person(store.context, &person, "", NULL)); /* "" keeps the text */
    const struct person *row = memory_store_find(memory, MEMORY_PERSONS, &person, &text);
    assert_non_null(row);
    assert_string_equal(row->name, "");
    assert_int_equal(row->version, 2);
    assert_string_equal(text, "ABCD");
    bool found = false;
    assert_true(store.load_person(store.context, &person, &found, NULL));
    assert_string_equal(person.name, "Ada"); /* the caller's name is not touched */
    memory_store_destroy(memory);
}

struct seen {
    int count;
    char order[8];
};

static bool note(const void *row, const char *text, void *context)
{
    struct seen *seen = context;
    (void)text;
    seen->order[seen->count++] = ((const struct place *)row)->code[0];
    return seen->count < 3;
}

static void walks_rows_in_the_order_of_their_first_saving_until_told_to_stop(void **state)
{
    struct memory_store *memory = memory_store_create();
    const struct apply_store store = memory_store_apply(memory);
    static const char *const codes[] = {"C", "A", "D", "A", "B"};
    struct seen seen = {0};
    (void)state;
    for (size_t i = 0; i < 5; i++) {
        struct place place = {0};
        assert_true(span_copy(span_of(codes[i]), place.code, sizeof place.code));
        assert_true(store.save_place(store.context, &place, NULL));
    }
    memory_store_each(memory, MEMORY_PLACES, note, &seen);
    assert_string_equal(seen.order, "CAD");
    memory_store_destroy(memory);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keeps_ten_thousand_rows_and_their_last_state),
        cmocka_unit_test(says_when_there_is_no_such_row_and_leaves_the_callers_alone),
        cmocka_unit_test(keys_of_two_parts_do_not_run_together),
        cmocka_unit_test(keeps_a_text_beside_the_row_but_never_a_name),
        cmocka_unit_test(walks_rows_in_the_order_of_their_first_saving_until_told_to_stop),
    };
    return cmocka_run_group_tests_name("ledger/memory_store", tests, NULL, NULL);
}

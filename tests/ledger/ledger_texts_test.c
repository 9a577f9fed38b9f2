#include "kiosk/ledger/ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/movement_hash.h"
#include "tests/ledger/ledger_bench.h"

/* Movements and erasable texts that come from another ledger; texts and their digests. */

static void import_books_movements_as_they_were(void **state)
{
    struct ledger_fixture *from = *state, to;
    struct ledger_bench_found found = {.count = 0};
    struct fault fault = {0};
    char first[SERIAL_SIZE], next[SERIAL_SIZE], expected[SERIAL_SIZE];
    ledger_bench_begin(from->ledger);
    ledger_bench_enter_item(from->ledger, "FLINT", 'C');
    ledger_bench_receive(from->ledger, 'C', "FLINT", first);
    ledger_bench_must(ledger_next_serial(from->ledger, 'C', expected, &fault), &fault);
    ledger_bench_commit(from->ledger);
    ledger_bench_must(ledger_each(from->ledger, 0, 8, ledger_bench_keep, &found, &fault), &fault);
    ledger_fixture_create(&to);
    to.ledger = ledger_fixture_open(&to, LEDGER_WRITER);
    ledger_bench_must(ledger_begin(to.ledger, &fault), &fault);
    for (int i = 0; i < found.count; i++)
        ledger_bench_must(ledger_book_as_is(to.ledger, &found.movement[i], &fault), &fault);
    ledger_bench_must(ledger_next_serial(to.ledger, 'C', next, &fault), &fault);
    assert_string_equal(next, expected); /* not the first again */
    ledger_bench_commit(to.ledger);
    int64_t seq[2];
    uint8_t hash[2][HASH_BYTES];
    ledger_bench_must(ledger_head(from->ledger, &seq[0], hash[0], &fault) &&
                          ledger_head(to.ledger, &seq[1], hash[1], &fault),
                      &fault);
    assert_int_equal(seq[0], seq[1]);
    assert_memory_equal(hash[0], hash[1], HASH_BYTES);
    ledger_fixture_destroy(&to);
}

static void import_refuses_a_changed_or_missing_movement(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct movement movement = ledger_bench_machine_entry("CAPSTAN");
    static const uint8_t zeros[HASH_BYTES];
    struct fault fault = {0};
    ledger_bench_begin(ledger);
    movement.seq = 2;
    movement_hash(zeros, &movement, movement.hash);
    assert_false(ledger_book_as_is(ledger, &movement, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_non_null(strstr(fault.text, "missing"));
    movement.seq = 1;
    movement_hash(zeros, &movement, movement.hash);
    movement.pieces = 2;
    assert_false(ledger_book_as_is(ledger, &movement, &fault));
    assert_non_null(strstr(fault.text, "changed"));
    movement.pieces = 1;
    ledger_bench_must(ledger_book_as_is(ledger, &movement, &fault), &fault);
    ledger_bench_commit(ledger);
    assert_int_equal(ledger_bench_head_seq(ledger), 1);
}

static void a_text_is_found_by_the_digest_of_salt_and_text_until_erased(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    char one[TEXT_ID_SIZE], two[TEXT_ID_SIZE], value[64] = "x";
    struct fault fault = {0};
    ledger_bench_begin(ledger);
    ledger_bench_must(ledger_text_put(ledger, "Inês", one, &fault) && ledger_text_put(ledger, "Inês", two, &fault),
                      &fault);
    assert_int_equal(strspn(one, "0123456789abcdef"), 64);
    assert_string_not_equal(one, two); /* a fresh salt each */
    ledger_bench_must(ledger_text_get(ledger, one, value, sizeof value, &fault), &fault);
    assert_string_equal(value, "Inês");
    ledger_bench_must(ledger_text_get(ledger, one, value, 4, &fault), &fault);
    assert_string_equal(value, "In"); /* ê would be cut in two */
    ledger_bench_must(ledger_text_erase(ledger, one, &fault), &fault);
    ledger_bench_must(ledger_text_get(ledger, one, value, sizeof value, &fault), &fault);
    assert_string_equal(value, "");
    ledger_bench_must(ledger_text_get(ledger, two, value, sizeof value, &fault), &fault);
    assert_string_equal(value, "Inês");
    ledger_bench_must(ledger_text_get(ledger, "", value, sizeof value, &fault), &fault);
    assert_string_equal(value, "");
    assert_false(ledger_text_put(ledger, "", one, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    ledger_bench_commit(ledger);
}

static void a_text_has_a_limit(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    char text[TEXT_VALUE_SIZE + 1], id[TEXT_ID_SIZE];
    struct fault fault = {0};
    memset(text, 'x', sizeof text);
    text[TEXT_VALUE_SIZE] = '\0';
    ledger_bench_begin(ledger);
    assert_false(ledger_text_put(ledger, text, id, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    text[TEXT_VALUE_SIZE - 1] = '\0';
    ledger_bench_must(ledger_text_put(ledger, text, id, &fault), &fault);
    ledger_bench_commit(ledger);
}

struct texts {
    struct text_row row[4];
    int count;
};

static bool keep_text(const struct text_row *row, void *context)
{
    struct texts *texts = context;
    assert_true(texts->count < 4);
    texts->row[texts->count++] = *row;
    return true;
}

static void texts_move_to_another_ledger_with_salt_or_erased(void **state)
{
    struct ledger_fixture *from = *state, to;
    struct texts before = {.count = 0}, after = {.count = 0};
    char one[TEXT_ID_SIZE], two[TEXT_ID_SIZE];
    struct fault fault = {0};
    ledger_bench_begin(from->ledger);
    ledger_bench_must(ledger_text_put(from->ledger, "Ines", one, &fault) &&
                          ledger_text_put(from->ledger, "Ole", two, &fault),
                      &fault);
    ledger_bench_must(ledger_text_erase(from->ledger, two, &fault), &fault);
    ledger_bench_must(ledger_text_each(from->ledger, keep_text, &before, &fault), &fault);
    assert_int_equal(before.count, 2);
    ledger_bench_commit(from->ledger);
    ledger_fixture_create(&to);
    to.ledger = ledger_fixture_open(&to, LEDGER_WRITER);
    ledger_bench_must(ledger_begin(to.ledger, &fault), &fault);
    for (int i = 0; i < 2; i++)
        ledger_bench_must(ledger_text_put_as_is(to.ledger, &before.row[i], &fault), &fault);
    ledger_bench_must(ledger_text_each(to.ledger, keep_text, &after, &fault), &fault);
    assert_int_equal(after.count, 2);
    for (int i = 0; i < 2; i++) {
        static const uint8_t zeros[TEXT_SALT_BYTES];
        assert_string_equal(after.row[i].id, before.row[i].id);
        assert_string_equal(after.row[i].value, strcmp(before.row[i].id, two) == 0 ? "" : "Ines");
        assert_int_equal(after.row[i].erased, strcmp(before.row[i].id, two) == 0);
        assert_memory_equal(after.row[i].salt, before.row[i].salt, TEXT_SALT_BYTES);
        assert_int_equal(memcmp(after.row[i].salt, zeros, TEXT_SALT_BYTES) == 0, after.row[i].erased);
    }
    struct text_row changed = before.row[strcmp(before.row[0].id, two) == 0 ? 1 : 0];
    memcpy(changed.value, "Inez", sizeof "Inez");
    assert_false(ledger_text_put_as_is(to.ledger, &changed, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    ledger_fixture_destroy(&to);
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(import_books_movements_as_they_were),
        WITH_LEDGER(import_refuses_a_changed_or_missing_movement),
        WITH_LEDGER(a_text_is_found_by_the_digest_of_salt_and_text_until_erased),
        WITH_LEDGER(a_text_has_a_limit),
        WITH_LEDGER(texts_move_to_another_ledger_with_salt_or_erased),
    };
    return cmocka_run_group_tests_name("ledger/ledger_texts", tests, NULL, NULL);
}

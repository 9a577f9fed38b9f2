#include "tests/ledger/ledger_bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/basics/text.h"

void ledger_bench_must(bool fine, const struct fault *fault)
{
    if (!fine)
        fail_msg("%s", fault->text);
}

void ledger_bench_begin(struct ledger *ledger)
{
    struct fault fault = {0};
    ledger_bench_must(ledger_begin(ledger, &fault), &fault);
    ledger_fixture_book_as(ledger, "act-00000001", "H0000015", LEDGER_BENCH_NOON_MS);
}

void ledger_bench_commit(struct ledger *ledger)
{
    struct fault fault = {0};
    ledger_bench_must(ledger_commit(ledger, &fault), &fault);
}

struct movement ledger_bench_machine_entry(const char *code)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PRINTER_ENTRY);
    movement.pieces = 1;
    assert_true(span_copy(span_of(code), movement.printer, sizeof movement.printer));
    return movement;
}

bool ledger_bench_book_machine(struct ledger *ledger, const char *code, struct fault *fault)
{
    struct movement movement = ledger_bench_machine_entry(code);
    return ledger_book(ledger, &movement, fault);
}

void ledger_bench_must_book_machine(struct ledger *ledger, const char *code)
{
    struct fault fault = {0};
    ledger_bench_must(ledger_bench_book_machine(ledger, code, &fault), &fault);
}

int64_t ledger_bench_head_seq(struct ledger *ledger)
{
    int64_t seq = -1;
    uint8_t hash[HASH_BYTES];
    struct fault fault = {0};
    ledger_bench_must(ledger_head(ledger, &seq, hash, &fault), &fault);
    return seq;
}

bool ledger_bench_keep(const struct movement *movement, void *context)
{
    struct ledger_bench_found *found = context;
    if (found->count < 8)
        found->movement[found->count] = *movement;
    return ++found->count != found->stop_after;
}

void ledger_bench_receive(struct ledger *ledger, char letter, const char *item, char serial[SERIAL_SIZE])
{
    struct movement movement;
    struct fault fault = {0};
    ledger_bench_must(ledger_next_serial(ledger, letter, serial, &fault), &fault);
    movement_init(&movement, MOVEMENT_RECEIPT);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    assert_true(span_copy(span_of(item), movement.item, sizeof movement.item));
    ledger_bench_must(ledger_book(ledger, &movement, &fault), &fault);
}

void ledger_bench_enter_item(struct ledger *ledger, const char *code, char letter)
{
    struct item item = {.letter = letter,
                        .name = "Flint",
                        .content_ul = MOVEMENT_NULL,
                        .minimum_days = MOVEMENT_NULL,
                        .life_minutes = MOVEMENT_NULL};
    struct movement movement;
    struct fault fault = {0};
    movement_init(&movement, MOVEMENT_ITEM_ENTRY);
    assert_true(span_copy(span_of(code), movement.item, sizeof movement.item));
    ledger_bench_must(item_write_detail(&item, movement.detail, &fault), &fault);
    ledger_bench_must(ledger_book(ledger, &movement, &fault), &fault);
}

#include "kiosk/ledger/stock.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/tables.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

static void put(struct ledger *ledger, const struct unit *unit)
{
    struct fault fault = {0};
    if (!ledger_begin(ledger, &fault) || !unit_save(ledger, unit, &fault) || !ledger_commit(ledger, &fault))
        fail_msg("%s", fault.text);
}

static struct unit make(const char *serial, const char *item, const char *lot, int64_t expires, int64_t amount_ul)
{
    struct unit unit = {.status = UNIT_IN,
                        .filled = MOVEMENT_NULL,
                        .expires = expires,
                        .amount_ul = amount_ul,
                        .minutes = MOVEMENT_NULL,
                        .out_since_ms = MOVEMENT_NULL,
                        .version = 1};
    assert_true(span_copy(span_of(serial), unit.serial, sizeof unit.serial));
    assert_true(span_copy(span_of(item), unit.item, sizeof unit.item));
    assert_true(span_copy(span_of(lot), unit.lot, sizeof unit.lot));
    return unit;
}

struct lines {
    struct stock_line line[10];
    int count;
};

static bool note_line(const struct stock_line *line, void *context)
{
    struct lines *lines = context;
    assert_true(lines->count < 10);
    lines->line[lines->count++] = *line;
    return true;
}

static void put_stock(struct ledger *ledger, const char *serial, int64_t expires, int64_t amount_ul, const char *hold,
                      enum unit_status status)
{
    struct unit unit = make(serial, "FLINT", "L1", expires, amount_ul);
    unit.status = status;
    assert_true(span_copy(span_of(hold), unit.hold, sizeof unit.hold));
    put(ledger, &unit);
}

static void stock_is_summed_by_what_makes_a_difference(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct lines lines = {.count = 0};
    put_stock(ledger, "C000001X", MOVEMENT_NULL, 5, "", UNIT_IN);
    put_stock(ledger, "C000002V", 20500, INT64_C(4000000000000000000), "", UNIT_IN);
    put_stock(ledger, "C000003T", 20500, 7, "", UNIT_IN);
    put_stock(ledger, "C000004R", 20500, MOVEMENT_NULL, "", UNIT_IN);
    put_stock(ledger, "C000005P", 20500, 11, "damaged", UNIT_IN);
    put_stock(ledger, "C000006M", 20500, 13, "", UNIT_OUT);
    put_stock(ledger, "C000007K", 20500, 17, "", UNIT_RETIRED);
    put_stock(ledger, "C000008G", 20500, 19, "", UNIT_GONE);
    assert_true(stock_each(ledger, "", note_line, &lines, NULL));
    assert_int_equal(lines.count, 4);
    assert_true(lines.line[0].units == 3 && lines.line[0].amount_unknown == 1 && !lines.line[0].held);
    assert_true(lines.line[0].amount_ul == INT64_C(4000000000000000007));
    assert_true(lines.line[1].held && lines.line[1].units == 1 && lines.line[1].amount_ul == 11);
    assert_int_equal(lines.line[2].status, UNIT_OUT);
    assert_true(lines.line[3].expires == MOVEMENT_NULL && lines.line[3].amount_ul == 5); /* no date: last */
    lines.count = 0;
    assert_true(stock_each_of_item(ledger, "FLINT", note_line, &lines, NULL));
    assert_int_equal(lines.count, 4);
    lines.count = 0;
    assert_true(stock_each_of_item(ledger, "OAK", note_line, &lines, NULL));
    assert_int_equal(lines.count, 0);
}

static bool note_total(const struct stock_total *total, void *context)
{
    *(struct stock_total *)context = *total;
    return true;
}

/* Held counts before the missing label, that before the date; the last usable day is usable. */
static void an_items_total_counts_each_unit_once(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct day day = {20500};
    struct stock_total total = {.units = 0};
    struct lines lines = {.count = 0};
    for (int i = 0; i < 12; i++) {
        char serial[SERIAL_SIZE];
        assert_true(serial_write('C', i + 11, serial));
        struct unit unit = make(serial, "FLINT", "L1", i == 11 ? MOVEMENT_NULL : 20499 + i % 3, 10);
        unit.labelled = i != 3 && i != 4;
        unit.status = i == 5 ? UNIT_OUT : UNIT_IN;
        if (i >= 4 && i <= 6) /* 4: no label either; 5: out; 6: expired too */
            memcpy(unit.hold, "damaged", sizeof "damaged");
        put(ledger, &unit);
    }
    assert_true(stock_each_total(ledger, day, note_total, &total, NULL));
    assert_string_equal(total.item, "FLINT");
    assert_int_equal(total.units, 12);
    assert_int_equal(total.out, 1);
    assert_int_equal(total.held, 2);
    assert_int_equal(total.unproved, 1);
    assert_int_equal(total.expired, 2); /* 0 and 9 */
    assert_int_equal(total.ready, 6);   /* 1, 2, 7, 8, 10, 11 */
    assert_int_equal(total.first_expires, 20500);
    assert_int_equal(total.amount_ul, 120);
    assert_true(stock_each(ledger, "FLINT", note_line, &lines, NULL)); /* nothing behind it */
    assert_int_equal(lines.count, 0);
}

static void a_line_ends_with_its_last_unit(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct lines lines = {.count = 0};
    put_stock(ledger, "C000001X", 20500, 5, "", UNIT_IN);
    put_stock(ledger, "C000001X", 20500, 5, "", UNIT_OUT);
    assert_true(stock_each(ledger, "", note_line, &lines, NULL));
    assert_int_equal(lines.count, 1);
    assert_int_equal(lines.line[0].status, UNIT_OUT);
    put_stock(ledger, "C000001X", 20500, 5, "", UNIT_GONE);
    lines.count = 0;
    assert_true(stock_each(ledger, "", note_line, &lines, NULL));
    assert_int_equal(lines.count, 0);
}

static uint32_t draw(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes, 2nd ed., section 7.1 */
    return (uint32_t)(((uint64_t)*seed * below) >> 32);
}

/* Property: whatever is saved in whatever order, the totals are the sums over the units. */
static void totals_follow_every_change_of_a_unit(void **state)
{
    static const char *const items[] = {"FLINT", "OAK", "VAT-S"}, *const lots[] = {"", "L1", "L2"};
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    uint32_t seed = 20261125;
    assert_true(ledger_begin(ledger, &fault));
    for (int change = 0; change < 600; change++) {
        char serial[SERIAL_SIZE];
        if (!serial_write('C', (long)draw(&seed, 40) + 1, serial))
            continue; /* a number that has no serial */
        struct unit unit = make(serial, items[draw(&seed, 3)], lots[draw(&seed, 3)],
                                draw(&seed, 3) ? 20500 + draw(&seed, 3) : MOVEMENT_NULL,
                                draw(&seed, 4) ? draw(&seed, 1000) : MOVEMENT_NULL);
        unit.status = (enum unit_status)draw(&seed, UNIT_STATUSES);
        unit.labelled = draw(&seed, 2) == 1;
        unit.version = change + 1;
        if (draw(&seed, 4) == 0)
            memcpy(unit.hold, "damaged", sizeof "damaged");
        if (!unit_save(ledger, &unit, &fault))
            fail_msg("%s", fault.text);
        if (change % 20 == 0) {
            int64_t lines = 0, different = 0;
            struct stock_line first;
            assert_true(stock_compare(ledger, &lines, &different, &first, &fault));
            assert_int_equal(different, 0);
            assert_true(lines > 0 || change < 20);
        }
    }
    assert_true(ledger_commit(ledger, &fault));
}

static void a_total_that_somebody_changed_is_found(void **state)
{
    static const char *const edits[] = {
        "UPDATE stock SET units = units + 1",
        "UPDATE stock SET amount_ul = amount_ul - 1",
        "UPDATE stock SET amount_unknown = 1",
        "UPDATE stock SET lot = 'L0'",
        "UPDATE stock SET expires = 20501",
        "UPDATE stock SET status = 'out'",
        "UPDATE stock SET held = 1",
        "UPDATE stock SET labelled = 1",
        "UPDATE stock SET item = 'OAK'",
        "DELETE FROM stock",
        "INSERT INTO stock VALUES ('KELP', 1, '', 'in', 0, 0, 1, 0, 0)",
    };
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    put_stock(ledger, "C000001X", 20500, 5, "", UNIT_IN);
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        struct fault fault = {0};
        struct stock_line first = {.item = ""};
        int64_t lines = 0, different = 0;
        assert_true(ledger_begin(ledger, &fault));
        if (!sql_exec(ledger_sql(ledger), edits[i], &fault))
            fail_msg("%s", fault.text);
        assert_true(stock_compare(ledger, &lines, &different, &first, &fault));
        if (different == 0)
            fail_msg("not found: %s", edits[i]);
        assert_string_not_equal(first.item, "");
        ledger_rollback(ledger);
    }
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(stock_is_summed_by_what_makes_a_difference),
        WITH_LEDGER(an_items_total_counts_each_unit_once),
        WITH_LEDGER(a_line_ends_with_its_last_unit),
        WITH_LEDGER(totals_follow_every_change_of_a_unit),
        WITH_LEDGER(a_total_that_somebody_changed_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "kiosk/ledger/unit.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/tables.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

static struct unit make(const char *serial, const char *item, const char *lot)
{
    struct unit unit = {.status = UNIT_IN,
                        .filled = MOVEMENT_NULL,
                        .expires = MOVEMENT_NULL,
                        .amount_ul = MOVEMENT_NULL,
                        .minutes = MOVEMENT_NULL,
                        .out_since_ms = MOVEMENT_NULL,
                        .version = 1};
    assert_true(span_copy(span_of(serial), unit.serial, sizeof unit.serial));
    assert_true(span_copy(span_of(item), unit.item, sizeof unit.item));
    assert_true(span_copy(span_of(lot), unit.lot, sizeof unit.lot));
    return unit;
}

static void put(struct ledger *ledger, const struct unit *unit)
{
    struct fault fault = {0};
    if (!ledger_begin(ledger, &fault) || !unit_save(ledger, unit, &fault) || !ledger_commit(ledger, &fault))
        fail_msg("%s", fault.text);
}

static void every_field_comes_back(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct unit unit = {.serial = "V000017K",
                              .item = "VAT-L",
                              .resin = "FLINT",
                              .lot = "a/b+c",
                              .status = UNIT_OUT,
                              .place = "A3-07",
                              .holder = "H0000015",
                              .printer = "CAPSTAN",
                              .job = "job-1",
                              .delivery = "D-1",
                              .hold = "damaged",
                              .film = "fogged",
                              .filled = -3,
                              .expires = 20500,
                              .amount_ul = INT64_C(1000000000000),
                              .minutes = 0,
                              .labelled = true,
                              .prints = 2,
                              .out_since_ms = 1,
                              .version = 42};
    struct unit read = {.prints = 99};
    bool found = false;
    put(ledger, &unit);
    assert_true(unit_load(ledger, "V000017K", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.serial, unit.serial);
    assert_string_equal(read.item, unit.item);
    assert_string_equal(read.resin, unit.resin);
    assert_string_equal(read.lot, unit.lot);
    assert_int_equal(read.status, unit.status);
    assert_string_equal(read.place, unit.place);
    assert_string_equal(read.holder, unit.holder);
    assert_string_equal(read.printer, unit.printer);
    assert_string_equal(read.job, unit.job);
    assert_string_equal(read.delivery, unit.delivery);
    assert_string_equal(read.hold, unit.hold);
    assert_string_equal(read.film, unit.film);
    assert_true(read.filled == -3 && read.expires == 20500 && read.amount_ul == unit.amount_ul && read.minutes == 0);
    assert_true(read.labelled);
    assert_true(read.prints == 2 && read.out_since_ms == 1 && read.version == 42);
}

static void unknown_numbers_stay_unknown(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct unit unit = make("C000001X", "FLINT", "");
    struct unit read = {.amount_ul = 5};
    bool found = false;
    put(ledger, &unit);
    assert_true(unit_load(ledger, "C000001X", &read, &found, NULL));
    assert_true(read.amount_ul == MOVEMENT_NULL && read.minutes == MOVEMENT_NULL && read.expires == MOVEMENT_NULL);
    assert_string_equal(read.lot, "");
    assert_false(read.labelled);
}

static void a_unit_that_is_not_there_is_not_found_and_touches_nothing(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct unit read = {.prints = 99};
    bool found = true;
    assert_true(unit_load(ledger, "C000001X", &read, &found, NULL));
    assert_false(found);
    assert_int_equal(read.prints, 99);
}

static void an_older_row_never_overwrites_a_newer_one(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct unit unit = make("C000001X", "FLINT", "L1"), read = {.prints = 0};
    struct fault fault = {0};
    bool found = false;
    unit.version = 10;
    put(ledger, &unit);
    unit.version = 9;
    unit.prints = 7;
    assert_true(ledger_begin(ledger, NULL));
    assert_false(unit_save(ledger, &unit, &fault));
    assert_int_equal(fault.code, FAULT_CONFLICT);
    ledger_rollback(ledger);
    assert_true(unit_load(ledger, "C000001X", &read, &found, NULL));
    assert_int_equal(read.prints, 0);
    unit.version = 11;
    put(ledger, &unit);
    assert_true(unit_load(ledger, "C000001X", &read, &found, NULL));
    assert_int_equal(read.prints, 7);
}

struct list {
    char serials[400];
    int count, stop_after;
};

static bool note(const struct unit *unit, void *context)
{
    struct list *list = context;
    struct builder text = {list->serials, sizeof list->serials, strlen(list->serials), false};
    builder_addf(&text, "%s%s", list->count ? " " : "", unit->serial);
    return ++list->count != list->stop_after;
}

static void fill_shelves(struct ledger *ledger)
{
    struct unit unit = make("C000003T", "FLINT", "L1");
    memcpy(unit.place, "A1", sizeof "A1");
    memcpy(unit.delivery, "D-1", sizeof "D-1");
    memcpy(unit.resin, "FLINT", sizeof "FLINT");
    put(ledger, &unit);
    unit = make("C000001X", "FLINT", "L1");
    memcpy(unit.place, "A1", sizeof "A1");
    memcpy(unit.resin, "FLINT", sizeof "FLINT");
    put(ledger, &unit);
    unit = make("C000002V", "OAK", "L1");
    memcpy(unit.place, "A2", sizeof "A2");
    put(ledger, &unit);
    unit = make("V000001K", "VAT", "L1");
    unit.status = UNIT_OUT;
    memcpy(unit.resin, "FLINT", sizeof "FLINT");
    memcpy(unit.holder, "H0000015", sizeof "H0000015");
    memcpy(unit.printer, "CAPSTAN", sizeof "CAPSTAN");
    put(ledger, &unit);
    unit = make("V000002H", "VAT", "");
    memcpy(unit.printer, "CAPSTAN", sizeof "CAPSTAN"); /* not out: its printer does not count */
    put(ledger, &unit);
    unit = make("C000009E", "FLINT", "L1");
    unit.status = UNIT_VOID;
    memcpy(unit.place, "A1", sizeof "A1");
    put(ledger, &unit);
}

static void units_are_listed_by_what_holds_them(void **state)
{
    static const struct {
        enum unit_by by;
        const char *key, *after;
        int64_t limit;
        const char *expected;
    } cases[] = {
        {UNIT_BY_PLACE, "A1", "", 10, "C000001X C000003T"},
        {UNIT_BY_PLACE, "A1", "C000001X", 10, "C000003T"},
        {UNIT_BY_PLACE, "A1", "", 1, "C000001X"},
        {UNIT_BY_PLACE, "A9", "", 10, ""},
        {UNIT_BY_PRINTER, "CAPSTAN", "", 10, "V000001K"},
        {UNIT_BY_HOLDER, "H0000015", "", 10, "V000001K"},
        {UNIT_BY_DELIVERY, "D-1", "", 10, "C000003T"},
        {UNIT_BY_ITEM, "FLINT", "", 10, "C000001X C000003T"},
        {UNIT_BY_ALL, NULL, "", 10, "C000001X C000002V C000003T V000001K V000002H"},
        {UNIT_BY_ALL, NULL, "C000002V", 2, "C000003T V000001K"},
    };
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    fill_shelves(ledger);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct list list = {.serials = ""};
        struct fault fault = {0};
        if (!unit_each(ledger, cases[i].by, cases[i].key, cases[i].after, cases[i].limit, note, &list, &fault))
            fail_msg("%s", fault.text);
        assert_string_equal(list.serials, cases[i].expected);
    }
}

static void units_of_one_lot_are_listed_without_void_ones(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct list list = {.serials = ""};
    fill_shelves(ledger);
    assert_true(unit_each_of_lot(ledger, "FLINT", "L1", "", 10, note, &list, NULL));
    assert_string_equal(list.serials, "C000001X C000003T");
    list = (struct list){.serials = ""};
    assert_true(unit_each_of_lot(ledger, "FLINT", "L1", "C000001X", 10, note, &list, NULL));
    assert_string_equal(list.serials, "C000003T");
    list = (struct list){.serials = ""};
    assert_true(unit_each_of_lot(ledger, "FLINT", "L1", "", 1, note, &list, NULL));
    assert_string_equal(list.serials, "C000001X");
    list = (struct list){.serials = ""};
    assert_true(unit_each_row(ledger, note, &list, NULL));
    assert_int_equal(list.count, 6);
}

static void what_stands_in_a_place_is_counted(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    int64_t units = -1;
    fill_shelves(ledger);
    assert_true(unit_count_in_place(ledger, "A1", &units, NULL));
    assert_int_equal(units, 2); /* the void one is nowhere */
    assert_true(unit_count_in_place(ledger, "A9", &units, NULL));
    assert_int_equal(units, 0);
}

static void a_crowded_place_is_counted_so_far_and_no_farther(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    int64_t units = -1;
    for (int i = 0; i < UNIT_IN_PLACE_MOST + 5; i++) {
        char serial[SERIAL_SIZE];
        (void)snprintf(serial, sizeof serial, "C00%04dX", i);
        struct unit unit = make(serial, "FLINT", "");
        assert_true(span_copy(span_of("A1"), unit.place, sizeof unit.place));
        put(ledger, &unit);
        assert_true(i != UNIT_IN_PLACE_MOST - 2 || (unit_count_in_place(ledger, "A1", &units, NULL) && units == i + 1));
    }
    assert_true(unit_count_in_place(ledger, "A1", &units, NULL));
    assert_int_equal(units, UNIT_IN_PLACE_MOST);
}

static bool note_serial(const struct unit *unit, void *context)
{
    struct builder *out = context;
    builder_addf(out, "%s ", unit->serial);
    return true;
}

/* Rows of older kiosks too: what was void kept its place once. */
static void what_is_no_thing_there_is_neither_counted_nor_promised_back(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    static const enum unit_status statuses[] = {UNIT_OUT, UNIT_VOID, UNIT_RELABELLED, UNIT_TRAY, UNIT_RETIRED};
    static const char *const serials[] = {"C000001X", "C000002V", "C000003T", "C000004R", "C000005P"};
    char list[64];
    struct builder out;
    struct fault fault = {0};
    int64_t units = 0;
    for (size_t i = 0; i < sizeof statuses / sizeof *statuses; i++) {
        struct unit unit = make(serials[i], "FLINT", "");
        unit.status = statuses[i];
        unit.due = 20800;
        assert_true(span_copy(span_of("ANNEX"), unit.place, sizeof unit.place));
        put(ledger, &unit);
    }
    builder_init(&out, list, sizeof list);
    assert_true(unit_each_due(ledger, INT32_MAX, note_serial, &out, &fault));
    assert_string_equal(list, "C000001X ");
    assert_true(unit_count_in_place(ledger, "ANNEX", &units, &fault));
    assert_int_equal(units, 1);
}

static void a_visitor_stops_by_returning_false(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct list list = {.stop_after = 2};
    fill_shelves(ledger);
    assert_true(unit_each(ledger, UNIT_BY_ALL, "", "", 10, note, &list, NULL));
    assert_int_equal(list.count, 2);
    assert_int_equal(sql_open_statements(ledger_sql(ledger)), 0);
}

static void status_words_read_back(void **state)
{
    (void)state;
    for (int i = 0; i < UNIT_STATUSES; i++) {
        enum unit_status read = UNIT_STATUSES;
        assert_true(unit_status_read(unit_status_word((enum unit_status)i), &read));
        assert_int_equal(read, i);
    }
    enum unit_status kept = UNIT_OUT;
    assert_false(unit_status_read("lost", &kept));
    assert_int_equal(kept, UNIT_OUT);
}

static void a_status_that_no_kiosk_wrote_is_told(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct unit unit = make("C000001X", "FLINT", "L1");
    struct unit read = {.prints = 99};
    struct fault fault = {0};
    bool found = false;
    put(ledger, &unit);
    assert_true(sql_exec(ledger_sql(ledger), "UPDATE unit SET status = 'lost'", NULL));
    assert_false(unit_load(ledger, "C000001X", &read, &found, &fault));
    assert_int_equal(fault.code, FAULT_DAMAGED);
    assert_non_null(strstr(fault.text, "'unit'"));
    assert_int_equal(read.prints, 99);
    assert_int_equal(sql_open_statements(ledger_sql(ledger)), 0);
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(every_field_comes_back),
        WITH_LEDGER(unknown_numbers_stay_unknown),
        WITH_LEDGER(a_unit_that_is_not_there_is_not_found_and_touches_nothing),
        WITH_LEDGER(an_older_row_never_overwrites_a_newer_one),
        WITH_LEDGER(units_are_listed_by_what_holds_them),
        WITH_LEDGER(units_of_one_lot_are_listed_without_void_ones),
        WITH_LEDGER(what_stands_in_a_place_is_counted),
        WITH_LEDGER(a_crowded_place_is_counted_so_far_and_no_farther),
        WITH_LEDGER(what_is_no_thing_there_is_neither_counted_nor_promised_back),
        WITH_LEDGER(a_visitor_stops_by_returning_false),
        cmocka_unit_test(status_words_read_back),
        WITH_LEDGER(a_status_that_no_kiosk_wrote_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "kiosk/ledger/print_looks.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "tests/ledger/booked_ledger.h"

/* Label printers and looks in both stores and both ways out. What they mean is our own rule; there is no source. */

#define SET(field, text) assert_true(span_copy(span_of(text), field, sizeof(field)))

static struct movement of_printer(enum movement_kind kind, const char *printer, const char *detail)
{
    struct movement movement;
    movement_init(&movement, kind);
    SET(movement.word, printer);
    SET(movement.detail, detail);
    return movement;
}

static void book(struct ledger *ledger, struct movement movement)
{
    struct fault fault = {0};
    if (!ledger_book(ledger, &movement, &fault))
        fail_msg("%s: %s", movement_kind_word(movement.kind), fault.text);
}

static void refuses(struct ledger *ledger, struct movement movement, const char *says)
{
    struct fault fault = {0};
    assert_false(ledger_book(ledger, &movement, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    if (!strstr(fault.text, says))
        fail_msg("'%s' does not say '%s'", fault.text, says);
}

#define CALIBRATED                                                                                                     \
    "{\"dpi\":203,\"module_dots\":3,\"shift_down\":4,\"shift_right\":-2,\"stretch_mm\":40,\"stretch_um\":40300}"
#define CALIBRATED_SIZE "{\"dpi\":203,\"shift_down\":4,\"shift_right\":-2,\"size_across\":101234,\"size_down\":99871}"
#define LOOK(number, rest)                                                                                             \
    "{\"fixed\":4,\"marks\":\"31050 33000\",\"modulation\":" number                                                    \
    ",\"number\":1,\"pixels\":8100,\"source\":\"desk-camera\",\"unit\":\"" BOOKED_VAT "\"" rest "}"

/* booked_ledger.c orders label 1 of its vat. */
static struct ledger *open_filled(struct ledger_fixture *fixture)
{
    struct fault fault = {0};
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    booked_ledger_fill(ledger);
    ledger_fixture_book_as(ledger, "act-00000009", "H0000014", 1772445600000);
    if (!ledger_begin(ledger, &fault))
        fail_msg("%s", fault.text);
    return ledger;
}

static void commit(struct ledger *ledger)
{
    struct fault fault = {0};
    if (!ledger_commit(ledger, &fault))
        fail_msg("%s", fault.text);
}

static void a_calibration_is_kept_and_begins_a_baseline(void **state)
{
    struct ledger *ledger = open_filled(*state);
    struct label_printer row;
    bool found = false;
    book(ledger, of_printer(MOVEMENT_CALIBRATION, "label-printer", CALIBRATED));
    commit(ledger);
    assert_true(label_printer_load(ledger, "label-printer", &row, &found, NULL));
    assert_true(found);
    assert_int_equal(row.dpi, 203);
    assert_int_equal(row.shift_right, -2);
    assert_int_equal(row.shift_down, 4);
    assert_int_equal(row.module_dots, 3);
    assert_int_equal(row.stretch_mm, 40);
    assert_int_equal(row.stretch_um, 40300);
    assert_true(row.size_across == MOVEMENT_NULL && row.size_down == MOVEMENT_NULL); /* told then, not set right */
    assert_int_equal(row.calibrated_ms, 1772445600000);
    assert_int_equal(row.baseline_seq, row.version);
    assert_true(label_printer_load(ledger, "other", &row, &found, NULL));
    assert_false(found);
    ledger_close(ledger);
}

static void a_calibration_keeps_how_long_labels_come_out_both_ways(void **state)
{
    struct ledger *ledger = open_filled(*state);
    struct label_printer row;
    bool found = false;
    book(ledger, of_printer(MOVEMENT_CALIBRATION, "label-printer", CALIBRATED));
    book(ledger, of_printer(MOVEMENT_CALIBRATION, "label-printer", CALIBRATED_SIZE));
    refuses(ledger,
            of_printer(MOVEMENT_CALIBRATION, "label-printer",
                       "{\"dpi\":203,\"shift_down\":4,\"shift_right\":-2,\"size_across\":105001}"),
            "'size_across' from 95000 to 105000");
    commit(ledger);
    assert_true(label_printer_load(ledger, "label-printer", &row, &found, NULL));
    assert_int_equal(row.size_across, 101234);
    assert_int_equal(row.size_down, 99871);
    assert_true(row.stretch_um == MOVEMENT_NULL && row.module_dots == MOVEMENT_NULL); /* the last one counts, whole */
    ledger_close(ledger);
}

static bool count(const struct print_look *look, void *context)
{
    int64_t *list = context; /* [0]: how many; then their modulation */
    list[++list[0]] = look->modulation;
    return true;
}

static void looks_come_newest_first_or_from_the_baseline_on(void **state)
{
    struct ledger *ledger = open_filled(*state);
    struct label_printer printer;
    struct print_look look;
    int64_t list[10] = {0};
    bool found = false;
    book(ledger, of_printer(MOVEMENT_PRINT_LOOK, "label-printer", LOOK("610", "")));
    book(ledger, of_printer(MOVEMENT_PRINT_LOOK, "label-printer", LOOK("620", "")));
    book(ledger, of_printer(MOVEMENT_PRINT_LOOK, "other", LOOK("100", ",\"unused\":750")));
    book(ledger, of_printer(MOVEMENT_PRINT_LOOK, "label-printer", LOOK("630", "")));
    assert_true(print_look_each_newest(ledger, "label-printer", 2, count, list, NULL));
    assert_int_equal(list[0], 2);
    assert_int_equal(list[1], 630);
    assert_int_equal(list[2], 620);
    assert_true(label_printer_load(ledger, "label-printer", &printer, &found, NULL) && found);
    assert_true(printer.dpi == MOVEMENT_NULL);
    struct movement baseline = of_printer(MOVEMENT_PRINT_BASELINE, "label-printer", "");
    baseline.refers = printer.version; /* the last look */
    book(ledger, baseline);
    assert_true(label_printer_load(ledger, "label-printer", &printer, &found, NULL));
    list[0] = 0;
    assert_true(print_look_each_from(ledger, "label-printer", printer.baseline_seq, 100, count, list, NULL));
    assert_int_equal(list[0], 1);
    assert_int_equal(list[1], 630);
    assert_true(print_look_load(ledger, printer.baseline_seq, &look, &found, NULL) && found);
    assert_string_equal(look.marks, "31050 33000");
    assert_string_equal(look.source, "desk-camera");
    assert_string_equal(look.unit, BOOKED_VAT);
    assert_true(look.unused == MOVEMENT_NULL); /* not measured is not 0 */
    commit(ledger);
    ledger_close(ledger);
}

static void what_cannot_be_is_refused(void **state)
{
    struct ledger *ledger = open_filled(*state);
    refuses(ledger, of_printer(MOVEMENT_CALIBRATION, "", CALIBRATED), "without label printer");
    refuses(ledger, of_printer(MOVEMENT_CALIBRATION, "p", "{\"dpi\":203,\"shift_right\":0}"), "'shift_down'");
    refuses(ledger, of_printer(MOVEMENT_CALIBRATION, "p", "{\"dpi\":203,\"shift_down\":0,\"shift_right\":2001}"),
            "'shift_right'");
    refuses(ledger, of_printer(MOVEMENT_PRINT_LOOK, "p", "{\"number\":1,\"pixels\":8000,\"unit\":\"V0001244\"}"),
            "never ordered");
    refuses(ledger, of_printer(MOVEMENT_PRINT_LOOK, "p", LOOK("-1", "")), "'modulation'");
    refuses(ledger, of_printer(MOVEMENT_PRINT_LOOK, "p", LOOK("1", ",\"unused\":9999999")), "'unused'");
    struct movement baseline = of_printer(MOVEMENT_PRINT_BASELINE, "p", "");
    baseline.refers = 5000;
    refuses(ledger, baseline, "5000");
    ledger_close(ledger);
}

static void verify_agrees_and_an_export_comes_back_the_same(void **state)
{
    struct ledger_fixture *fixture = *state, other;
    struct verify_report report;
    struct fault fault = {0};
    size_t length = 0, again_length = 0;
    int64_t movements = 0;
    bool clean = false;
    struct ledger *ledger = open_filled(fixture);
    book(ledger, of_printer(MOVEMENT_CALIBRATION, "label-printer", CALIBRATED));
    book(ledger, of_printer(MOVEMENT_PRINT_LOOK, "label-printer", LOOK("610", "")));
    book(ledger, of_printer(MOVEMENT_PRINT_BASELINE, "label-printer", ""));
    commit(ledger);
    ledger_close(ledger);
    assert_true(ledger_verify(fixture->address, &report, &clean, &fault));
    if (!clean)
        fail_msg("%s", report.sentence);
    char *text = booked_ledger_export(fixture->address, &length);
    ledger_fixture_create(&other);
    FILE *in = fmemopen(text, length, "r");
    if (!ledger_import(other.address, in, &movements, &fault))
        fail_msg("%s", fault.text);
    (void)fclose(in);
    char *again = booked_ledger_export(other.address, &again_length);
    assert_int_equal(again_length, length);
    assert_memory_equal(again, text, length);
    free(again);
    free(text);
    ledger_fixture_destroy(&other);
    booked_ledger_tamper(fixture, "UPDATE print_look SET modulation = 990");
    assert_true(ledger_verify(fixture->address, &report, &clean, &fault));
    assert_false(clean);
    assert_non_null(strstr(report.sentence, "modulation"));
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_calibration_is_kept_and_begins_a_baseline),
        TEST(a_calibration_keeps_how_long_labels_come_out_both_ways),
        TEST(looks_come_newest_first_or_from_the_baseline_on),
        TEST(what_cannot_be_is_refused),
        TEST(verify_agrees_and_an_export_comes_back_the_same),
    };
    return cmocka_run_group_tests_name("ledger/print_looks", tests, NULL, NULL);
}

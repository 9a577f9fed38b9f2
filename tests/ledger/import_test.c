#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/ledger_room.h"
#include "tests/ledger/booked_ledger.h"

static bool import(const char *address, const char *text, size_t length, int64_t *movements, struct fault *fault)
{
    FILE *in = fmemopen((void *)text, length, "r");
    assert_non_null(in);
    const bool ok = ledger_import(address, in, movements, fault);
    (void)fclose(in);
    return ok;
}

/* Nothing was imported: no movement, no text, no act. */
static void assert_empty(const struct ledger_fixture *fixture)
{
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_READER);
    uint8_t hash[HASH_BYTES];
    int64_t seq = 7;
    bool found = true;
    struct act_row row;
    struct unit unit;
    assert_true(ledger_head(ledger, &seq, hash, NULL));
    assert_int_equal(seq, 0);
    assert_false(ledger_is_demo(ledger));
    assert_true(act_row_find(ledger, "act-00000001", &row, NULL, &found, NULL));
    assert_false(found);
    assert_true(unit_load(ledger, BOOKED_VAT, &unit, &found, NULL));
    assert_false(found);
    ledger_close(ledger);
}

static void an_import_holds_the_same_ledger_byte_for_byte(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    struct verify_report report;
    size_t length = 0, again_length = 0;
    int64_t movements = 0;
    bool clean = false;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    ledger_fixture_create(&other);
    if (!import(other.address, text, length, &movements, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(movements, BOOKED_MOVEMENTS);
    char *again = booked_ledger_export(other.address, &again_length);
    assert_int_equal(again_length, length);
    assert_memory_equal(again, text, length);
    assert_true(ledger_verify(other.address, &report, &clean, &fault));
    if (!clean)
        fail_msg("%s", report.sentence);
    ledger_fixture_destroy(&other);
    free(again);
    free(text);
}

static void serials_go_on_after_the_imported_ones(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    size_t length = 0;
    int64_t movements = 0;
    long number = 0;
    char serial[SERIAL_SIZE], letter = '\0';
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    ledger_fixture_create(&other);
    assert_true(import(other.address, text, length, &movements, &fault));
    struct ledger *ledger = ledger_fixture_open(&other, LEDGER_WRITER);
    assert_true(ledger_begin(ledger, &fault));
    assert_true(ledger_next_serial(ledger, 'C', serial, &fault));
    assert_true(serial_read(span_of(serial), &letter, &number, NULL));
    assert_true(number > 4217);
    ledger_close(ledger);
    ledger_fixture_destroy(&other);
    free(text);
}

static void an_import_goes_into_an_empty_ledger_only(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct fault fault = {0};
    size_t length = 0;
    int64_t movements = 7;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    assert_false(import(fixture->address, text, length, &movements, &fault));
    assert_int_equal(fault.code, FAULT_CONFLICT);
    assert_non_null(strstr(fault.text, "holds 54 movements"));
    assert_int_equal(movements, 7);
    free(text);
}

static void a_demo_stays_a_demo(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    size_t length = 0;
    int64_t movements = 0;
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(ledger_set_demo(ledger, &fault));
    ledger_close(ledger);
    char *text = booked_ledger_export(fixture->address, &length);
    assert_non_null(strstr(text, "\"demo\":true"));
    ledger_fixture_create(&other);
    if (!import(other.address, text, length, &movements, &fault))
        fail_msg("%s", fault.text);
    ledger = ledger_fixture_open(&other, LEDGER_READER);
    assert_true(ledger_is_demo(ledger));
    ledger_close(ledger);
    ledger_fixture_destroy(&other);
    free(text);
}

/* Replaces the first `old` with `new_text`, both of any length. */
static char *replace(const char *text, const char *old, const char *new_text)
{
    const char *at = strstr(text, old);
    assert_non_null(at);
    const size_t size = strlen(text) + strlen(new_text) + 1;
    char *made = malloc(size);
    assert_non_null(made);
    snprintf(made, size, "%.*s%s%s", (int)(at - text), text, new_text, at + strlen(old));
    return made;
}

static void a_changed_byte_is_refused_with_its_line_and_nothing_is_imported(void **state)
{
    static const struct {
        const char *old, *new_text, *says;
    } cases[] = {
        {"\"form\":1", "\"form\":2", "line 1: this ledger was exported in form 2"},
        {"\"ledger\":\"ambershelf\"", "\"ledger\":\"other\"", "line 1: this is not an exported ledger"},
        {"\"movements\":54", "\"movements\":53", "line 60: the header promised 53 movements, 54 are in the file"},
        {"\"amount_ul\":1000000", "\"amount_ul\":1000001", "line 10: movement 9 does not fit the hash chain"},
        {"\"trusted\":true", "\"trusted\":false", "line 2: movement 1 does not fit the hash chain"},
        {"\"value\":\"Mara\"", "\"value\":\"Nils\"", "does not fit its digest"},
        {"\"seq\":5", "\"seq\":6", "line 6: movement 6 follows number 4"},
        {"\"kind\":\"receipt\"", "\"kind\":\"miracle\"", "line 10: movement field 'kind'"},
        {"{\"movement\":", "{\"movement\"", "line 2: it is not JSON"},
        {"\"acts\":2", "\"acts\":1", "line 60: it counts 54 movements, 2 texts, 1 acts"},
        {"{\"text\":", "{\"rumour\":", "it is no movement, text, act or end"},
        {"\"undone\":true", "\"undone\":1", "'undone'"},
    };
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    size_t length = 0;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    ledger_fixture_create(&other);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {0};
        int64_t movements = 7;
        char *changed = replace(text, cases[i].old, cases[i].new_text);
        if (import(other.address, changed, strlen(changed), &movements, &fault) || !strstr(fault.text, cases[i].says) ||
            !strstr(fault.text, "nothing was imported"))
            fail_msg("%s: '%s'", cases[i].new_text, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(movements, 7);
        assert_empty(&other);
        free(changed);
    }
    ledger_fixture_destroy(&other);
    free(text);
}

static void a_wrong_head_is_refused(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    size_t length = 0;
    int64_t movements = 0;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    char *digit = strstr(text, "\"head\":\"") + strlen("\"head\":\"");
    *digit = *digit == 'A' ? 'B' : 'A';
    ledger_fixture_create(&other);
    assert_false(import(other.address, text, length, &movements, &fault));
    assert_non_null(strstr(fault.text, "line 60: the last hash is not the one in the header"));
    assert_empty(&other);
    ledger_fixture_destroy(&other);
    free(text);
}

static void a_cut_file_is_refused_wherever_it_was_cut(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    size_t length = 0;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    ledger_fixture_create(&other);
    size_t cut = 1;
    for (int i = 0; i < 24; i++, cut += length / 24) {
        struct fault fault = {0};
        int64_t movements = 0;
        if (import(other.address, text, cut, &movements, &fault))
            fail_msg("taken although cut at byte %zu of %zu", cut, length);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_empty(&other);
    }
    struct fault fault = {0};
    int64_t movements = 0;
    const char *end = strstr(text, "{\"end\"");
    assert_false(import(other.address, text, (size_t)(end - text), &movements, &fault)); /* cut between two lines */
    assert_non_null(strstr(fault.text, "without its end line: it is cut off"));
    assert_empty(&other);
    ledger_fixture_destroy(&other);
    free(text);
}

static void two_files_run_together_are_refused(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    size_t length = 0;
    int64_t movements = 0;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    char *twice = malloc(2 * length + 1);
    assert_non_null(twice);
    snprintf(twice, 2 * length + 1, "%s%s", text, text);
    ledger_fixture_create(&other);
    assert_false(import(other.address, twice, 2 * length, &movements, &fault));
    assert_non_null(strstr(fault.text, "after the end line"));
    assert_empty(&other);
    ledger_fixture_destroy(&other);
    free(twice);
    free(text);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_import_holds_the_same_ledger_byte_for_byte),
        TEST(serials_go_on_after_the_imported_ones),
        TEST(an_import_goes_into_an_empty_ledger_only),
        TEST(a_demo_stays_a_demo),
        TEST(a_changed_byte_is_refused_with_its_line_and_nothing_is_imported),
        TEST(a_wrong_head_is_refused),
        TEST(a_cut_file_is_refused_wherever_it_was_cut),
        TEST(two_files_run_together_are_refused),
    };
    return cmocka_run_group_tests_name("ledger/import", tests, NULL, NULL);
}

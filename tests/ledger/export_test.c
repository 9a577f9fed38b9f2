#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "kiosk/ledger/audit.h"
#include "tests/ledger/booked_ledger.h"

/* Our own form (docs/ledger.md); JSON itself is RFC 8259. */

static json_t *next_line(const char **at)
{
    const char *end = strchr(*at, '\n');
    assert_non_null(end);
    json_t *object = json_loadb(*at, (size_t)(end - *at), JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(object);
    *at = end + 1;
    return object;
}

static int count_lines(const char *text, const char *start)
{
    int count = 0;
    for (const char *at = text; at && *at; at = strchr(at, '\n'), at += at != NULL)
        count += strncmp(at, start, strlen(start)) == 0;
    return count;
}

static void an_export_is_a_header_the_movements_texts_acts_and_an_end(void **state)
{
    const struct ledger_fixture *fixture = *state;
    size_t length = 0;
    booked_ledger_make(fixture);
    char *text = booked_ledger_export(fixture->address, &length);
    const char *at = text;

    json_t *header = next_line(&at);
    assert_string_equal(json_string_value(json_object_get(header, "ledger")), "ambershelf");
    assert_int_equal(json_integer_value(json_object_get(header, "form")), 1);
    assert_true(json_is_false(json_object_get(header, "demo")));
    assert_int_equal(json_integer_value(json_object_get(header, "movements")), BOOKED_MOVEMENTS);
    const char *last = NULL, *head = json_string_value(json_object_get(header, "head"));
    for (int i = 1; i <= BOOKED_MOVEMENTS; i++) {
        json_t *line = next_line(&at), *movement = json_object_get(line, "movement");
        assert_int_equal(json_integer_value(json_object_get(movement, "seq")), i);
        last = json_string_value(json_object_get(movement, "hash"));
        if (i == BOOKED_MOVEMENTS)
            assert_string_equal(last, head);
        json_decref(line);
    }
    json_decref(header);
    assert_int_equal(count_lines(text, "{\"text\":"), BOOKED_TEXTS);
    assert_int_equal(count_lines(text, "{\"act\":"), BOOKED_ACTS);
    assert_non_null(strstr(text, "\"value\":\"Mara\""));
    assert_non_null(strstr(text, "\"undone\":true"));
    assert_true(length > 2 && strcmp(text + length - strlen("{\"end\":{\"movements\":54,\"texts\":2,\"acts\":2}}\n"),
                                     "{\"end\":{\"movements\":54,\"texts\":2,\"acts\":2}}\n") == 0);
    free(text);
}

static void an_erased_text_leaves_without_its_value(void **state)
{
    const struct ledger_fixture *fixture = *state;
    size_t length = 0;
    booked_ledger_make(fixture);
    booked_ledger_tamper(fixture, "UPDATE erasable_text SET salt = NULL, value = NULL WHERE value = 'Mara'");
    char *text = booked_ledger_export(fixture->address, &length);
    assert_null(strstr(text, "Mara"));
    assert_int_equal(count_lines(text, "{\"text\":"), BOOKED_TEXTS);
    assert_non_null(strstr(text, "\"erased\":true"));
    free(text);
}

static void a_disk_that_is_full_is_one_sentence(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct fault fault = {0};
    FILE *full = fopen("/dev/full", "w"); /* Linux, full(4): every write fails with ENOSPC */
    if (!full)
        skip();
    booked_ledger_make(fixture);
    assert_false(ledger_export(fixture->address, full, &fault));
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_non_null(strstr(fault.text, "cannot be written"));
    (void)fclose(full);
}

static void a_ledger_that_is_not_there_is_not_exported(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct fault fault = {0};
    assert_false(ledger_export(fixture->address, stdout, &fault));
    assert_true(fault.text[0] != '\0');
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_export_is_a_header_the_movements_texts_acts_and_an_end),
        TEST(an_erased_text_leaves_without_its_value),
        TEST(a_disk_that_is_full_is_one_sentence),
        TEST(a_ledger_that_is_not_there_is_not_exported),
    };
    return cmocka_run_group_tests_name("ledger/export", tests, NULL, NULL);
}

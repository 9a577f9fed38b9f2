#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "tests/web/http_client.h"
#include "tests/web/shelves.h"
#include "tests/web/web_fixture.h"

/* GET /api/lent over shelves of which five more are lent, out or in (shelves.h). */

static struct web_fixture fixture;

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_start(&fixture, "lent");
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static void what_is_promised_back_comes_by_day_and_what_has_none_comes_last(void **state)
{
    static const char *const serials[] = {"C2000003", "C2000004", "C2000001", "C2000002"};
    (void)state;
    json_t *body = http_get_json(fixture.port, "/api/lent"), *rows = json_object_get(body, "lent"), *row;
    size_t i;
    assert_int_equal(json_array_size(rows), sizeof serials / sizeof *serials);
    json_array_foreach(rows, i, row) assert_string_equal(json_string_value(json_object_get(row, "serial")), serials[i]);
    assert_true(json_is_false(json_object_get(body, "cut")));
    json_decref(body);
}

static void days_left_are_counted_from_today(void **state)
{
    (void)state;
    json_t *body = http_get_json(fixture.port, "/api/lent"), *rows = json_object_get(body, "lent");
    const json_t *overdue = json_array_get(rows, 0), *ahead = json_array_get(rows, 2), *never = json_array_get(rows, 3);
    assert_string_equal(json_string_value(json_object_get(overdue, "due")), "2001-01-01");
    const json_int_t late = json_integer_value(json_object_get(overdue, "due_days_left"));
    assert_true(late < 0);
    assert_int_equal(json_integer_value(json_object_get(ahead, "due_days_left")) - late, 22430 - 11323);
    assert_true(json_is_null(json_object_get(never, "due")) && json_is_null(json_object_get(never, "due_days_left")));
    json_decref(body);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_promised_back_comes_by_day_and_what_has_none_comes_last),
        cmocka_unit_test(days_left_are_counted_from_today),
    };
    return cmocka_run_group_tests_name("web/route_lent", tests, open_fixture, close_fixture);
}

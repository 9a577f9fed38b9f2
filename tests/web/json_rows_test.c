#include "kiosk/web/json_rows.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

/* The reading routes over a small room: one item, a shelf, a printer, a person, two cartridges (web_fixture.c). */

static struct web_fixture fixture; /* one server for all tests of this program */
static char first[SERIAL_SIZE], second[SERIAL_SIZE];

static json_t *get(const char *path)
{
    return http_get_json(fixture.port, path);
}

static const char *text_at(json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    if (!text)
        fail_msg("no text '%s'", key);
    return text;
}

static json_t *only_row(json_t *body, const char *key)
{
    json_t *rows = json_object_get(body, key);
    assert_int_equal(json_array_size(rows), 1);
    return json_array_get(rows, 0);
}

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_start(&fixture, "stock");
    json_t *body = get("/api/units"), *units = json_object_get(body, "units");
    assert_int_equal(json_array_size(units), 2);
    snprintf(first, sizeof first, "%s", text_at(json_array_get(units, 0), "serial"));
    snprintf(second, sizeof second, "%s", text_at(json_array_get(units, 1), "serial"));
    assert_true(json_is_null(json_object_get(body, "next")));
    json_decref(body);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static void a_unit_comes_with_its_history(void **state)
{
    char path[60];
    (void)state;
    snprintf(path, sizeof path, "/api/units/%s", first);
    json_t *unit = get(path), *history = json_object_get(unit, "history");
    assert_string_equal(text_at(unit, "serial"), first);
    assert_string_equal(text_at(unit, "place"), "A3-07");
    assert_string_equal(text_at(unit, "expires"), "2031-05-31");
    assert_int_equal(json_array_size(history), 1);
    assert_string_equal(text_at(json_array_get(history, 0), "kind"), "take-on");
    assert_true(json_is_null(json_object_get(unit, "history_after")));
    json_decref(unit);
}

static void a_serial_may_be_typed_in_lower_case(void **state)
{
    char path[60];
    (void)state;
    snprintf(path, sizeof path, "/api/units/%s", first);
    for (char *c = path + strlen("/api/units/"); *c; c++)
        *c = (char)(*c >= 'A' && *c <= 'Z' ? *c - 'A' + 'a' : *c);
    json_t *unit = get(path);
    assert_string_equal(text_at(unit, "serial"), first);
    json_decref(unit);
}

static void a_unit_that_is_not_here_is_a_404(void **state)
{
    static const char *const paths[] = {"/api/units/C999999X", "/api/units/x%27%20or%201", "/api/units/A%1d",
                                        "/api/units/C00000000000000000000000000000000000000000"};
    (void)state;
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        struct http_answer answer;
        http_get(fixture.port, paths[i], &answer);
        if (answer.status != 404)
            fail_msg("%s: status %d, %s", paths[i], answer.status, answer.body);
        http_clear(&answer);
    }
}

static void units_come_by_the_page(void **state)
{
    char path[80];
    struct http_answer answer;
    (void)state;
    json_t *page = get("/api/units?limit=1");
    assert_string_equal(text_at(only_row(page, "units"), "serial"), first);
    assert_string_equal(text_at(page, "next"), first);
    json_decref(page);
    snprintf(path, sizeof path, "/api/units?limit=2&after=%s", first);
    page = get(path);
    assert_string_equal(text_at(only_row(page, "units"), "serial"), second);
    assert_true(json_is_null(json_object_get(page, "next")));
    json_decref(page);
    http_get(fixture.port, "/api/units?limit=501", &answer);
    assert_int_equal(answer.status, 400);
    assert_non_null(strstr(answer.body, "1 to 500"));
    http_clear(&answer);
    http_get(fixture.port, "/api/units?limit=0", &answer);
    assert_int_equal(answer.status, 400);
    http_clear(&answer);
}

static void the_stock_is_summed_and_named(void **state)
{
    (void)state;
    json_t *body = get("/api/stock"), *line = only_row(body, "stock");
    assert_string_equal(text_at(line, "item"), "FLINT");
    assert_string_equal(text_at(line, "name"), "Flint 1 l");
    assert_string_equal(text_at(line, "lot"), "A1");
    assert_string_equal(text_at(line, "status"), "in");
    assert_int_equal(json_integer_value(json_object_get(line, "units")), 2);
    assert_int_equal(json_integer_value(json_object_get(line, "amount_ml")), 2000);
    assert_int_equal(json_integer_value(json_object_get(body, "seq")), feed_last_seq(fixture.feed));
    json_decref(body);
}

static void a_sticker_pattern_is_listed_with_its_example(void **state)
{
    const struct sticker sticker = {
        .id = "sticker-7", .supplier = "North", .pattern = "lot 2 of 9\n", .example = "12\x1D", .version = 7};
    (void)state;
    json_t *row = json_rows_sticker(&sticker), *body = get("/api/stickers");
    assert_string_equal(text_at(row, "id"), "sticker-7");
    assert_string_equal(text_at(row, "supplier"), "North");
    assert_string_equal(text_at(row, "pattern"), "lot 2 of 9\n");
    assert_string_equal(text_at(row, "example"), "12\x1D");
    assert_int_equal(json_array_size(json_object_get(body, "stickers")), 0);
    json_decref(body);
    json_decref(row);
}

static void what_stands_in_is_listed_with_its_day_and_who_approved_it(void **state)
{
    const struct substitution row = {.resin = "Flint",
                                     .wanted = "2",
                                     .given = "3",
                                     .approver = "H0000014",
                                     .until = calendar_day(2027, 1, 31).number,
                                     .version = 9};
    (void)state;
    json_t *made = json_rows_substitution(&row), *body = get("/api/substitutions");
    assert_string_equal(text_at(made, "resin"), "Flint");
    assert_string_equal(text_at(made, "wanted"), "2");
    assert_string_equal(text_at(made, "given"), "3");
    assert_string_equal(text_at(made, "approver"), "H0000014");
    assert_string_equal(text_at(made, "until"), "2027-01-31");
    assert_true(json_is_false(json_object_get(made, "ended")));
    assert_int_equal(json_array_size(json_object_get(body, "substitutions")), 0);
    json_decref(body);
    json_decref(made);
}

static void the_catalogue_is_listed_and_what_is_unknown_is_null(void **state)
{
    (void)state;
    json_t *body = get("/api/items"), *item = only_row(body, "items");
    assert_string_equal(text_at(item, "code"), "FLINT");
    assert_string_equal(text_at(item, "letter"), "C");
    assert_int_equal(json_integer_value(json_object_get(item, "content_ml")), 1000);
    assert_true(json_is_null(json_object_get(item, "gtin")));
    assert_true(json_is_null(json_object_get(item, "life_minutes")));
    json_decref(body);

    body = get("/api/places");
    assert_string_equal(text_at(only_row(body, "places"), "name"), "left of the door");
    json_decref(body);

    body = get("/api/people"); /* a name is data, whatever it looks like */
    assert_string_equal(text_at(only_row(body, "people"), "name"), "Ada <b>");
    json_decref(body);

    body = get("/api/printers");
    json_t *printer = only_row(body, "printers");
    assert_string_equal(text_at(printer, "code"), "CAPSTAN");
    assert_int_equal(json_array_size(json_object_get(printer, "units")), 0);
    assert_true(json_is_null(json_object_get(printer, "job")));
    json_decref(body);
}

static void what_the_desk_has_in_hand_may_be_nothing(void **state)
{
    static const char *const states[] = {"waiting", "sent", "unknown", "failed", "printed"};
    (void)state;
    json_t *body = get("/api/deliveries");
    assert_int_equal(json_array_size(json_object_get(body, "deliveries")), 0);
    json_decref(body);
    body = get("/api/questions");
    assert_int_equal(json_array_size(json_object_get(body, "questions")), 0);
    json_decref(body);
    body = get("/api/prints");
    for (size_t i = 0; i < sizeof states / sizeof *states; i++)
        assert_true(json_is_array(json_object_get(body, states[i])));
    json_decref(body);
}

static void a_counter_shows_its_view(void **state)
{
    struct http_answer answer;
    (void)state;
    json_t *view = get("/api/counters/desk");
    assert_string_equal(text_at(view, "counter"), "desk");
    assert_string_equal(text_at(view, "step"), "idle");
    json_decref(view);
    http_get(fixture.port, "/api/counters/no%20such%2e", &answer);
    assert_int_equal(answer.status, 404);
    http_clear(&answer);
}

static void values_are_written_as_the_pages_expect_them(void **state)
{
    (void)state;
    json_t *values = json_pack("[o, o, o, o, o, o, o]", json_rows_amount(12500), json_rows_amount(12000),
                               json_rows_amount(MOVEMENT_NULL), json_rows_day(0), json_rows_day(INT64_MAX),
                               json_rows_instant(0), json_rows_text("a\xff"));
    char *text = json_dumps(values, JSON_COMPACT | JSON_REAL_PRECISION(15));
    assert_string_equal(text, "[12.5,12,null,\"1970-01-01\",null,\"1970-01-01T00:00:00.000Z\",\"a<0xFF>\"]");
    free(text);
    json_decref(values);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_unit_comes_with_its_history),
        cmocka_unit_test(a_serial_may_be_typed_in_lower_case),
        cmocka_unit_test(a_unit_that_is_not_here_is_a_404),
        cmocka_unit_test(units_come_by_the_page),
        cmocka_unit_test(the_stock_is_summed_and_named),
        cmocka_unit_test(a_sticker_pattern_is_listed_with_its_example),
        cmocka_unit_test(what_stands_in_is_listed_with_its_day_and_who_approved_it),
        cmocka_unit_test(the_catalogue_is_listed_and_what_is_unknown_is_null),
        cmocka_unit_test(what_the_desk_has_in_hand_may_be_nothing),
        cmocka_unit_test(a_counter_shows_its_view),
        cmocka_unit_test(values_are_written_as_the_pages_expect_them),
    };
    return cmocka_run_group_tests_name("web/json_rows", tests, open_fixture, close_fixture);
}

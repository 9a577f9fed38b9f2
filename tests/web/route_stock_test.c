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

/* GET /api/stock and /api/units over shelves with something of each kind (shelves.h), and lists that take pages. */

static struct web_fixture fixture; /* one server for all tests of this program */

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_start(&fixture, "shelves");
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static json_t *get(const char *path)
{
    return http_get_json(fixture.port, path);
}

static void assert_refused(const char *path, const char *sentence)
{
    struct http_answer answer;
    http_get(fixture.port, path, &answer);
    if (answer.status != 400 || !strstr(answer.body, sentence))
        fail_msg("%s: status %d, %s", path, answer.status, answer.body);
    http_clear(&answer);
}

/* The texts under `key` of the rows, with a space between. */
static void assert_rows(const char *path, const char *rows, const char *key, const char *expected)
{
    char found[200] = "";
    struct builder text;
    json_t *body = get(path), *row;
    size_t i;
    builder_init(&text, found, sizeof found);
    json_array_foreach(json_object_get(body, rows), i, row)
    {
        const char *value = json_string_value(json_object_get(row, key));
        builder_addf(&text, "%s%s", i ? " " : "", value ? value : "-");
    }
    if (strcmp(found, expected) != 0)
        fail_msg("%s: '%s', not '%s'", path, found, expected);
    json_decref(body);
}

static int64_t number_at(json_t *row, const char *key)
{
    if (!json_is_integer(json_object_get(row, key)))
        fail_msg("no number '%s'", key);
    return json_integer_value(json_object_get(row, key));
}

static void units_are_asked_for_by_what_holds_them(void **state)
{
    static const struct {
        const char *query, *serials;
    } cases[] = {
        {"place=B-01", "C1000001 C1000002 V1000001"},
        {"place=B-01&limit=2", "C1000001 C1000002"},
        {"place=B-01&limit=2&after=c1000002", "V1000001"}, /* a typed serial may be in lower case */
        {"place=NOWHERE", ""},
        {"printer=SPINDLE", "C1000004"},
        {"holder=H1000001", "C1000004"},
        {"delivery=D-7", "C1000001 C1000003"},
        {"delivery=D-8", ""},
        {"item=KELP&lot=K1", "C1000001 C1000002 C1000003 C1000004 C1000006"},
        {"item=KELP&lot=K1&present=1", "C1000001 C1000002 C1000003 C1000004"},
        {"item=KELP&lot=K1&present=1&after=C1000002&limit=1", "C1000003"},
        {"item=VAT-S&lot=", "V1000001 V1000002"},
        {"item=VAT-S&lot=&present=1", "V1000001"},
        {"item=OAK&lot=K1", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char path[120];
        snprintf(path, sizeof path, "/api/units?%s", cases[i].query);
        assert_rows(path, "units", "serial", cases[i].serials);
    }
}

static void units_are_asked_for_one_way_at_a_time(void **state)
{
    (void)state;
    assert_refused("/api/units?place=B-01&printer=SPINDLE", "ask for one at a time");
    assert_refused("/api/units?item=KELP&lot=K1&place=B-01", "ask for one at a time");
    assert_refused("/api/units?item=KELP", "item and lot belong together");
    assert_refused("/api/units?lot=K1", "item and lot belong together");
    assert_refused("/api/units?place=B-01&present=1", "present=1 goes with item and lot");
    assert_refused("/api/units?item=KELP&lot=K1&present=2", "present");
}

static void units_of_a_delivery_say_how_their_newest_label_is(void **state)
{
    (void)state;
    assert_rows("/api/units?delivery=D-7", "units", "label", "proved sent");
    assert_rows("/api/units?place=B-02", "units", "label", "-");
}

static void a_delivery_is_counted_without_void_units(void **state)
{
    (void)state;
    json_t *body = get("/api/deliveries"), *delivery = json_array_get(json_object_get(body, "deliveries"), 0);
    assert_int_equal(number_at(delivery, "units"), 2);
    assert_int_equal(number_at(delivery, "proved"), 1);
    assert_true(json_is_false(json_object_get(body, "cut")));
    json_decref(body);
}

static const char *use_by_state(const json_t *row, const char *key)
{
    const char *state = json_string_value(json_object_get(json_object_get(row, key), "state"));
    return state ? state : "none";
}

static void rows_say_what_their_use_by_day_means(void **state)
{
    (void)state;
    json_t *units = get("/api/units?place=B-02"), *unit = json_array_get(json_object_get(units, "units"), 0);
    assert_string_equal(use_by_state(unit, "use_by"), "expired");
    assert_true(json_integer_value(json_object_get(json_object_get(unit, "use_by"), "days_left")) < -365);
    json_t *lines = get("/api/stock?item=KELP"), *line;
    size_t i;
    json_array_foreach(json_object_get(lines, "stock"), i, line)
    {
        const char *lot = json_string_value(json_object_get(line, "lot"));
        assert_string_equal(use_by_state(line, "use_by"), lot && strcmp(lot, "K2") == 0 ? "expired" : "good");
    }
    json_decref(units);
    json_decref(lines);
}

static void an_item_is_added_up_and_each_unit_counts_once(void **state)
{
    static const char *const once[] = {"ready", "out", "held", "unproved", "expired"};
    (void)state;
    assert_rows("/api/stock?by=item", "totals", "name", "Kelp cartridge Small vat");
    json_t *body = get("/api/stock?by=item"), *totals = json_object_get(body, "totals");
    json_t *kelp = json_array_get(totals, 0), *vat = json_array_get(totals, 1);
    assert_int_equal(number_at(kelp, "units"), 5);
    for (size_t i = 0; i < sizeof once / sizeof *once; i++)
        assert_int_equal(number_at(kelp, once[i]), 1);
    assert_string_equal(json_string_value(json_object_get(kelp, "first_expires")), "2031-05-31"); /* not the expired */
    assert_string_equal(json_string_value(json_object_get(kelp, "resin")), "Kelp");
    assert_int_equal(number_at(kelp, "amount_ml"), 5000);
    assert_int_equal(number_at(vat, "ready"), 1);
    assert_true(json_is_null(json_object_get(vat, "first_expires")));
    assert_true(json_is_null(json_object_get(vat, "first_use_by")));
    assert_string_equal(use_by_state(kelp, "first_use_by"), "good");
    assert_true(json_is_null(json_object_get(vat, "amount_ml")));
    assert_int_equal(number_at(body, "seq"), feed_last_seq(fixture.feed));
    json_decref(body);
}

static void stock_is_listed_by_item_and_found_by_words(void **state)
{
    static const struct {
        const char *query, *lots;
    } cases[] = {
        {"", "K2 K1 K1 K1 K1 -"}, /* by use-by day; K1 out, ready, unproved, on hold; the vat has none */
        {"item=KELP", "K2 K1 K1 K1 K1"},
        {"item=VAT-S", "-"},
        {"item=OAK", ""},
        {"after=KELP", "-"},
        {"after=VAT-S", ""},
        {"words=k2", "K2"},
        {"words=KELP%20K2", "K2"},
        {"words=kelp%20cart%20out", "K1"},
        {"words=on%20hold", "K1"},
        {"words=label%20not%20proved", "K1"},
        {"words=small", "-"},
        {"words=small%20k1", ""},
        {"words=", "K2 K1 K1 K1 K1 -"},
        {"words=k&after=KELP", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char path[120];
        snprintf(path, sizeof path, "/api/stock?%s", cases[i].query);
        assert_rows(path, "stock", "lot", cases[i].lots);
    }
    assert_rows("/api/stock?words=on%20hold", "stock", "name", "Kelp cartridge");
}

static void stock_is_asked_for_one_way_at_a_time(void **state)
{
    char path[200] = "/api/stock?words=";
    (void)state;
    assert_refused("/api/stock?by=lot", "by item only");
    assert_refused("/api/stock?by=item&item=KELP", "ask for one at a time");
    assert_refused("/api/stock?item=KELP&words=k", "ask for one at a time");
    assert_refused("/api/stock?item=KELP&after=A", "ask for one at a time");
    assert_refused("/api/stock?words=a+b+c+d+e+f+g+h+i", "at most 8 words");
    memset(path + strlen(path), 'x', 121);
    assert_refused(path, "120 characters at most");
}

static void long_lists_come_by_the_page(void **state)
{
    char path[80];
    (void)state;
    json_t *first = get("/api/places"), *rows = json_object_get(first, "places");
    const char *next = json_string_value(json_object_get(first, "next"));
    assert_int_equal(json_array_size(rows), 1000);
    assert_string_equal(json_string_value(json_object_get(json_array_get(rows, 0), "code")), "B-01");
    assert_string_equal(next, "S-0997"); /* behind B-01 and B-02 */
    snprintf(path, sizeof path, "/api/places?after=%s", next);
    json_t *second = get(path);
    rows = json_object_get(second, "places");
    assert_int_equal(json_array_size(rows), SHELVES_PLACES + 2 - 1000);
    assert_string_equal(json_string_value(json_object_get(json_array_get(rows, 0), "code")), "S-0998");
    assert_true(json_is_null(json_object_get(second, "next")));
    json_decref(first);
    json_decref(second);
    assert_rows("/api/items?after=KELP", "items", "code", "VAT-S");
    assert_rows("/api/items?after=VAT-S", "items", "code", "");
}

/* 5 lines of KELP, then all of the item that fills the page, then the next page begins with the next item. */
static void a_page_of_the_stock_ends_with_the_last_line_of_an_item(void **state)
{
    (void)state;
    web_fixture_run(&fixture, "lots");
    json_t *body = get("/api/stock");
    assert_int_equal(json_array_size(json_object_get(body, "stock")), 5 + SHELVES_LOTS);
    assert_string_equal(json_string_value(json_object_get(body, "next")), "OAK");
    assert_true(json_is_false(json_object_get(body, "cut")));
    json_decref(body);
    assert_rows("/api/stock?after=OAK", "stock", "item", "VAT-S");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_are_asked_for_by_what_holds_them),
        cmocka_unit_test(units_are_asked_for_one_way_at_a_time),
        cmocka_unit_test(units_of_a_delivery_say_how_their_newest_label_is),
        cmocka_unit_test(a_delivery_is_counted_without_void_units),
        cmocka_unit_test(rows_say_what_their_use_by_day_means),
        cmocka_unit_test(an_item_is_added_up_and_each_unit_counts_once),
        cmocka_unit_test(stock_is_listed_by_item_and_found_by_words),
        cmocka_unit_test(stock_is_asked_for_one_way_at_a_time),
        cmocka_unit_test(long_lists_come_by_the_page),
        cmocka_unit_test(a_page_of_the_stock_ends_with_the_last_line_of_an_item), /* last: it adds to the shelves */
    };
    return cmocka_run_group_tests_name("web/route_stock", tests, open_fixture, close_fixture);
}

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

/* GET /api/lives/ITEM over shelves whose two small vats were saved and never booked (shelves.h): nobody knows how they
 * came, so nothing can be said of their lives. */

static struct web_fixture fixture;

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

static void lives_that_nobody_knows_are_counted_and_left_out(void **state)
{
    (void)state;
    json_t *body = http_get_json(fixture.port, "/api/lives/VAT-S");
    assert_string_equal(json_string_value(json_object_get(body, "item")), "VAT-S");
    assert_int_equal(json_integer_value(json_object_get(body, "units")), 0);
    assert_int_equal(json_integer_value(json_object_get(body, "left_out")), 2);
    assert_true(json_is_false(json_object_get(body, "cut")));
    json_decref(body);
}

static void an_item_that_is_not_known_is_a_404_with_a_sentence(void **state)
{
    (void)state;
    struct http_answer answer;
    http_get(fixture.port, "/api/lives/NO-SUCH", &answer);
    assert_int_equal(answer.status, 404);
    assert_non_null(strstr(answer.body, "item 'NO-SUCH' is not known"));
    http_clear(&answer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lives_that_nobody_knows_are_counted_and_left_out),
        cmocka_unit_test(an_item_that_is_not_known_is_a_404_with_a_sentence),
    };
    return cmocka_run_group_tests_name("web/route_lives", tests, open_fixture, close_fixture);
}

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "tests/web/http_client.h"
#include "tests/web/label_rows.h"
#include "tests/web/web_fixture.h"

/* GET /api/label-printers over the rows of label_rows.h. The streak and the medians follow from what is stored. */

static struct web_fixture fixture;

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_start(&fixture, "label-rows");
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

/* The answer, and its printer of that name. */
static json_t *get(const char *name, const json_t **printer)
{
    json_t *body = http_get_json(fixture.port, "/api/label-printers"), *row;
    size_t i;
    *printer = NULL;
    json_array_foreach(json_object_get(body, "label_printers"), i, row)
    {
        if (strcmp(json_string_value(json_object_get(row, "printer")), name) == 0)
            *printer = row;
    }
    assert_non_null(*printer);
    return body;
}

static void a_printer_tells_its_calibration_and_its_looks_newest_first(void **state)
{
    const json_t *front;
    (void)state;
    json_t *body = get("front", &front);
    const json_t *looks = json_object_get(front, "looks"), *newest = json_array_get(looks, 0);
    assert_string_equal(json_string_value(json_object_get(body, "standing")),
                        "process-control estimate, ISO/IEC 15415-style, uncalibrated");
    assert_int_equal(json_integer_value(json_object_get(front, "shift_right")), 8);
    assert_int_equal(json_array_size(looks), 2 * LABEL_ROWS_GOOD);
    assert_int_equal(json_integer_value(json_object_get(newest, "look")), 2 * LABEL_ROWS_GOOD);
    assert_int_equal(json_integer_value(json_object_get(newest, "modulation")), 300);
    assert_true(json_is_null(json_object_get(newest, "grid"))); /* not measured is not 0 */
    json_decref(body);
}

static void drift_and_streak_are_told_with_a_sentence(void **state)
{
    const json_t *front;
    (void)state;
    json_t *body = get("front", &front);
    const json_t *trend = json_object_get(front, "trend"), *streak = json_object_get(front, "streak");
    assert_string_equal(json_string_value(json_object_get(trend, "drifted")), "modulation");
    assert_string_equal(json_string_value(json_object_get(trend, "newest_below")), "modulation");
    assert_non_null(strstr(json_string_value(json_object_get(trend, "sentence")), "from 0.62 to 0.30"));
    const char *sentence = json_string_value(json_object_get(streak, "sentence"));
    assert_non_null(strstr(sentence, "The head of printer front leaves a streak at 31 mm"));
    assert_non_null(strstr(sentence, "let the head cool"));
    assert_non_null(strstr(sentence, "flammable"));
    assert_non_null(strstr(sentence, "the maker's instructions"));
    assert_true(fabs(json_real_value(json_object_get(streak, "at_mm")) - 31.05) < 1e-9);
    assert_int_equal(json_integer_value(json_object_get(streak, "shown")), LABEL_ROWS_GOOD);
    assert_int_equal(json_integer_value(json_object_get(streak, "passed")), 2 * LABEL_ROWS_GOOD);
    json_decref(body);
}

static void one_look_says_how_many_more_are_needed(void **state)
{
    const json_t *back;
    (void)state;
    json_t *body = get("back", &back);
    const json_t *trend = json_object_get(back, "trend");
    assert_true(json_is_null(json_object_get(back, "dpi")));
    assert_true(json_is_null(json_object_get(back, "streak")));
    assert_false(json_is_true(json_object_get(trend, "known")));
    assert_non_null(strstr(json_string_value(json_object_get(trend, "sentence")), "9 more labels"));
    json_decref(body);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_printer_tells_its_calibration_and_its_looks_newest_first),
        cmocka_unit_test(drift_and_streak_are_told_with_a_sentence),
        cmocka_unit_test(one_look_says_how_many_more_are_needed),
    };
    return cmocka_run_group_tests_name("web/route_label_printers", tests, open_fixture, close_fixture);
}

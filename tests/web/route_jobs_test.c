#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

/* GET /api/jobs, and a job's ticket among the labels. Our own contract, no source. */

static struct web_fixture fixture; /* one server for all tests of this program */
static char storekeeper[16];

/* The answer; anything but 200 fails the test. */
static json_t *act(const char *kind, const char *content)
{
    static int number;
    char body[400];
    struct http_answer answer;
    (void)snprintf(body, sizeof body, "{\"id\":\"jobs-act-%03d\",\"kind\":\"%s\",\"person\":\"%s\",\"content\":%s}",
                   ++number, kind, storekeeper, content);
    http_post(fixture.port, "/api/acts", body, &answer);
    if (answer.status != 200)
        fail_msg("%s: %d %s", kind, answer.status, answer.body);
    json_t *said = json_loads(answer.body, 0, NULL);
    http_clear(&answer);
    return said;
}

static void done(const char *kind, const char *content)
{
    json_decref(act(kind, content));
}

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_open(&fixture);
    web_fixture_serve(&fixture, 0);
    json_t *answer = act("storekeeper", "{}");
    (void)snprintf(storekeeper, sizeof storekeeper, "%s", json_string_value(json_object_get(answer, "serial")));
    json_decref(answer);
    done("printer-entry", "{\"code\":\"CAPSTAN\",\"name\":\"Capstan\",\"slots\":1}");
    done("printer-entry", "{\"code\":\"HALYARD\",\"name\":\"Halyard\",\"slots\":1}");
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static const char *text(const json_t *row, const char *key)
{
    const char *value = json_string_value(json_object_get(row, key));
    return value ? value : "-";
}

static void what_is_planned_and_what_runs_is_listed_machine_by_machine(void **state)
{
    (void)state;
    done("job-plan", "{\"job\":\"KQ-2\",\"printer\":\"HALYARD\"}");
    done("job-plan", "{\"job\":\"KQ-1\",\"printer\":\"CAPSTAN\",\"need_ml\":120.5,\"ends\":\"2026-11-26T18:30:00Z\","
                     "\"resin\":\"Flint\",\"revision\":\"2\",\"name\":\"Gear housing\",\"print\":true,"
                     "\"parts\":[{\"name\":\"Lid\",\"count\":4},{}]}");
    done("job-start", "{\"job\":\"KQ-2\",\"printer\":\"HALYARD\"}");
    json_t *body = http_get_json(fixture.port, "/api/jobs");
    const json_t *jobs = json_object_get(body, "jobs"), *first = json_array_get(jobs, 0),
                 *last = json_array_get(jobs, 1);
    assert_int_equal(json_array_size(jobs), 2);
    assert_false(json_is_true(json_object_get(body, "more")));
    assert_string_equal(text(first, "job"), "KQ-1");
    assert_true(json_is_true(json_object_get(first, "planned")));
    assert_true(json_is_null(json_object_get(first, "started_at")));
    assert_string_equal(text(first, "printer_name"), "Capstan");
    assert_string_equal(text(first, "name"), "Gear housing");
    assert_string_equal(text(first, "resin"), "Flint");
    assert_string_equal(text(first, "ends_at"), "2026-11-26T18:30:00.000Z");
    assert_string_equal(text(first, "ticket"), "waiting");
    assert_int_equal(json_integer_value(json_object_get(first, "parts")), 5);
    assert_string_equal(text(last, "job"), "KQ-2");
    assert_false(json_is_true(json_object_get(last, "planned")));
    assert_string_equal(text(last, "ticket"), "-");
    json_decref(body);
}

static void a_ticket_is_a_label_that_says_its_jobs_code(void **state)
{
    (void)state;
    json_t *body = http_get_json(fixture.port, "/api/labels");
    const json_t *row = json_array_get(json_object_get(body, "batches"), 0);
    assert_string_equal(text(row, "job"), "KQ-1");
    assert_string_equal(text(row, "template"), "job-ticket");
    json_decref(body);
}

static void what_was_dropped_is_listed_no_more(void **state)
{
    (void)state;
    done("job-drop", "{\"job\":\"KQ-1\"}");
    json_t *body = http_get_json(fixture.port, "/api/jobs");
    assert_int_equal(json_array_size(json_object_get(body, "jobs")), 1);
    json_decref(body);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_planned_and_what_runs_is_listed_machine_by_machine),
        cmocka_unit_test(a_ticket_is_a_label_that_says_its_jobs_code),
        cmocka_unit_test(what_was_dropped_is_listed_no_more),
    };
    return cmocka_run_group_tests_name("web/route_jobs", tests, open_fixture, close_fixture);
}

#include "kiosk/web/server.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

static struct web_fixture fixture; /* one server for all tests of this program */

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_open(&fixture);
    web_fixture_serve(&fixture, 0);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static json_t *body_of(const struct http_answer *answer)
{
    json_error_t error;
    json_t *body = json_loadb(answer->body, answer->length, 0, &error);
    if (!body)
        fail_msg("status %d, no JSON (%s): %.300s", answer->status, error.text, answer->body);
    return body;
}

/* Every refusal: problem+json as RFC 9457 has it, with a sentence. */
static void check_problem(struct http_answer *answer, int status, const char *code, const char *word)
{
    char value[80];
    if (answer->status != status)
        fail_msg("status %d, not %d: %.300s", answer->status, status, answer->body);
    assert_true(http_header(answer, "Content-Type", value, sizeof value));
    assert_string_equal(value, "application/problem+json");
    json_t *body = body_of(answer);
    assert_string_equal(json_string_value(json_object_get(body, "type")), "about:blank");
    assert_int_equal(json_integer_value(json_object_get(body, "status")), status);
    assert_non_null(json_string_value(json_object_get(body, "title")));
    assert_string_equal(json_string_value(json_object_get(body, "code")), code);
    const char *detail = json_string_value(json_object_get(body, "detail"));
    if (!detail || !strstr(detail, word))
        fail_msg("'%s' is not in: %s", word, detail);
    json_decref(body);
    http_clear(answer);
}

static void an_act_is_done_and_answered_with_its_id_and_number(void **state)
{
    struct http_answer answer;
    char value[80];
    (void)state;
    http_post(fixture.port, "/api/acts", "{\"id\":\"first-act-1\",\"kind\":\"mark\",\"content\":{\"n\":7}}", &answer);
    assert_int_equal(answer.status, 200);
    assert_string_equal(answer.body, "{\"n\":7}");
    assert_true(http_header(&answer, "Act-Id", value, sizeof value));
    assert_string_equal(value, "first-act-1");
    assert_true(http_header(&answer, "Act-Seq", value, sizeof value));
    assert_true(atoll(value) >= 1);
    assert_true(http_header(&answer, "Cache-Control", value, sizeof value));
    assert_string_equal(value, "no-store");
    http_clear(&answer);
}

static void a_repeated_act_gets_the_same_answer_marked_and_books_nothing(void **state)
{
    static const char act[] = "{\"id\":\"again-and-again\",\"kind\":\"mark\",\"content\":{\"n\":1}}";
    struct http_answer answer;
    (void)state;
    http_post(fixture.port, "/api/acts", act, &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
    const int64_t before = feed_last_seq(fixture.feed);
    http_post(fixture.port, "/api/acts", act, &answer);
    assert_int_equal(answer.status, 200);
    json_t *body = body_of(&answer);
    assert_true(json_is_true(json_object_get(body, "repeated")));
    assert_int_equal(json_integer_value(json_object_get(body, "n")), 1);
    json_decref(body);
    http_clear(&answer);
    assert_int_equal(feed_last_seq(fixture.feed), before);

    http_post(fixture.port, "/api/acts", "{\"id\":\"again-and-again\",\"kind\":\"mark\",\"content\":{\"n\":2}}",
              &answer);
    check_problem(&answer, 409, "conflict", "again-and-again");
}

static void an_empty_answer_can_be_repeated_too(void **state)
{
    static const char act[] = "{\"id\":\"empty-act-1\",\"kind\":\"empty\",\"content\":{}}";
    struct http_answer answer;
    (void)state;
    http_post(fixture.port, "/api/acts", act, &answer);
    assert_string_equal(answer.body, "{}");
    http_clear(&answer);
    http_post(fixture.port, "/api/acts", act, &answer);
    assert_string_equal(answer.body, "{\"repeated\":true}");
    http_clear(&answer);
}

static void every_fault_code_has_its_status(void **state)
{
    static const struct {
        const char *code;
        int status; /* RFC 9110 section 15; RFC 4918 for 422 */
    } cases[] = {{"input", 400}, {"missing", 404}, {"conflict", 409}, {"refused", 422}, {"device", 502}, {"busy", 503}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char act[160], value[40];
        struct http_answer answer;
        snprintf(act, sizeof act, "{\"id\":\"failing-%s\",\"kind\":\"fail\",\"content\":{\"code\":\"%s\"}}",
                 cases[i].code, cases[i].code);
        http_post(fixture.port, "/api/acts", act, &answer);
        if (cases[i].status == 503)
            assert_true(http_header(&answer, "Retry-After", value, sizeof value));
        check_problem(&answer, cases[i].status, cases[i].code, "it failed with");
    }
}

static void a_body_that_is_no_act_is_a_400_with_the_reason(void **state)
{
    struct http_answer answer;
    (void)state;
    http_post(fixture.port, "/api/acts", "{\"kind\":\"mark\"", &answer);
    check_problem(&answer, 400, "input", "not JSON");
    http_post(fixture.port, "/api/acts", "", &answer);
    check_problem(&answer, 400, "input", "no body");
    http_post(fixture.port, "/api/scans", "{\"text\":\"A\"}", &answer);
    check_problem(&answer, 400, "input", "counter");
    http_post(fixture.port, "/api/acts", "{\"id\":\"12345678\",\"kind\":\"no-such-act\",\"content\":{}}", &answer);
    assert_true(answer.status == 400 || answer.status == 404);
    http_clear(&answer);
}

static void a_scan_is_the_act_scan(void **state)
{
    struct http_answer answer;
    char value[80];
    (void)state;
    http_post(fixture.port, "/api/scans", "{\"counter\":\"desk\",\"text\":\"[)>\\u001e06\\u001dS1\"}", &answer);
    assert_int_equal(answer.status, 200);
    json_t *body = body_of(&answer), *content = json_object_get(body, "content");
    assert_string_equal(json_string_value(json_object_get(content, "text")), "[)>\x1e"
                                                                             "06\x1dS1");
    assert_string_equal(json_string_value(json_object_get(content, "source")), "scanner");
    assert_true(http_header(&answer, "Act-Id", value, sizeof value));
    assert_int_equal(strlen(value), 32);
    json_decref(body);
    http_clear(&answer);
}

static void what_is_not_there_and_what_is_done_otherwise_is_said(void **state)
{
    struct http_answer answer;
    char value[40];
    (void)state;
    http_get(fixture.port, "/api/nothing", &answer);
    check_problem(&answer, 404, "missing", "/api/nothing");
    http_get(fixture.port, "/api/acts", &answer);
    assert_true(http_header(&answer, "Allow", value, sizeof value));
    assert_string_equal(value, "POST");
    check_problem(&answer, 405, "input", "POST");
    http_post(fixture.port, "/api/stock", "{}", &answer);
    check_problem(&answer, 405, "input", "GET");
    http_request(fixture.port, "DELETE", "/api/stock", "", NULL, 0, &answer);
    check_problem(&answer, 405, "input", "GET");
    http_get(fixture.port, "/api/%3Cscript%3E%1b", &answer);
    check_problem(&answer, 404, "missing", "<0x1B>");
}

/* Limits */

static void a_json_body_over_the_limit_is_a_413_and_the_limit_itself_is_not(void **state)
{
    enum { LIMIT = 256 * 1024 };
    static const char act[] = "{\"id\":\"large-act-1\",\"kind\":\"empty\",\"content\":{}}";
    static char body[LIMIT + 2];
    struct http_answer answer;
    (void)state;
    memset(body, ' ', sizeof body);
    memcpy(body, act, sizeof act - 1);
    http_request(fixture.port, "POST", "/api/acts", "", body, LIMIT, &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
    http_request(fixture.port, "POST", "/api/acts", "", body, LIMIT + 1, &answer);
    check_problem(&answer, 413, "input", "256 KiB");
}

static void a_chunked_body_that_grows_over_the_limit_is_a_413(void **state)
{
    static char body[5 * 65545 + 5];
    char *at = body;
    struct http_answer answer;
    (void)state;
    for (int i = 0; i < 5; i++) { /* 320 KiB in chunks of 64 KiB; nobody says the sum beforehand */
        memcpy(at, "10000\r\n", 7);
        at += 7;
        memset(at, ' ', 0x10000);
        at += 0x10000;
        memcpy(at, "\r\n", 2);
        at += 2;
    }
    memcpy(at, "0\r\n\r\n", 5);
    at += 5;
    http_request(fixture.port, "POST", "/api/acts", "Transfer-Encoding: chunked\r\n", body, (size_t)(at - body),
                 &answer);
    check_problem(&answer, 413, "input", "256 KiB");
}

static void a_picture_of_40_mb_is_a_413_with_a_sentence_and_is_not_kept(void **state)
{
    enum { SIZE = 40 * 1000 * 1000 };
    char *picture = calloc(1, SIZE);
    struct http_answer answer;
    (void)state;
    assert_non_null(picture);
    http_request(fixture.port, "POST", "/api/pictures", "Content-Type: image/jpeg\r\n", picture, SIZE, &answer);
    check_problem(&answer, 413, "input", "32 MiB");
    free(picture);
}

static void a_client_that_asks_first_is_answered_before_it_sends(void **state)
{
    struct http_answer answer;
    (void)state;
    /* RFC 9110 section 10.1.1 */
    const int socket_fd = http_begin(fixture.port, "POST", "/api/pictures",
                                     "Expect: 100-continue\r\nContent-Length: 40000000\r\n", NULL, 0);
    http_finish(socket_fd, &answer);
    check_problem(&answer, 413, "input", "32 MiB");
}

static void a_length_that_no_body_can_have_is_refused_at_once(void **state)
{
    struct http_answer answer;
    (void)state;
    const int socket_fd =
        http_begin(fixture.port, "POST", "/api/pictures", "Content-Length: 999999999999\r\n", NULL, 0);
    http_finish(socket_fd, &answer);
    check_problem(&answer, 413, "input", "32 MiB");
}

static void a_get_with_a_body_is_refused(void **state)
{
    struct http_answer answer;
    (void)state;
    http_request(fixture.port, "GET", "/api/stock", "", "{}", 2, &answer);
    check_problem(&answer, 413, "input", "no body");
}

/* Strangers */

static void a_foreign_origin_may_not_post(void **state)
{
    static const char act[] = "{\"id\":\"foreign-act-1\",\"kind\":\"mark\",\"content\":{}}";
    struct http_answer answer;
    (void)state;
    const int64_t before = feed_last_seq(fixture.feed);
    http_request(fixture.port, "POST", "/api/acts", "Origin: https://stranger.example\r\n", act, strlen(act), &answer);
    check_problem(&answer, 403, "refused", "stranger.example");
    http_request(fixture.port, "POST", "/api/acts", "Sec-Fetch-Site: cross-site\r\n", act, strlen(act), &answer);
    check_problem(&answer, 403, "refused", "another site");
    http_request(fixture.port, "POST", "/api/acts", "Host: stranger.example\r\n", act, strlen(act), &answer);
    check_problem(&answer, 403, "refused", "127.0.0.1");
    http_request(fixture.port, "GET", "/api/stock", "Host: stranger.example\r\n", NULL, 0, &answer);
    check_problem(&answer, 403, "refused", "127.0.0.1");
    assert_int_equal(feed_last_seq(fixture.feed), before);
}

static void the_kiosks_own_page_may_post(void **state)
{
    static const char act[] = "{\"id\":\"own-act-0001\",\"kind\":\"mark\",\"content\":{}}";
    char headers[120];
    struct http_answer answer;
    (void)state;
    snprintf(headers, sizeof headers, "Origin: http://127.0.0.1:%u\r\nSec-Fetch-Site: same-origin\r\n",
             (unsigned)fixture.port);
    http_request(fixture.port, "POST", "/api/acts", headers, act, strlen(act), &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
}

static void every_answer_carries_the_security_headers(void **state)
{
    static const char *const paths[] = {"/api/stock", "/", "/api/nothing", "/health"};
    (void)state;
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        struct http_answer answer;
        char value[400];
        http_get(fixture.port, paths[i], &answer);
        assert_true(http_header(&answer, "Content-Security-Policy", value, sizeof value));
        assert_non_null(strstr(value, "default-src 'self'"));
        assert_null(strstr(value, "unsafe"));
        assert_true(http_header(&answer, "X-Content-Type-Options", value, sizeof value));
        assert_string_equal(value, "nosniff");
        assert_true(http_header(&answer, "Referrer-Policy", value, sizeof value));
        assert_true(http_header(&answer, "X-Frame-Options", value, sizeof value));
        http_clear(&answer);
    }
}

/* State */

static void health_tells_head_clock_and_writer(void **state)
{
    struct http_answer answer;
    (void)state;
    http_get(fixture.port, "/health", &answer);
    assert_int_equal(answer.status, 200);
    json_t *body = body_of(&answer);
    assert_true(json_is_true(json_object_get(body, "ok")));
    assert_true(json_is_true(json_object_get(body, "writer_ok")));
    assert_true(json_is_boolean(json_object_get(body, "clock_trusted")));
    assert_int_equal(json_integer_value(json_object_get(body, "seq")), feed_last_seq(fixture.feed));
    assert_string_equal(json_string_value(json_object_get(body, "kiosk")), "TEST");
    json_decref(body);
    http_clear(&answer);
}

static void health_is_bad_after_an_act_that_could_not_be_stored_and_good_after_one_that_could(void **state)
{
    struct http_answer answer;
    (void)state;
    http_post(fixture.port, "/api/acts",
              "{\"id\":\"failing-storage\",\"kind\":\"fail\",\"content\":{\"code\":\"storage\"}}", &answer);
    check_problem(&answer, 500, "storage", "it failed with");
    http_get(fixture.port, "/health", &answer);
    assert_int_equal(answer.status, 503);
    http_clear(&answer);
    http_post(fixture.port, "/api/acts", "{\"id\":\"well-again-1\",\"kind\":\"mark\",\"content\":{}}", &answer);
    http_clear(&answer);
    http_get(fixture.port, "/health", &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
}

static void metrics_are_prometheus_text(void **state)
{
    struct http_answer answer;
    char value[80];
    (void)state;
    http_get(fixture.port, "/metrics", &answer);
    assert_int_equal(answer.status, 200);
    assert_true(http_header(&answer, "Content-Type", value, sizeof value));
    assert_string_equal(value, "text/plain; version=0.0.4; charset=utf-8"); /* exposition format 0.0.4 */
    assert_non_null(strstr(answer.body, "# TYPE ambershelf_acts_total counter\nambershelf_acts_total "));
    assert_non_null(strstr(answer.body, "\nambershelf_event_streams 0\n"));
    assert_non_null(strstr(answer.body, "\nambershelf_eye_restarts_total 0\n"));
    http_clear(&answer);
}

static void head_answers_like_get_without_the_body(void **state)
{
    struct http_answer answer;
    (void)state;
    http_request(fixture.port, "HEAD", "/api/stock", "", NULL, 0, &answer);
    assert_int_equal(answer.status, 200);
    assert_int_equal(answer.length, 0);
    http_clear(&answer);
}

static void the_connection_is_kept_for_the_next_request(void **state)
{
    static const char next[] = "GET /health HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
    char text[4096];
    (void)state;
    const int socket_fd = http_begin(fixture.port, "GET", "/metrics", "Connection: keep-alive\r\n", NULL, 0);
    http_send(socket_fd, next, strlen(next));
    struct http_answer answer;
    http_finish(socket_fd, &answer);
    const char *second = strstr(answer.body, "HTTP/1.1 200");
    assert_non_null(second);
    snprintf(text, sizeof text, "%s", second);
    assert_non_null(strstr(text, "writer_ok"));
    http_clear(&answer);
}

static void an_address_that_others_can_reach_is_refused_with_a_sentence(void **state)
{
    static const char *const addresses[] = {"0.0.0.0", "192.0.2.1", "::", "kiosk.example"};
    (void)state;
    for (size_t i = 0; i < sizeof addresses / sizeof *addresses; i++) {
        struct web *web = NULL;
        struct fault fault = {0};
        const struct web_options options = {.address = addresses[i],
                                            .writer = fixture.writer,
                                            .feed = fixture.feed,
                                            .clock = fixture.clock,
                                            .desk = &fixture.desk,
                                            .ledger_address = fixture.ledger.address};
        assert_false(web_create(&options, &web, &fault));
        assert_int_equal(fault.code, FAULT_REFUSED);
        assert_non_null(strstr(fault.text, "TLS"));
        assert_null(web);
    }
}

static void a_port_that_is_taken_is_said(void **state)
{
    struct web *web = NULL;
    struct fault fault = {0};
    const struct web_options options = {.port = fixture.port,
                                        .writer = fixture.writer,
                                        .feed = fixture.feed,
                                        .clock = fixture.clock,
                                        .desk = &fixture.desk,
                                        .ledger_address = fixture.ledger.address};
    (void)state;
    assert_false(web_create(&options, &web, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_non_null(strstr(fault.text, "another port"));
}

static void a_picture_without_an_eye_is_a_502(void **state)
{
    struct http_answer answer;
    (void)state;
    http_request(fixture.port, "POST", "/api/pictures", "", "P5 1 1 255 x", 12, &answer);
    check_problem(&answer, 502, "device", "hand scanner");
    http_request(fixture.port, "POST", "/api/pictures?act=scan", "", "P5 1 1 255 x", 12, &answer);
    check_problem(&answer, 400, "input", "counter");
    http_request(fixture.port, "POST", "/api/pictures?act=undo&counter=desk", "", "P5 1 1 255 x", 12, &answer);
    check_problem(&answer, 400, "input", "'scan'");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_act_is_done_and_answered_with_its_id_and_number),
        cmocka_unit_test(a_repeated_act_gets_the_same_answer_marked_and_books_nothing),
        cmocka_unit_test(an_empty_answer_can_be_repeated_too),
        cmocka_unit_test(every_fault_code_has_its_status),
        cmocka_unit_test(a_body_that_is_no_act_is_a_400_with_the_reason),
        cmocka_unit_test(a_scan_is_the_act_scan),
        cmocka_unit_test(what_is_not_there_and_what_is_done_otherwise_is_said),
        cmocka_unit_test(a_json_body_over_the_limit_is_a_413_and_the_limit_itself_is_not),
        cmocka_unit_test(a_chunked_body_that_grows_over_the_limit_is_a_413),
        cmocka_unit_test(a_picture_of_40_mb_is_a_413_with_a_sentence_and_is_not_kept),
        cmocka_unit_test(a_client_that_asks_first_is_answered_before_it_sends),
        cmocka_unit_test(a_length_that_no_body_can_have_is_refused_at_once),
        cmocka_unit_test(a_get_with_a_body_is_refused),
        cmocka_unit_test(a_foreign_origin_may_not_post),
        cmocka_unit_test(the_kiosks_own_page_may_post),
        cmocka_unit_test(every_answer_carries_the_security_headers),
        cmocka_unit_test(health_tells_head_clock_and_writer),
        cmocka_unit_test(health_is_bad_after_an_act_that_could_not_be_stored_and_good_after_one_that_could),
        cmocka_unit_test(metrics_are_prometheus_text),
        cmocka_unit_test(head_answers_like_get_without_the_body),
        cmocka_unit_test(the_connection_is_kept_for_the_next_request),
        cmocka_unit_test(an_address_that_others_can_reach_is_refused_with_a_sentence),
        cmocka_unit_test(a_port_that_is_taken_is_said),
        cmocka_unit_test(a_picture_without_an_eye_is_a_502),
    };
    return cmocka_run_group_tests_name("web/server", tests, open_fixture, close_fixture);
}

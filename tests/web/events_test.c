#include "kiosk/web/events.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "kiosk/ledger/movement_json.h"
#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

enum { QUICK_MS = 200 };

static struct web_fixture fixture; /* one server for all tests of this program */

static int open_fixture(void **state)
{
    (void)state;
    web_fixture_open(&fixture);
    web_fixture_serve(&fixture, QUICK_MS);
    web_fixture_mark(&fixture, 3);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static void wait_ms(int ms)
{
    const struct timespec pause = {.tv_sec = ms / 1000, .tv_nsec = (long)(ms % 1000) * 1000000};
    nanosleep(&pause, NULL);
}

static void next_real(struct event_stream *stream, struct event *event)
{
    do
        assert_true(event_next(stream, event));
    while (event->comment);
}

/* The stream's next event is movement `seq`, whole. */
static void expect_movement(struct event_stream *stream, int64_t seq)
{
    struct event event;
    struct movement movement;
    struct fault fault = {0};
    next_real(stream, &event);
    assert_string_equal(event.name, "movement");
    assert_int_equal(atoll(event.id), seq);
    json_t *data = json_loads(event.data, 0, NULL);
    assert_non_null(data);
    if (!movement_json_read(data, &movement, &fault))
        fail_msg("%s: %s", fault.text, event.data);
    assert_int_equal(movement.seq, seq);
    json_decref(data);
}

static void expect_hello(struct event_stream *stream, int64_t seq)
{
    struct event event;
    next_real(stream, &event);
    assert_string_equal(event.name, "hello");
    assert_int_equal(atoll(event.id), seq);
}

static void open_after(struct event_stream *stream, int64_t last)
{
    char header[60];
    snprintf(header, sizeof header, "Last-Event-ID: %lld\r\n", (long long)last);
    assert_int_equal(event_open(stream, fixture.port, "/api/events", header), 200);
}

/* WHATWG HTML section 9.2.3: a client that comes back sends the last id it saw. */
static void a_client_that_comes_back_gets_exactly_what_it_missed(void **state)
{
    struct event_stream stream;
    struct event event;
    (void)state;
    const int64_t seen = feed_last_seq(fixture.feed);
    web_fixture_mark(&fixture, 5);
    open_after(&stream, seen);
    expect_hello(&stream, seen);
    for (int64_t seq = seen + 1; seq <= seen + 5; seq++)
        expect_movement(&stream, seq);
    assert_true(event_next(&stream, &event));
    assert_true(event.comment); /* and nothing else */
    event_close(&stream);
}

static void more_than_a_page_comes_complete_and_in_order(void **state)
{
    enum { MANY = EVENTS_PAGE * 2 + 7 };
    struct event_stream stream;
    (void)state;
    const int64_t seen = feed_last_seq(fixture.feed);
    web_fixture_mark(&fixture, MANY);
    open_after(&stream, seen);
    expect_hello(&stream, seen);
    for (int64_t seq = seen + 1; seq <= seen + MANY; seq++)
        expect_movement(&stream, seq);
    web_fixture_mark(&fixture, 1); /* and it goes on live */
    expect_movement(&stream, seen + MANY + 1);
    event_close(&stream);
}

static void exactly_a_page_is_not_followed_by_anything(void **state)
{
    struct event_stream stream;
    struct event event;
    (void)state;
    const int64_t seen = feed_last_seq(fixture.feed);
    web_fixture_mark(&fixture, EVENTS_PAGE);
    open_after(&stream, seen);
    expect_hello(&stream, seen);
    for (int64_t seq = seen + 1; seq <= seen + EVENTS_PAGE; seq++)
        expect_movement(&stream, seq);
    assert_true(event_next(&stream, &event));
    assert_true(event.comment);
    event_close(&stream);
}

static void a_new_client_starts_at_now_and_hears_what_comes(void **state)
{
    struct event_stream stream;
    (void)state;
    const int64_t now = feed_last_seq(fixture.feed);
    assert_int_equal(event_open(&stream, fixture.port, "/api/events", ""), 200);
    expect_hello(&stream, now);
    web_fixture_mark(&fixture, 2);
    expect_movement(&stream, now + 1);
    expect_movement(&stream, now + 2);
    event_close(&stream);
}

static void the_last_number_may_come_in_the_address(void **state)
{
    struct event_stream stream;
    (void)state;
    assert_int_equal(event_open(&stream, fixture.port, "/api/events?last=1", ""), 200);
    expect_hello(&stream, 1);
    expect_movement(&stream, 2);
    event_close(&stream);
}

static void a_number_that_makes_no_sense_is_a_400(void **state)
{
    struct event_stream stream;
    (void)state;
    assert_int_equal(event_open(&stream, fixture.port, "/api/events", "Last-Event-ID: abc\r\n"), 400);
    event_close(&stream);
    assert_int_equal(event_open(&stream, fixture.port, "/api/events?last=-1", ""), 400);
    event_close(&stream);
}

static void a_client_of_another_ledger_is_told_to_read_everything_again(void **state)
{
    struct event_stream stream;
    struct event event;
    (void)state;
    open_after(&stream, 1000000);
    expect_hello(&stream, feed_last_seq(fixture.feed));
    next_real(&stream, &event);
    assert_string_equal(event.name, "reload");
    event_close(&stream);
}

static void an_act_at_a_counter_announces_that_counter_and_a_repeat_does_not(void **state)
{
    static const char act[] = "{\"id\":\"announced-1\",\"kind\":\"empty\",\"counter\":\"desk\",\"content\":{}}";
    struct event_stream stream;
    struct event event;
    struct http_answer answer;
    (void)state;
    assert_int_equal(event_open(&stream, fixture.port, "/api/events", ""), 200);
    next_real(&stream, &event);
    http_post(fixture.port, "/api/acts", act, &answer);
    http_clear(&answer);
    next_real(&stream, &event);
    assert_string_equal(event.name, "counter");
    assert_string_equal(event.data, "{\"counter\":\"desk\"}");
    assert_string_equal(event.id, ""); /* a passing thing must not move the client's last id */
    http_post(fixture.port, "/api/acts", act, &answer);
    http_clear(&answer);
    feed_pass(fixture.feed, "device", "{\"printer\":\"LABEL\"}");
    next_real(&stream, &event);
    assert_string_equal(event.name, "device");
    event_close(&stream);
}

static void a_line_break_in_a_passing_thing_cannot_forge_an_event(void **state)
{
    struct event_stream stream;
    struct event event;
    (void)state;
    assert_int_equal(event_open(&stream, fixture.port, "/api/events", ""), 200);
    next_real(&stream, &event);
    feed_pass(fixture.feed, "device", "{}\n\nid: 9\nevent: movement\ndata: {}\n");
    feed_pass(fixture.feed, "device", "{\"second\":1}");
    next_real(&stream, &event);
    assert_string_equal(event.data, "{}");
    next_real(&stream, &event);
    assert_string_equal(event.data, "{\"second\":1}");
    event_close(&stream);
}

static void a_hand_scanners_counter_is_announced_too(void **state)
{
    struct event_stream stream;
    struct event event;
    (void)state;
    assert_int_equal(event_open(&stream, fixture.port, "/api/events", ""), 200);
    next_real(&stream, &event);
    web_announce_counter(fixture.feed, "receiving");
    next_real(&stream, &event);
    assert_string_equal(event.data, "{\"counter\":\"receiving\"}");
    event_close(&stream);
}

static int streams_open(void)
{
    struct http_answer answer;
    int streams = -1;
    http_get(fixture.port, "/metrics", &answer);
    const char *line = strstr(answer.body, "\nambershelf_event_streams ");
    assert_non_null(line);
    assert_int_equal(sscanf(line, "\nambershelf_event_streams %d", &streams), 1);
    http_clear(&answer);
    return streams;
}

static void expect_streams(int count)
{
    int streams = -1;
    for (int i = 0; i < 100; i++) {
        streams = streams_open();
        if (streams == count)
            return;
        wait_ms(QUICK_MS / 2);
    }
    fail_msg("%d streams are open, not %d", streams, count);
}

static void clients_that_are_gone_are_found(void **state)
{
    static struct event_stream streams[8];
    (void)state;
    expect_streams(0); /* of the tests before */
    for (int i = 0; i < 8; i++)
        assert_int_equal(event_open(&streams[i], fixture.port, "/api/events", ""), 200);
    expect_streams(8);
    for (int i = 0; i < 8; i++)
        event_close(&streams[i]);
    expect_streams(0);
}

static void one_stream_more_than_allowed_is_a_503(void **state)
{
    static struct event_stream streams[WEB_STREAMS];
    struct http_answer answer;
    (void)state;
    for (int i = 0; i < WEB_STREAMS; i++)
        assert_int_equal(event_open(&streams[i], fixture.port, "/api/events", ""), 200);
    http_get(fixture.port, "/api/events", &answer);
    assert_int_equal(answer.status, 503);
    assert_non_null(strstr(answer.body, "64 event streams are open"));
    http_clear(&answer);
    const int64_t seen = feed_last_seq(fixture.feed);
    web_fixture_mark(&fixture, 1); /* all of them hear it */
    for (int i = 0; i < WEB_STREAMS; i++) {
        expect_hello(&streams[i], seen);
        expect_movement(&streams[i], seen + 1);
        event_close(&streams[i]);
    }
    expect_streams(0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_client_that_comes_back_gets_exactly_what_it_missed),
        cmocka_unit_test(more_than_a_page_comes_complete_and_in_order),
        cmocka_unit_test(exactly_a_page_is_not_followed_by_anything),
        cmocka_unit_test(a_new_client_starts_at_now_and_hears_what_comes),
        cmocka_unit_test(the_last_number_may_come_in_the_address),
        cmocka_unit_test(a_number_that_makes_no_sense_is_a_400),
        cmocka_unit_test(a_client_of_another_ledger_is_told_to_read_everything_again),
        cmocka_unit_test(an_act_at_a_counter_announces_that_counter_and_a_repeat_does_not),
        cmocka_unit_test(a_line_break_in_a_passing_thing_cannot_forge_an_event),
        cmocka_unit_test(a_hand_scanners_counter_is_announced_too),
        cmocka_unit_test(clients_that_are_gone_are_found),
        cmocka_unit_test(one_stream_more_than_allowed_is_a_503),
    };
    return cmocka_run_group_tests_name("web/events", tests, open_fixture, close_fixture);
}

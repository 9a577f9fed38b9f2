#include "kiosk/web/waiter.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

enum { POSTS = 50 };

static int open_fixture(void **state)
{
    static struct web_fixture fixture;
    web_fixture_open(&fixture);
    web_fixture_serve(&fixture, 0);
    *state = &fixture;
    return 0;
}

static int close_fixture(void **state)
{
    web_fixture_close(*state);
    return 0;
}

static int post_begin(const struct web_fixture *fixture, const char *kind, int number)
{
    char act[160];
    snprintf(act, sizeof act, "{\"id\":\"waiting-%04d\",\"kind\":\"%s\",\"content\":{\"n\":%d}}", number, kind, number);
    return http_begin(fixture->port, "POST", "/api/acts", "", act, strlen(act));
}

static int waiting(const struct web_fixture *fixture)
{
    struct http_answer answer;
    int count = -1;
    http_get(fixture->port, "/health", &answer);
    json_t *health = json_loads(answer.body, 0, NULL);
    count = (int)json_integer_value(json_object_get(health, "waiting"));
    json_decref(health);
    http_clear(&answer);
    return count;
}

static void expect_waiting(const struct web_fixture *fixture, int count)
{
    const struct timespec pause = {.tv_nsec = 20 * 1000 * 1000};
    for (int i = 0; i < 500 && waiting(fixture) != count; i++)
        nanosleep(&pause, NULL);
    assert_int_equal(waiting(fixture), count);
}

/* The first stops the writer; only then the others are sent, else one of them might be done before it. */
static void post_all(const struct web_fixture *fixture, int posts[POSTS])
{
    for (int i = 0; i < POSTS; i++) {
        posts[i] = post_begin(fixture, i == 0 ? "block" : "mark", i);
        if (i == 0)
            expect_waiting(fixture, 1);
    }
    expect_waiting(fixture, POSTS);
}

static void handlers_do_not_wait_for_the_writer_and_all_posts_complete_once_it_goes_on(void **state)
{
    struct web_fixture *fixture = *state;
    int posts[POSTS];
    struct http_answer answer;
    post_all(fixture, posts);

    /* two web threads, fifty waiting requests: everything else is answered all the same */
    http_get(fixture->port, "/health", &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
    http_get(fixture->port, "/api/stock", &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
    assert_int_equal(feed_last_seq(fixture->feed), 0);

    sem_post(&fixture->gate);
    for (int i = 0; i < POSTS; i++) {
        char expected[32];
        http_finish(posts[i], &answer);
        assert_int_equal(answer.status, 200);
        snprintf(expected, sizeof expected, "{\"n\":%d}", i);
        assert_string_equal(answer.body, expected);
        http_clear(&answer);
    }
    assert_int_equal(feed_last_seq(fixture->feed), POSTS);
    expect_waiting(fixture, 0);
}

static void a_client_that_left_meanwhile_hurts_nobody(void **state)
{
    struct web_fixture *fixture = *state;
    struct http_answer answer;
    const int gone = post_begin(fixture, "block", 1);
    expect_waiting(fixture, 1);
    const int stays = post_begin(fixture, "mark", 2);
    expect_waiting(fixture, 2);
    shutdown(gone, SHUT_RDWR);
    close(gone);
    sem_post(&fixture->gate);
    http_finish(stays, &answer);
    assert_int_equal(answer.status, 200);
    http_clear(&answer);
    expect_waiting(fixture, 0);
    assert_int_equal(feed_last_seq(fixture->feed), 2); /* what it asked for was done */
}

static void shutdown_answers_those_who_wait_with_503_and_does_not_wait_for_the_writer(void **state)
{
    struct web_fixture *fixture = *state;
    int posts[POSTS];
    struct event_stream stream;
    struct event event;
    post_all(fixture, posts);
    assert_int_equal(event_open(&stream, fixture->port, "/api/events", ""), 200);

    web_destroy(fixture->web); /* the writer stands still until the fixture opens the gate */
    fixture->web = NULL;
    for (int i = 0; i < POSTS; i++) {
        struct http_answer answer;
        http_finish(posts[i], &answer);
        assert_int_equal(answer.status, 503);
        assert_non_null(strstr(answer.body, "repeat the request with the same id"));
        http_clear(&answer);
    }
    while (event_next(&stream, &event)) /* ended by the server, in good form */
        assert_string_not_equal(event.name, "movement");
    event_close(&stream);
    /* the fixture opens the gate, and fifty completions arrive for a server that is gone */
}

static void shutdown_with_nobody_waiting_is_quick(void **state)
{
    struct web_fixture *fixture = *state;
    struct timespec from, to;
    struct http_answer answer;
    http_get(fixture->port, "/health", &answer);
    http_clear(&answer);
    clock_gettime(CLOCK_MONOTONIC, &from);
    web_destroy(fixture->web);
    fixture->web = NULL;
    clock_gettime(CLOCK_MONOTONIC, &to);
    assert_true(to.tv_sec - from.tv_sec <= 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(handlers_do_not_wait_for_the_writer_and_all_posts_complete_once_it_goes_on,
                                        open_fixture, close_fixture),
        cmocka_unit_test_setup_teardown(a_client_that_left_meanwhile_hurts_nobody, open_fixture, close_fixture),
        cmocka_unit_test_setup_teardown(shutdown_answers_those_who_wait_with_503_and_does_not_wait_for_the_writer,
                                        open_fixture, close_fixture),
        cmocka_unit_test_setup_teardown(shutdown_with_nobody_waiting_is_quick, open_fixture, close_fixture),
    };
    return cmocka_run_group_tests_name("web/waiter", tests, NULL, NULL);
}

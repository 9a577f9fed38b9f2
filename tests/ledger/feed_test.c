#include "kiosk/ledger/feed.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <pthread.h>

static void count(void *context)
{
    (*(int *)context)++;
}

static void a_commit_wakes_every_follower_with_the_last_number(void **state)
{
    struct feed *feed = feed_create();
    int one = 0, two = 0;
    (void)state;
    struct feed_follower *first = feed_follow(feed, count, &one), *second = feed_follow(feed, count, &two);
    feed_publish(feed, 7);
    assert_int_equal(one, 1);
    assert_int_equal(two, 1);
    assert_int_equal(feed_last_seq(feed), 7);
    feed_leave(first);
    feed_publish(feed, 9);
    assert_int_equal(one, 1); /* who left is not called */
    assert_int_equal(two, 2);
    feed_publish(feed, 8);
    assert_int_equal(feed_last_seq(feed), 9); /* never back */
    feed_leave(second);
    feed_destroy(feed);
}

static void passing_things_come_once_in_order_and_only_from_now_on(void **state)
{
    struct feed *feed = feed_create();
    char event[24], data[FEED_PASSING_TEXT];
    (void)state;
    feed_pass(feed, "device", "{\"old\":1}");
    struct feed_follower *follower = feed_follow(feed, NULL, NULL);
    assert_false(feed_next_passing(follower, event, data));
    feed_pass(feed, "device", "{\"n\":1}");
    feed_pass(feed, "printer", "{\"n\":2}");
    assert_true(feed_next_passing(follower, event, data));
    assert_string_equal(event, "device");
    assert_string_equal(data, "{\"n\":1}");
    assert_true(feed_next_passing(follower, event, data));
    assert_string_equal(event, "printer");
    assert_false(feed_next_passing(follower, event, data));
    feed_leave(follower);
    feed_destroy(feed);
}

static void who_is_slow_misses_the_oldest(void **state)
{
    struct feed *feed = feed_create();
    struct feed_follower *follower = feed_follow(feed, NULL, NULL);
    char event[24], data[FEED_PASSING_TEXT], expected[16];
    int seen = 0;
    (void)state;
    for (int i = 0; i < FEED_PASSING + 10; i++) {
        snprintf(expected, sizeof expected, "%d", i);
        feed_pass(feed, "device", expected);
    }
    for (; feed_next_passing(follower, event, data); seen++) {
        snprintf(expected, sizeof expected, "%d", seen + 10);
        assert_string_equal(data, expected);
    }
    assert_int_equal(seen, FEED_PASSING);
    feed_leave(follower);
    feed_destroy(feed);
}

static void an_overlong_thing_is_cut_between_characters(void **state)
{
    struct feed *feed = feed_create();
    struct feed_follower *follower = feed_follow(feed, NULL, NULL);
    char event[24], data[FEED_PASSING_TEXT], longer[FEED_PASSING_TEXT + 100];
    (void)state;
    memset(longer, 'x', sizeof longer);
    longer[FEED_PASSING_TEXT - 2] = '\xC3'; /* the two bytes of an e with acute stand across the limit */
    longer[FEED_PASSING_TEXT - 1] = '\xA9';
    longer[sizeof longer - 1] = '\0';
    feed_pass(feed, "a-very-long-name-of-an-event", longer);
    assert_true(feed_next_passing(follower, event, data));
    assert_int_equal(strlen(data), FEED_PASSING_TEXT - 2);
    assert_int_equal(strlen(event), 23);
    feed_leave(follower);
    feed_destroy(feed);
}

enum { PUBLISHED = 2000 };

static void *publish(void *context)
{
    for (int i = 1; i <= PUBLISHED; i++) {
        feed_publish(context, i);
        feed_pass(context, "device", "{}");
    }
    return NULL;
}

static void followers_may_come_and_go_while_others_publish(void **state)
{
    struct feed *feed = feed_create();
    pthread_t thread;
    (void)state;
    assert_int_equal(pthread_create(&thread, NULL, publish, feed), 0);
    for (int i = 0; i < 500; i++) {
        char event[24], data[FEED_PASSING_TEXT];
        int woken = 0;
        struct feed_follower *follower = feed_follow(feed, count, &woken);
        (void)feed_next_passing(follower, event, data);
        feed_leave(follower); /* from here on nobody may write to `woken` */
    }
    pthread_join(thread, NULL);
    assert_int_equal(feed_last_seq(feed), PUBLISHED);
    feed_destroy(feed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_commit_wakes_every_follower_with_the_last_number),
        cmocka_unit_test(passing_things_come_once_in_order_and_only_from_now_on),
        cmocka_unit_test(who_is_slow_misses_the_oldest),
        cmocka_unit_test(an_overlong_thing_is_cut_between_characters),
        cmocka_unit_test(followers_may_come_and_go_while_others_publish),
    };
    return cmocka_run_group_tests_name("ledger/feed", tests, NULL, NULL);
}

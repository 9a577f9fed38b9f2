#include "kiosk/basics/queue.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <time.h>

#include <cmocka.h>

#include "kiosk/basics/thread.h"

static void items_come_out_in_the_order_they_went_in(void **state)
{
    (void)state;
    int numbers[5] = {0};
    void *items[5] = {NULL};
    struct queue *queue = queue_create(3);
    assert_true(queue_push(queue, &numbers[0]));
    assert_true(queue_push(queue, &numbers[1]));
    assert_int_equal(queue_pop_many(queue, items, 1, 0), 1);
    assert_ptr_equal(items[0], &numbers[0]);
    assert_true(queue_push(queue, &numbers[2]));
    assert_true(queue_push(queue, &numbers[3])); /* the ring has wrapped */
    assert_int_equal(queue_length(queue), 3);
    assert_int_equal(queue_pop_many(queue, items, 5, QUEUE_FOR_EVER), 3);
    for (int i = 0; i < 3; i++)
        assert_ptr_equal(items[i], &numbers[i + 1]);
    queue_destroy(queue);
}

static void a_full_queue_says_so_at_once(void **state)
{
    (void)state;
    int number = 0;
    struct queue *queue = queue_create(1);
    assert_true(queue_push(queue, &number));
    assert_false(queue_push(queue, &number));
    assert_int_equal(queue_length(queue), 1);
    queue_destroy(queue);
}

static void a_closed_queue_takes_nothing_and_gives_what_is_left(void **state)
{
    (void)state;
    int number = 0;
    void *items[2] = {NULL};
    struct queue *queue = queue_create(2);
    assert_true(queue_push(queue, &number));
    queue_close(queue);
    assert_false(queue_push(queue, &number));
    assert_int_equal(queue_pop_many(queue, items, 2, QUEUE_FOR_EVER), 1);
    assert_int_equal(queue_pop_many(queue, items, 2, QUEUE_FOR_EVER), 0);
    assert_true(queue_is_closed(queue));
    queue_destroy(queue);
}

static void an_empty_queue_waits_as_long_as_told(void **state)
{
    (void)state;
    void *items[1] = {NULL};
    struct timespec before = {0}, after = {0};
    struct queue *queue = queue_create(1);
    (void)clock_gettime(CLOCK_MONOTONIC, &before);
    assert_int_equal(queue_pop_many(queue, items, 1, 50), 0);
    (void)clock_gettime(CLOCK_MONOTONIC, &after);
    assert_false(queue_is_closed(queue));
    assert_true((after.tv_sec - before.tv_sec) * 1000 + (after.tv_nsec - before.tv_nsec) / 1000000 >= 49);
    queue_destroy(queue);
}

enum { PRODUCERS = 4, EACH = 2000 };

struct producer {
    struct queue *queue;
    int numbers[EACH];
};

static void produce(void *context)
{
    struct producer *producer = context;
    for (int i = 0; i < EACH; i++)
        while (!queue_push(producer->queue, &producer->numbers[i])) {
            const struct timespec pause = {0, 100000};
            (void)nanosleep(&pause, NULL);
        }
}

static void many_threads_lose_nothing_and_keep_their_own_order(void **state)
{
    (void)state;
    static struct producer producers[PRODUCERS];
    struct thread *threads[PRODUCERS] = {NULL};
    int next[PRODUCERS] = {0}, total = 0;
    struct queue *queue = queue_create(16);
    for (int i = 0; i < PRODUCERS; i++) {
        producers[i].queue = queue;
        for (int n = 0; n < EACH; n++)
            producers[i].numbers[n] = i * EACH + n;
        assert_true(thread_start("producer with a long name", produce, &producers[i], &threads[i], NULL));
    }
    while (total < PRODUCERS * EACH) {
        void *items[8] = {NULL};
        const size_t count = queue_pop_many(queue, items, 8, QUEUE_FOR_EVER);
        for (size_t i = 0; i < count; i++) {
            const int number = *(const int *)items[i];
            assert_int_equal(number % EACH, next[number / EACH]++);
        }
        total += (int)count;
    }
    for (int i = 0; i < PRODUCERS; i++)
        thread_join(threads[i]);
    assert_int_equal(queue_length(queue), 0);
    queue_destroy(queue);
}

static void close_later(void *context)
{
    const struct timespec pause = {0, 20000000};
    (void)nanosleep(&pause, NULL);
    queue_close(context);
}

static void closing_wakes_who_waits(void **state)
{
    (void)state;
    void *items[1] = {NULL};
    struct thread *thread = NULL;
    struct queue *queue = queue_create(1);
    assert_true(thread_start("closer", close_later, queue, &thread, NULL));
    assert_int_equal(queue_pop_many(queue, items, 1, QUEUE_FOR_EVER), 0);
    thread_join(thread);
    queue_destroy(queue);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(items_come_out_in_the_order_they_went_in),
        cmocka_unit_test(a_full_queue_says_so_at_once),
        cmocka_unit_test(a_closed_queue_takes_nothing_and_gives_what_is_left),
        cmocka_unit_test(an_empty_queue_waits_as_long_as_told),
        cmocka_unit_test(many_threads_lose_nothing_and_keep_their_own_order),
        cmocka_unit_test(closing_wakes_who_waits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

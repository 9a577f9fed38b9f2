#include "labels/basics/steady_sort.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Against the C library's qsort, told to keep level items in order. */

enum { MOST = 3000 };

struct item {
    int key, place;
    char rest[13]; /* an odd size */
};

static int by_key(const void *a, const void *b)
{
    const struct item *one = a, *two = b;
    return (one->key > two->key) - (one->key < two->key);
}

static int by_key_and_place(const void *a, const void *b)
{
    const struct item *one = a, *two = b;
    return by_key(a, b) ? by_key(a, b) : one->place - two->place;
}

static int by_value(const void *a, const void *b)
{
    const int one = *(const int *)a, two = *(const int *)b;
    return (one > two) - (one < two);
}

static void sorts_as_qsort_does_and_keeps_level_items_in_order(void **state)
{
    static struct item items[MOST], wanted[MOST], spare;
    static uint32_t order[MOST];
    uint64_t seed = 1964;
    (void)state;
    for (int round = 0; round < 400; round++) {
        const int count = round < 40 ? round : random_below(&seed, MOST), keys = 1 + random_below(&seed, 2 * count + 2);
        for (int i = 0; i < count; i++) {
            items[i] = (struct item){.key = random_below(&seed, keys), .place = i};
            memset(items[i].rest, i & 0x7F, sizeof items[i].rest);
        }
        memcpy(wanted, items, sizeof items);
        qsort(wanted, (size_t)count, sizeof *wanted, by_key_and_place);
        steady_sort(items, (size_t)count, sizeof *items, by_key, order, &spare);
        for (int i = 0; i < count; i++) {
            assert_int_equal(items[i].key, wanted[i].key);
            assert_int_equal(items[i].place, wanted[i].place);
            assert_memory_equal(items[i].rest, wanted[i].rest, sizeof items[i].rest);
        }
    }
}

static void sorts_many(void **state)
{
    enum { ALL = 1 << 17 };
    int *items = malloc(ALL * sizeof *items), spare = 0;
    uint32_t *order = malloc(ALL * sizeof *order);
    (void)state;
    for (int i = 0; i < ALL; i++)
        items[i] = (int)((unsigned)i * 40503U % ALL); /* odd: each value once */
    steady_sort(items, ALL, sizeof *items, by_value, order, &spare);
    for (int i = 0; i < ALL; i++)
        assert_int_equal(items[i], i);
    free(items);
    free(order);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sorts_as_qsort_does_and_keeps_level_items_in_order),
        cmocka_unit_test(sorts_many),
    };
    return cmocka_run_group_tests_name("basics/steady_sort", tests, NULL, NULL);
}

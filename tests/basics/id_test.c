#include "kiosk/basics/id.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void an_id_is_32_hex_digits(void **state)
{
    (void)state;
    char id[ID_SIZE];
    memset(id, 'x', sizeof id);
    id_make(id);
    assert_int_equal(strlen(id), 32);
    assert_int_equal(strspn(id, "0123456789abcdef"), 32);
}

static void ids_do_not_repeat(void **state)
{
    (void)state;
    enum { IDS = 500 };
    static char ids[IDS][ID_SIZE];
    for (int i = 0; i < IDS; i++) {
        id_make(ids[i]);
        for (int j = 0; j < i; j++)
            assert_string_not_equal(ids[i], ids[j]);
    }
}

static void every_bit_of_random_bytes_is_seen_set_and_unset(void **state)
{
    (void)state;
    uint8_t any[16] = {0}, all[16];
    memset(all, 0xFF, sizeof all);
    for (int i = 0; i < 200; i++) { /* one bit fails by chance in 2 of 2^200 */
        uint8_t bytes[16];
        id_random(bytes, sizeof bytes);
        for (size_t b = 0; b < sizeof bytes; b++) {
            any[b] |= bytes[b];
            all[b] &= bytes[b];
        }
    }
    for (size_t b = 0; b < sizeof any; b++) {
        assert_int_equal(any[b], 0xFF);
        assert_int_equal(all[b], 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_id_is_32_hex_digits),
        cmocka_unit_test(ids_do_not_repeat),
        cmocka_unit_test(every_bit_of_random_bytes_is_seen_set_and_unset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

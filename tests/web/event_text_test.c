#include "kiosk/web/event_text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void what_goes_in_comes_out_in_pieces_of_any_size(void **state)
{
    for (size_t most = 1; most < 40; most++) {
        struct event_text text = {0};
        char out[64] = "";
        size_t length = 0;
        assert_true(event_text_add(&text, "id: %d\n", 7));
        assert_true(event_text_add(&text, "data: %s\n\n", "{\"a\":1}"));
        while (!event_text_is_empty(&text))
            length += event_text_take(&text, out + length, most);
        assert_int_equal(length, 21);
        assert_memory_equal(out, "id: 7\ndata: {\"a\":1}\n\n", 21);
        event_text_clear(&text);
    }
    (void)state;
}

static void a_large_buffer_is_given_back_once_it_is_empty(void **state)
{
    enum { LARGE = 300000 };
    struct event_text text = {0};
    char *large = malloc(LARGE + 1), *out = malloc(LARGE);
    (void)state;
    assert_true(large && out);
    memset(large, 'x', LARGE);
    large[LARGE] = '\0';
    assert_true(event_text_add(&text, "%s", large));
    assert_int_equal(event_text_take(&text, out, LARGE - 1), LARGE - 1);
    assert_false(event_text_is_empty(&text));
    assert_true(text.size > LARGE);
    assert_int_equal(event_text_take(&text, out, LARGE), 1);
    assert_true(event_text_is_empty(&text));
    assert_int_equal(text.size, 0);
    assert_int_equal(event_text_take(&text, out, LARGE), 0);
    free(large);
    free(out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_goes_in_comes_out_in_pieces_of_any_size),
        cmocka_unit_test(a_large_buffer_is_given_back_once_it_is_empty),
    };
    return cmocka_run_group_tests_name("web/event_text", tests, NULL, NULL);
}

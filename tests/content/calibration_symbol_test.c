#include "labels/content/calibration_symbol.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* The form is our own: there is no source but the header. */

static void what_is_written_is_read(void **state)
{
    (void)state;
    for (int dots = CALIBRATION_DOTS_MIN; dots <= CALIBRATION_DOTS_MAX; dots++) {
        char text[CALIBRATION_SYMBOL_SIZE];
        struct calibration_symbol symbol = {0};
        calibration_symbol_write(&(struct calibration_symbol){203, dots, 0, 0}, text);
        assert_true(calibration_symbol_read(span_of(text), &symbol));
        assert_int_equal(symbol.dpi, 203);
        assert_int_equal(symbol.dots, dots);
    }
}

static void other_texts_are_none(void **state)
{
    static const char *const texts[] = {"",        "X",       "X203",     "X203D",     "XD4",      "Y203D4", "X203D4 ",
                                        "X203D04", "X0203D4", "X203D1",   "X203D100",  "X20000D4", "X-2D4",  "X2+3D4",
                                        "x203d4",  "X203D4D", "X203D4\n", "SV0001236", "D"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct calibration_symbol symbol = {7, 7};
        if (calibration_symbol_read(span_of(texts[i]), &symbol) || symbol.dpi != 7)
            fail_msg("'%s' was taken", texts[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_read),
        cmocka_unit_test(other_texts_are_none),
    };
    return cmocka_run_group_tests_name("content/calibration_symbol", tests, NULL, NULL);
}

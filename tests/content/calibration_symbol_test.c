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
        assert_int_equal(symbol.width_um, 0); /* a label from before symbols said its size */
    }
}

static void a_label_says_its_size_in_millimetres_or_else_in_micrometres(void **state)
{
    static const struct {
        struct calibration_symbol said;
        const char *text;
    } cases[] = {{{203, 4, 50000, 25000}, "X203D4S5025"},
                 {{300, 12, 9000, 99000}, "X300D12S0999"},
                 {{600, 4, 100000, 25000}, "X600D4S100000025000"},
                 {{203, 4, 50800, 25400}, "X203D4S050800025400"},
                 {{9999, 99, 999999, 999999}, "X9999D99S999999999999"}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[CALIBRATION_SYMBOL_SIZE];
        struct calibration_symbol symbol = {0};
        calibration_symbol_write(&cases[i].said, text);
        assert_string_equal(text, cases[i].text);
        assert_true(calibration_symbol_read(span_of(text), &symbol));
        assert_memory_equal(&symbol, &cases[i].said, sizeof symbol);
    }
}

static void other_texts_are_none(void **state)
{
    static const char *const texts[] = {"",
                                        "X",
                                        "X203",
                                        "X203D",
                                        "XD4",
                                        "Y203D4",
                                        "X203D4 ",
                                        "X203D04",
                                        "X0203D4",
                                        "X203D1",
                                        "X203D100",
                                        "X20000D4",
                                        "X-2D4",
                                        "X2+3D4",
                                        "x203d4",
                                        "X203D4D",
                                        "X203D4\n",
                                        "SV0001236",
                                        "D",
                                        "X203D4S",
                                        "X203S5025",
                                        "X203D4S502",
                                        "X203D4S50255",
                                        "X203D4S0025",
                                        "X203D4S5000",
                                        "X203D4S50+5",
                                        "X203D4S050000025000",
                                        "X203D4S50250",
                                        "X203D4S05080002540",
                                        "X203D4S000000025400",
                                        "X203D4S5025S5025",
                                        "S5025",
                                        "XDS5025"};
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
        cmocka_unit_test(a_label_says_its_size_in_millimetres_or_else_in_micrometres),
        cmocka_unit_test(other_texts_are_none),
    };
    return cmocka_run_group_tests_name("content/calibration_symbol", tests, NULL, NULL);
}

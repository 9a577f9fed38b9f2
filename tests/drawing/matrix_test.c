#include "labels/drawing/matrix.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"

static void assert_rows(const struct matrix *matrix, int side, const uint32_t *rows)
{
    assert_int_equal(matrix->rows, side);
    assert_int_equal(matrix->columns, side);
    for (int row = 0; row < side; row++)
        for (int column = 0; column < side; column++)
            if (matrix_get(matrix, row, column) != (rows[row] >> (side - 1 - column) & 1))
                fail_msg("module at row %d, column %d of %d x %d differs", row, column, side, side);
}

static void encodes_the_standards_own_figure(void **state)
{
    /* ISO/IEC 16022:2006, figure O.2: "123456" in 10 x 10 */
    static const uint32_t rows[] = {0x2AA, 0x32D, 0x304, 0x31D, 0x308, 0x20F, 0x3B0, 0x3D9, 0x274, 0x3FF};
    struct matrix matrix;
    (void)state;
    assert_true(matrix_encode(span_of("123456"), false, &matrix, NULL));
    assert_rows(&matrix, 10, rows);
}

static void encodes_the_worked_labels_module_for_module(void **state)
{
    (void)state;
    for (size_t i = 0; i < WORKED_LABELS; i++) {
        const struct worked_label *label = &worked_labels[i];
        uint8_t bytes[128];
        size_t length = 0;
        struct matrix matrix;
        struct fault fault = {0};
        assert_true(text_read_hex(span_of(label->hex), bytes, sizeof bytes, &length));
        if (!matrix_encode((struct span){(const char *)bytes, length}, false, &matrix, &fault))
            fail_msg("%s", fault.text);
        assert_rows(&matrix, label->side, label->rows);
    }
}

static void keeps_nul_and_high_bytes(void **state)
{
    static const char with_nul[] = {'A', '\0', 'B'}, with_high[] = {'A', (char)0xFF, 'B'};
    struct matrix nul, high, plain;
    (void)state;
    assert_true(matrix_encode((struct span){with_nul, 3}, false, &nul, NULL));
    assert_true(matrix_encode((struct span){with_high, 3}, false, &high, NULL));
    assert_true(matrix_encode((struct span){"A", 1}, false, &plain, NULL));
    assert_memory_not_equal(&nul, &plain, sizeof nul);
    assert_memory_not_equal(&nul, &high, sizeof nul);
}

static void encodes_gs1_element_strings_and_checks_them(void **state)
{
    /* size: 29 codewords of the label, 30 hold a 22 x 22 (ISO/IEC 16022 table 7); check digit: GS1 General
     * Specifications, 7.9 */
    struct matrix matrix = {.rows = 7};
    struct fault fault = {0};
    (void)state;
    assert_false(matrix_encode(span_of("[01]09506000134353"), true, &matrix, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_int_equal(matrix.rows, 7);
    assert_true(
        matrix_encode(span_of("[01]09506000134352[17]270131[13]260131[10]L24117[21]C004217T"), true, &matrix, &fault));
    assert_int_equal(matrix.rows, 22);
}

static void refuses_nothing_and_too_much(void **state)
{
    static char digits[MATRIX_BYTES + 1];
    struct matrix matrix;
    struct fault fault = {0};
    (void)state;
    memset(digits, '7', sizeof digits);
    assert_false(matrix_encode((struct span){digits, 0}, false, &matrix, &fault));
    assert_non_null(strstr(fault.text, "no content"));
    assert_false(matrix_encode((struct span){digits, sizeof digits}, false, &matrix, &fault));
    assert_non_null(strstr(fault.text, "3117 bytes"));
    assert_true(matrix_encode((struct span){digits, MATRIX_BYTES}, false, &matrix, &fault));
    assert_int_equal(matrix.rows, 144); /* ISO/IEC 16022 table 7: 3116 digits fill 144 x 144 */
    memset(digits, 0xE9, sizeof digits);
    assert_false(matrix_encode((struct span){digits, 1600}, false, &matrix, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(encodes_the_standards_own_figure),
        cmocka_unit_test(encodes_the_worked_labels_module_for_module),
        cmocka_unit_test(keeps_nul_and_high_bytes),
        cmocka_unit_test(encodes_gs1_element_strings_and_checks_them),
        cmocka_unit_test(refuses_nothing_and_too_much),
    };
    return cmocka_run_group_tests_name("drawing/matrix", tests, NULL, NULL);
}

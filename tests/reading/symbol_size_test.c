#include "labels/reading/symbol_size.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void codewords_fill_the_mapping_matrix_of_every_size(void **state)
{
    (void)state; /* ISO/IEC 16022:2006, Table 7 and ISO/IEC 21471:2020: mapping modules / 8 = all codewords */
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        const struct symbol_size *size = symbol_size_at(i);
        assert_int_equal(symbol_size_mapping_rows(size) * symbol_size_mapping_columns(size) / 8,
                         size->data + size->check);
        assert_int_equal(size->rows % (size->region_rows + 2), 0);
        assert_int_equal(size->columns % (size->region_columns + 2), 0);
        assert_int_equal(size->check % size->blocks, 0);
        assert_ptr_equal(symbol_size_find(size->rows, size->columns), size);
    }
}

static void data_codewords_are_those_of_the_standard(void **state)
{
    static const int squares[24] = {3,   5,   8,   12,  18,  22,  30,  36,  44,  62,   86,   114,
                                    144, 174, 204, 280, 368, 456, 576, 696, 816, 1050, 1304, 1558};
    static const int rectangles[6] = {5, 10, 16, 22, 32, 49};
    (void)state; /* ISO/IEC 16022:2006, Table 7 */
    for (size_t i = 0; i < 24; i++)
        assert_int_equal(symbol_size_at(i)->data, squares[i]);
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(symbol_size_at(24 + i)->data, rectangles[i]);
}

static void finders_have_a_solid_left_and_bottom_and_a_clock_on_top_and_right(void **state)
{
    const struct symbol_size *size = symbol_size_find(32, 32); /* four regions: finders inside, too */
    (void)state;
    assert_non_null(size);
    for (int i = 0; i < 32; i++) {
        assert_int_equal(symbol_size_finder_at(size, i, 0), 1);
        assert_int_equal(symbol_size_finder_at(size, 31, i), 1);
        assert_int_equal(symbol_size_finder_at(size, 0, i), i % 2 == 0);
        assert_int_equal(symbol_size_finder_at(size, i, 31), i % 2 == 1);
        assert_int_equal(symbol_size_finder_at(size, 15, i), 1);
        assert_int_equal(symbol_size_finder_at(size, i, 16), 1);
    }
    assert_int_equal(symbol_size_finder_at(size, 1, 1), -1);
    assert_int_equal(symbol_size_symbol_row(size, 13), 14);
    assert_int_equal(symbol_size_symbol_row(size, 14), 17);
}

static void unknown_sizes_are_not_found(void **state)
{
    (void)state;
    assert_null(symbol_size_find(11, 11));
    assert_null(symbol_size_find(18, 8));
    assert_null(symbol_size_find(0, 0));
    assert_null(symbol_size_find(-8, 32));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(codewords_fill_the_mapping_matrix_of_every_size),
        cmocka_unit_test(data_codewords_are_those_of_the_standard),
        cmocka_unit_test(finders_have_a_solid_left_and_bottom_and_a_clock_on_top_and_right),
        cmocka_unit_test(unknown_sizes_are_not_found),
    };
    return cmocka_run_group_tests_name("reading/symbol_size", tests, NULL, NULL);
}

#include "labels/drawing/dots.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void the_leftmost_dot_is_the_most_significant_bit(void **state)
{
    /* PWG 5102.4, black_1: one bit a dot, most significant first */
    struct dots dots = {0};
    (void)state;
    assert_true(dots_init(10, 2, 203, &dots, NULL));
    assert_int_equal(dots.stride, 2);
    dots.rows[0] = 0x80;
    dots.rows[3] = 0x40;
    assert_true(dots_get(&dots, 0, 0));
    assert_false(dots_get(&dots, 1, 0));
    assert_true(dots_get(&dots, 9, 1));
    assert_false(dots_get(&dots, 8, 1));
    dots_clear(&dots);
    dots_clear(&dots);
    assert_null(dots.rows);
}

static void outside_the_label_everything_is_white(void **state)
{
    struct dots dots = {0};
    (void)state;
    assert_true(dots_init(8, 1, 203, &dots, NULL));
    dots.rows[0] = 0xFF;
    assert_false(dots_get(&dots, -1, 0));
    assert_false(dots_get(&dots, 8, 0));
    assert_false(dots_get(&dots, 0, -1));
    assert_false(dots_get(&dots, 0, 1));
    dots_clear(&dots);
}

static void lengths_are_rounded_to_the_nearest_dot(void **state)
{
    /* computed with bc: 50 mm at 203 dpi is 399.606 dots, 25 mm 199.803; 0.5 mm is 3.996, which a cast makes 3 */
    (void)state;
    assert_int_equal(dots_of_um(50000, 203), 400);
    assert_int_equal(dots_of_um(25000, 203), 200);
    assert_int_equal(dots_of_um(500, 203), 4);
    assert_int_equal(dots_of_um(25400, 300), 300);
    assert_int_equal(dots_of_um(420000, 1200), 19843);
}

static void refuses_sizes_that_make_no_label(void **state)
{
    static const int sizes[][3] = {{0, 5, 203}, {5, 0, 203}, {-1, 5, 203}, {20001, 5, 203}, {5, 5, 99}, {5, 5, 1201}};
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        struct dots dots = {.width = 7};
        struct fault fault = {0};
        assert_false(dots_init(sizes[i][0], sizes[i][1], sizes[i][2], &dots, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(dots.width, 7);
    }
}

static void set(struct dots *dots, int x, int y)
{
    dots->rows[(size_t)y * dots->stride + (size_t)x / 8] |= (uint8_t)(0x80 >> (x % 8));
}

static void a_shift_moves_every_dot_by_whole_dots(void **state)
{
    struct dots dots = {0};
    struct fault fault = {0};
    (void)state;
    assert_true(dots_init(37, 11, 203, &dots, &fault));
    set(&dots, 4, 3);
    set(&dots, 30, 8);
    assert_true(dots_place(&dots, 5, -3, dots.width, dots.height, &fault));
    int black = 0;
    for (int y = 0; y < 11; y++)
        for (int x = 0; x < 37; x++)
            black += dots_get(&dots, x, y);
    assert_int_equal(black, 2);
    assert_true(dots_get(&dots, 9, 0) && dots_get(&dots, 35, 5));
    dots_clear(&dots);
}

static void a_shift_that_would_lose_ink_is_refused_and_changes_nothing(void **state)
{
    static const int moves[][2] = {{7, 0}, {-5, 0}, {0, 3}, {0, -4}, {INT16_MAX, INT16_MIN}};
    struct dots dots = {0};
    (void)state;
    assert_true(dots_init(37, 11, 203, &dots, NULL));
    set(&dots, 4, 3);
    set(&dots, 30, 8);
    for (size_t i = 0; i < sizeof moves / sizeof *moves; i++) {
        struct fault fault = {0};
        assert_false(dots_place(&dots, moves[i][0], moves[i][1], dots.width, dots.height, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_non_null(strstr(fault.text, "would lose ink"));
        assert_true(dots_get(&dots, 4, 3) && dots_get(&dots, 30, 8));
    }
    dots_clear(&dots);
}

/* Every corner, edge and shift, beside dots set one by one. */
static void a_box_blackens_and_whitens_exactly_its_dots_that_lie_on_the_label(void **state)
{
    struct dots dots = {0};
    (void)state;
    for (int x = -10; x < 22; x++)
        for (int width = 0; width < 34; width++)
            for (int black = 0; black < 2; black++) {
                assert_true(dots_init(20, 4, 203, &dots, NULL));
                dots_fill(&dots, 0, 0, 20, 4, !black);
                dots_fill(&dots, x, 1, width, 2, black);
                for (int row = 0; row < 4; row++)
                    for (int at = 0; at < 20; at++) {
                        const bool inside = at >= x && at < x + width && (row == 1 || row == 2);
                        assert_int_equal(dots_get(&dots, at, row), inside ? black : !black);
                    }
                assert_int_equal(dots.rows[2] & 0x0F, 0); /* bits past the width */
                dots_clear(&dots);
            }
}

static void a_stamp_is_put_at_any_dot_and_cut_at_the_edges(void **state)
{
    struct dots stamp = {0}, dots = {0};
    (void)state;
    assert_true(dots_init(11, 3, 203, &stamp, NULL));
    for (size_t i = 0; i < stamp.stride * 3; i++)
        stamp.rows[i] = (uint8_t)(0xB5 * (i + 1)); /* any pattern */
    for (int row = 0; row < 3; row++)
        stamp.rows[(size_t)row * stamp.stride + 1] &= 0xE0;
    for (int x = -13; x < 22; x++)
        for (int y = -4; y < 6; y++)
            for (int black = 0; black < 2; black++) {
                assert_true(dots_init(20, 5, 203, &dots, NULL));
                dots_fill(&dots, 0, 0, 20, 5, !black);
                dots_put(&dots, &stamp, x, y, black);
                for (int row = 0; row < 5; row++)
                    for (int at = 0; at < 20; at++)
                        assert_int_equal(dots_get(&dots, at, row), dots_get(&stamp, at - x, row - y) ? black : !black);
                assert_int_equal(dots.rows[2] & 0x0F, 0);
                dots_clear(&dots);
            }
    dots_clear(&stamp);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_leftmost_dot_is_the_most_significant_bit),
        cmocka_unit_test(outside_the_label_everything_is_white),
        cmocka_unit_test(lengths_are_rounded_to_the_nearest_dot),
        cmocka_unit_test(refuses_sizes_that_make_no_label),
        cmocka_unit_test(a_shift_moves_every_dot_by_whole_dots),
        cmocka_unit_test(a_shift_that_would_lose_ink_is_refused_and_changes_nothing),
        cmocka_unit_test(a_box_blackens_and_whitens_exactly_its_dots_that_lie_on_the_label),
        cmocka_unit_test(a_stamp_is_put_at_any_dot_and_cut_at_the_edges),
    };
    return cmocka_run_group_tests_name("drawing/dots", tests, NULL, NULL);
}

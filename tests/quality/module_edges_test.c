#include "labels/quality/module_edges.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Edges written down from geometry: no picture. A chequered symbol of 22 by 22 modules has an edge on every line
 * beside every module. Ink that grows by g moves each of its edges out by g / 2, and so the symbol's own sides, from
 * which the grid is laid. */
enum { SIDE = 22 };

static struct module_edges edges;

/* `push`: further shift of an edge in real modules. */
static void make_edges(double growth_x, double growth_y, double (*push)(int axis, int line, int along))
{
    for (int k = 0; k < EDGE_AXES; k++) {
        struct edge_axis *axis = &edges.axis[k];
        const double growth = k == 0 ? growth_x : growth_y;
        axis->lines = axis->length = SIDE;
        for (int line = 0; line <= SIDE; line++)
            for (int i = 0; i < SIDE; i++) {
                const int dark_before = line == 0 ? -1 : line == SIDE ? 1 : (line + i) % 2 ? 1 : -1;
                const double place = line + dark_before * growth / 2 + (push ? push(k, line, i) : 0);
                const double stretched = (place + growth / 2) * SIDE / (SIDE + growth); /* as the grid sees it */
                axis->edge[line * SYMBOL_SIDE + i] =
                    (struct module_edge){(float)(stretched - line), (int8_t)dark_before};
            }
    }
}

static double deviation(void)
{
    const double growth[EDGE_AXES] = {module_edges_growth(&edges.axis[0]), module_edges_growth(&edges.axis[1])};
    return module_edges_deviation(&edges, growth);
}

static void growth_is_found_along_each_axis_and_is_no_shift(void **state)
{
    (void)state;
    for (int tenths = -6; tenths <= 6; tenths++) {
        const double growth = tenths / 10.0;
        make_edges(growth, growth / 2, NULL);
        assert_true(fabs(module_edges_growth(&edges.axis[0]) - growth) < 1e-5);
        assert_true(fabs(module_edges_growth(&edges.axis[1]) - growth / 2) < 1e-5);
        assert_true(deviation() < 1e-5);
    }
}

static double push_one_corner(int axis, int line, int along)
{
    return line > 12 && along > 12 ? (axis == 0 ? 0.3 : -0.4) : 0;
}

static void shifted_crossings_are_found_with_their_distance(void **state)
{
    (void)state;
    make_edges(0.2, -0.1, push_one_corner);
    assert_true(fabs(deviation() - 0.5) < 0.02); /* 0.3 and 0.4 make 0.5; the growth is misjudged by a trifle */
}

static double push_few(int axis, int line, int along)
{
    return axis == 0 && line == 9 && along >= 5 && along < 8 ? 0.45 : 0; /* three of eight neighbours */
}

static void a_few_broken_edges_are_not_a_shift(void **state)
{
    (void)state;
    make_edges(0, 0, push_few);
    assert_true(deviation() < 1e-5);
}

static void without_edges_nothing_is_known(void **state)
{
    (void)state;
    make_edges(0, 0, NULL);
    for (int k = 0; k < EDGE_AXES; k++)
        for (int i = 0; i < EDGE_LINES * SYMBOL_SIDE; i++)
            edges.axis[k].edge[i].shift = NAN;
    assert_true(isnan(module_edges_growth(&edges.axis[0])));
    const double none[EDGE_AXES] = {0};
    assert_true(isnan(module_edges_deviation(&edges, none)));
}

/* The formula of ISO/IEC 15415; quotients by hand. */
static void axial_is_the_difference_over_the_mean(void **state)
{
    (void)state;
    assert_true(module_edges_axial(10, 10) == 0);
    assert_true(fabs(module_edges_axial(10.5, 9.5) - 0.1) < 1e-12);
    assert_true(fabs(module_edges_axial(9.5, 10.5) - 0.1) < 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(growth_is_found_along_each_axis_and_is_no_shift),
        cmocka_unit_test(shifted_crossings_are_found_with_their_distance),
        cmocka_unit_test(a_few_broken_edges_are_not_a_shift),
        cmocka_unit_test(without_edges_nothing_is_known),
        cmocka_unit_test(axial_is_the_difference_over_the_mean),
    };
    return cmocka_run_group_tests_name("quality/module_edges", tests, NULL, NULL);
}

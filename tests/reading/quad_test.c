#include "labels/reading/quad.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const double tilted[4][2] = {{10, 90}, {20, 12}, {95, 5}, {80, 99}};

static void maps_the_unit_square_onto_its_corners(void **state)
{
    static const double unit[4][2] = {{0, 0}, {0, 1}, {1, 1}, {1, 0}};
    struct quad quad;
    (void)state;
    assert_true(quad_make(tilted, &quad));
    for (int i = 0; i < 4; i++) {
        double x = 0, y = 0;
        quad_at(&quad, unit[i][0], unit[i][1], &x, &y);
        assert_true(fabs(x - tilted[i][0]) < 1e-9 && fabs(y - tilted[i][1]) < 1e-9);
    }
}

static void keeps_straight_lines_straight(void **state)
{
    struct quad quad;
    double x[3] = {0}, y[3] = {0};
    (void)state;
    assert_true(quad_make(tilted, &quad));
    for (int i = 0; i < 3; i++)
        quad_at(&quad, 0.1 + 0.3 * i, 0.9 - 0.2 * i, &x[i], &y[i]);
    assert_true(fabs((x[1] - x[0]) * (y[2] - y[0]) - (y[1] - y[0]) * (x[2] - x[0])) < 1e-6);
}

static void refuses_corners_that_make_no_convex_figure(void **state)
{
    static const double bow[4][2] = {{0, 0}, {10, 10}, {10, 0}, {0, 10}}, flat[4][2] = {{0, 0}, {1, 1}, {2, 2}, {3, 3}};
    const double odd[4][2] = {{0, 10}, {0, 0}, {NAN, 0}, {10, 10}};
    struct quad quad = {.map = {{7}}};
    (void)state;
    assert_false(quad_make(bow, &quad));
    assert_false(quad_make(flat, &quad));
    assert_false(quad_make(odd, &quad));
    assert_true(quad.map[0][0] == 7);
}

static void mirrors_and_scales(void **state)
{
    struct quad quad;
    double x = 0, y = 0, mx = 0, my = 0, sx = 0, sy = 0;
    (void)state;
    assert_true(quad_make(tilted, &quad));
    const struct quad mirrored = quad_mirrored(&quad), twice = quad_scaled(&quad, 2);
    quad_at(&quad, 0.3, 0.8, &x, &y);
    quad_at(&mirrored, 0.8, 0.3, &mx, &my);
    quad_at(&twice, 0.3, 0.8, &sx, &sy);
    assert_true(fabs(x - mx) < 1e-9 && fabs(y - my) < 1e-9);
    assert_true(fabs(2 * x + 0.5 - sx) < 1e-9 && fabs(2 * y + 0.5 - sy) < 1e-9); /* two pixels became one */
    assert_true(quad_make(mirrored.corners, &quad)); /* runs the other way round, and is convex all the same */
    assert_true(quad_holds(quad.corners, 50, 50) && quad_holds(mirrored.corners, 50, 50));
    assert_false(quad_holds(quad.corners, 5, 5));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(maps_the_unit_square_onto_its_corners),
        cmocka_unit_test(keeps_straight_lines_straight),
        cmocka_unit_test(refuses_corners_that_make_no_convex_figure),
        cmocka_unit_test(mirrors_and_scales),
    };
    return cmocka_run_group_tests_name("reading/quad", tests, NULL, NULL);
}

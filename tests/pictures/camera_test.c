#include "tests/pictures/camera.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "tests/pictures/exact.h"
#include "tests/pictures/kinds.h"

/* The camera against optics as textbooks have it, and its arithmetic against libm. */

static void sine_cosine_and_decay_agree_with_libm(void **state)
{
    (void)state;
    for (int i = -2000; i <= 2000; i++) {
        const double degrees = i * 0.36;
        double c = 0, s = 0;
        exact_turn(degrees, &c, &s);
        if (fabs(c - cos(degrees * M_PI / 180)) > 1e-12 || fabs(s - sin(degrees * M_PI / 180)) > 1e-12)
            fail_msg("%g degrees: %.15f, %.15f", degrees, c, s);
    }
    for (int i = 0; i <= 5000; i++)
        if (fabs(exact_decay(i / 100.0) - exp(-i / 100.0)) > 1e-12)
            fail_msg("exp(-%g): %.15f", i / 100.0, exact_decay(i / 100.0));
}

static double side_length(const struct camera_map *map, double x, double top, double bottom)
{
    double a[2], b[2];
    camera_point(map, x, top, a);
    camera_point(map, x, bottom, b);
    return hypot(a[0] - b[0], a[1] - b[1]);
}

/* Similar triangles: what is farther away by dz is smaller by focal / (focal + dz). */
static void a_tilted_panel_is_smaller_where_it_is_farther_away(void **state)
{
    const struct camera camera = {.width = 1280, .height = 720, .focal = 1000};
    const struct panel panel = {.width = 30 * PANEL_TEXELS, .height = 20 * PANEL_TEXELS};
    (void)state;
    for (int degrees = 0; degrees <= 40; degrees += 10) {
        const struct camera_pose pose = {
            .x = 639.5, .y = 359.5, .module = 10, .degrees = 0, .tilt = degrees, .tilt_towards = 0};
        const struct camera_map map = camera_aim(&camera, &panel, &pose);
        const double away = 150 * sin(degrees * M_PI / 180); /* half of the 300 pixels that it is wide */
        assert_true(fabs(side_length(&map, panel.width, 0, panel.height) - 200 * 1000 / (1000 + away)) < 1e-9);
        assert_true(fabs(side_length(&map, 0, 0, panel.height) - 200 * 1000 / (1000 - away)) < 1e-9);
        double middle[2];
        camera_point(&map, panel.width / 2.0, panel.height / 2.0, middle);
        assert_true(hypot(middle[0] - 639.5, middle[1] - 359.5) < 1e-9);
    }
}

/* A texel's pixels carry its grey; clockwise is as seen, y down. */
static void a_turned_panel_stands_where_the_map_says(void **state)
{
    struct camera camera;
    struct panel panel;
    (void)state;
    assert_true(camera_open(&camera, 400, 300, 400, 50, 1));
    assert_true(panel_create(&panel, 80, 40, 100));
    panel_box(&panel, 70, 0, 10, 10, 200); /* the upper right corner */
    const struct camera_pose pose = {.x = 200, .y = 150, .module = 2 * PANEL_TEXELS, .degrees = 90};
    const struct camera_map map = camera_aim(&camera, &panel, &pose);
    camera_draw(&camera, &panel, &map, 3);
    /* turned by a quarter, the upper right corner is on the lower right: 40 texels are 80 pixels, 80 are 160 */
    assert_int_equal(camera.pixels[(150 + 75) * 400 + 200 + 35], 200);
    assert_int_equal(camera.pixels[(150 - 75) * 400 + 200 + 35], 100);
    assert_int_equal(camera.pixels[150 * 400 + 200 + 45], 50);
    panel_clear(&panel);
    camera_close(&camera);
}

/* Variance along an axis: sigma^2 of a Gaussian, r^2 / 4 of an even disc. Weights are 256ths, so a few per cent. */
static void the_lens_spreads_a_point_as_far_as_it_says(void **state)
{
    static const double cases[][2] = {{1, 0}, {1.4, 0}, {0.7, 1.5}, {0.5, 2.5}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct camera camera;
        assert_true(camera_open(&camera, 41, 41, 40, 0, 1));
        for (int k = 0; k < 9; k++) /* nine bright points would overflow in one pixel: a 3 x 3 block */
            camera.pixels[(19 + k / 3) * 41 + 19 + k % 3] = 255;
        assert_true(camera_lens(&camera, cases[i][0], cases[i][1]));
        double sum = 0, spread = 0;
        for (int k = 0; k < 41 * 41; k++) {
            sum += camera.pixels[k];
            spread += camera.pixels[k] * (k % 41 - 20.0) * (k % 41 - 20.0);
        }
        const double variance = spread / sum - 2 / 3.0,
                     wanted = cases[i][0] * cases[i][0] + cases[i][1] * cases[i][1] / 4;
        if (fabs(sum - 9 * 255) > 60 || fabs(variance - wanted) > 0.1 * wanted + 0.05)
            fail_msg("sigma %g, disc %g: variance %.3f, not %.3f; sum %g", cases[i][0], cases[i][1], variance, wanted,
                     sum);
        camera_close(&camera);
    }
}

static void the_sensor_adds_the_noise_it_says(void **state)
{
    (void)state;
    for (int grey = 40; grey <= 200; grey += 80) {
        struct camera camera;
        assert_true(camera_open(&camera, 300, 300, 300, grey, 7));
        camera_sensor(&camera, 3, 0.05);
        double sum = 0, square = 0;
        for (int i = 0; i < 300 * 300; i++) {
            sum += camera.pixels[i] - grey;
            square += (camera.pixels[i] - grey) * (camera.pixels[i] - grey);
        }
        const double wanted = 9 + 0.05 * grey + 1 / 12.0; /* rounding to whole greys adds a twelfth */
        assert_true(fabs(sum / 90000) < 0.1);
        assert_true(fabs(square / 90000 - wanted) < 0.05 * wanted);
        camera_close(&camera);
    }
}

/* A picture is a matter of its seed alone, in every build: the numbers hold for libzint 2.11.1 (which symbol a text
 * gets) and any libjpeg-turbo so far. FNV-1a, 64 bits. */
static void a_seed_gives_the_same_picture_everywhere(void **state)
{
    static const struct {
        const char *kind;
        uint64_t digest;
    } cases[] = {{"frame", 0x37A2C3C8D15530DEULL}, {"light", 0xD054CF19FD627B7FULL}, {"text", 0x7CCFF44D9C70451EULL}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stage stage;
        assert_true(kinds_make(cases[i].kind, 1, &(struct kinds_shelf){0}, &stage));
        uint64_t digest = 0xCBF29CE484222325ULL;
        for (int k = 0; k < stage.camera.width * stage.camera.height; k++)
            digest = (digest ^ stage.camera.pixels[k]) * 0x100000001B3ULL;
        if (digest != cases[i].digest)
            fail_msg("%s 1: 0x%016llX", cases[i].kind, (unsigned long long)digest);
        stage_close(&stage);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sine_cosine_and_decay_agree_with_libm),
        cmocka_unit_test(a_tilted_panel_is_smaller_where_it_is_farther_away),
        cmocka_unit_test(a_turned_panel_stands_where_the_map_says),
        cmocka_unit_test(the_lens_spreads_a_point_as_far_as_it_says),
        cmocka_unit_test(the_sensor_adds_the_noise_it_says),
        cmocka_unit_test(a_seed_gives_the_same_picture_everywhere),
    };
    return cmocka_run_group_tests_name("pictures/camera", tests, NULL, NULL);
}

#include "labels/quality/calibration_measure.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/quality/photograph.h"
#include "tests/reading/random.h"

/* Photographs by a camera model whose truth is known: what the printer did wrong is found again. The bounds are ours
 * (a ruler read by eye is good to 0.1 mm, common practice, no source). */

static const double OFFSET_MOST = 0.1, SIZE_MOST = 0.003, TURN_MOST = 0.1;

static int create_drawer(void **state)
{
    struct fault fault = {0};
    struct drawer *drawer = drawer_create(&fault);
    *state = drawer;
    if (!drawer)
        print_error("%s\n", fault.text);
    return drawer ? 0 : -1;
}

static int destroy_drawer(void **state)
{
    drawer_destroy(*state);
    return 0;
}

static double between(uint64_t *random, double least, double most)
{
    return least + (most - least) * (random_next(random) / 4294967296.0);
}

struct worst {
    double offset, size, turn;
    double off; /* sum of squares of what is off by the error that is claimed for it */
};

static void check(const struct photograph *photo, const struct calibration_measure *measured, const char *what,
                  struct worst *worst)
{
    const struct printed_label *print = &photo->print;
    const double turn = print->turn_degrees * acos(-1) / 180, c = cos(turn), s = sin(turn);
    const double left = print->right_mm + 5 * print->size_across * c - 1.5 * print->size_down * s;
    const double top = print->down_mm + 5 * print->size_down * c + 1.5 * print->size_across * s;
    const double offset = fmax(fabs(measured->left_mm - left), fabs(measured->top_mm - top));
    const double size =
        fmax(fabs(measured->size_across - print->size_across * c), fabs(measured->size_down - print->size_down * c));
    const double off_turn = fabs(measured->turn_degrees - print->turn_degrees);
    const double errors[5][2] = {{measured->left_mm - left, measured->left_error_mm},
                                 {measured->top_mm - top, measured->top_error_mm},
                                 {measured->size_across - print->size_across * c, measured->size_across_error},
                                 {measured->size_down - print->size_down * c, measured->size_down_error},
                                 {measured->turn_degrees - print->turn_degrees, measured->turn_error_degrees}};
    for (int i = 0; i < 5; i++)
        worst->off += pow(errors[i][0] / errors[i][1], 2) / 5;
    worst->offset = fmax(worst->offset, offset);
    worst->size = fmax(worst->size, size);
    worst->turn = fmax(worst->turn, off_turn);
    if (!(offset < OFFSET_MOST && size < SIZE_MOST && off_turn < fmax(TURN_MOST, 3 * measured->turn_error_degrees)))
        fail_msg("%s: left %.3f (%.3f), top %.3f (%.3f), across %.4f (%.4f), down %.4f (%.4f), turn %.3f (%.3f)", what,
                 measured->left_mm, left, measured->top_mm, top, measured->size_across, print->size_across * c,
                 measured->size_down, print->size_down * c, measured->turn_degrees, print->turn_degrees);
}

static struct photograph by_chance(uint64_t *random, int width_um, int height_um, int dpi, double pixels_a_mm)
{
    struct photograph photo = photograph_usual();
    photo.width_um = width_um;
    photo.height_um = height_um;
    photo.dpi = dpi;
    photo.print.right_mm = between(random, -0.8, 2);
    photo.print.down_mm = between(random, -0.8, 2);
    photo.print.size_across = between(random, 0.97, 1.03);
    photo.print.size_down = between(random, 0.97, 1.03);
    photo.print.turn_degrees = between(random, -0.8, 0.8);
    photo.print.radius_mm = between(random, 0.5, 2);
    photo.print.ground = (int)between(random, 15, 90);
    photo.print.paper = (int)between(random, 190, 235);
    photo.shot = (struct printed_shot){.pixels_a_mm = pixels_a_mm,
                                       .degrees = between(random, -6, 6) + 90 * random_below(random, 4),
                                       .tilt = between(random, 0, 6),
                                       .tilt_towards = between(random, 0, 360),
                                       .blur = between(random, 0.6, 1.4),
                                       .noise = between(random, 1, 4),
                                       .light = between(random, -0.2, 0.2),
                                       .jpeg = (int)between(random, 80, 96),
                                       .seed = random_next(random)};
    const double wide = (width_um + height_um) / 1000.0 * pixels_a_mm;
    photo.shot.width = photo.shot.height = (int)(wide < 1600 ? wide * 0.95 : wide * 0.92);
    return photo;
}

static void finds(void **state, int width_um, int height_um, int dpi, double pixels_a_mm, int seeds)
{
    struct worst worst = {0};
    for (int seed = 1; seed <= seeds; seed++) {
        uint64_t random = (uint64_t)seed * 7919 + (uint64_t)dpi * 31 + (uint64_t)width_um;
        const struct photograph photo = by_chance(&random, width_um, height_um, dpi, pixels_a_mm);
        struct calibration_measure measured = {0};
        struct fault fault = {0};
        char what[80];
        snprintf(what, sizeof what, "%d x %d um, %d dpi, seed %d", width_um, height_um, dpi, seed);
        if (!photograph_measure(*state, &photo, &measured, &fault))
            fail_msg("%s: %s", what, fault.text);
        assert_int_equal(measured.dpi, dpi);
        assert_int_equal(measured.width_um, width_um);
        check(&photo, &measured, what, &worst);
    }
    const double honest = sqrt(worst.off / seeds); /* 1: the claimed errors are what is seen */
    print_message("%d x %d mm, %d dpi, %g pixels a mm: worst of %d: offset %.3f mm, size %.2f %%, turn %.3f degrees; "
                  "errors are %.1f of those claimed\n",
                  width_um / 1000, height_um / 1000, dpi, pixels_a_mm, seeds, worst.offset, worst.size * 100,
                  worst.turn, honest);
    assert_true(honest < 3);
}

static void finds_what_a_printer_of_203_dpi_did(void **state)
{
    finds(state, 50000, 25000, 203, 32, 8);
}

static void finds_what_a_printer_of_300_dpi_did(void **state)
{
    finds(state, 50000, 25000, 300, 40, 6);
}

static void finds_what_a_printer_of_600_dpi_did(void **state)
{
    finds(state, 50000, 25000, 600, 44, 4);
}

static void finds_it_on_the_smallest_label_and_on_a_larger_one(void **state)
{
    finds(state, 25000, 13000, 203, 40, 6);
    finds(state, 57000, 32000, 300, 30, 3);
    finds(state, 100000, 60000, 203, 20, 3);
}

/* What a person may have done wrong with the camera, and what is said then. */
static void refuses(void **state, const struct photograph *photo, const char *says)
{
    const struct calibration_measure before = {.dpi = 7};
    struct calibration_measure measured = before;
    struct fault fault = {0};
    if (photograph_measure(*state, photo, &measured, &fault))
        fail_msg("measured, and did not say '%s'", says);
    assert_memory_equal(&measured, &before, sizeof before);
    if (fault.code != FAULT_INPUT || !strstr(fault.text, says))
        fail_msg("'%s' does not say '%s'", fault.text, says);
}

static void a_label_that_the_picture_cuts_off_is_a_sentence(void **state)
{
    static const struct {
        double right, down;
        const char *edge;
    } cases[] = {{-330, 0, "left edge lies outside the picture"},
                 {330, 0, "right edge lies outside the picture"},
                 {0, -190, "top edge lies outside the picture"},
                 {0, 190, "bottom edge lies outside the picture"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct photograph photo = photograph_usual();
        photo.shot.right_px = cases[i].right;
        photo.shot.down_px = cases[i].down;
        refuses(state, &photo, cases[i].edge);
    }
}

static void a_ground_as_bright_as_the_label_is_a_sentence(void **state)
{
    struct photograph photo = photograph_usual();
    photo.print.ground = 235;
    refuses(state, &photo, "edge is not seen: stick or lay the label on something clearly darker");
    photo.print.ground = 185;
    refuses(state, &photo, "edge is not seen: stick or lay the label on something clearly darker");
}

static void two_labels_are_a_sentence(void **state)
{
    struct photograph photo = photograph_usual();
    photo.two = true;
    refuses(state, &photo, "more than one calibration label is in the picture");
}

/* A label of another size than the symbols say cannot be a measure; what is off by less than 5 % is taken for the
 * printer's. */
static void a_label_of_another_size_is_a_sentence(void **state)
{
    struct photograph photo = photograph_usual();
    photo.print.width_mm = 54;
    refuses(state, &photo, "off the size of a label of 50 x 25 mm");
}

static void a_picture_too_coarse_for_the_rulers_is_a_sentence(void **state)
{
    struct photograph photo = photograph_usual();
    photo.shot.pixels_a_mm = 6;
    photo.shot.blur = 1.6;
    refuses(state, &photo, "photograph it");
}

static struct reader_symbol said(const char *text)
{
    struct reader_symbol symbol = {.rows = 12, .columns = 12, .corners = {{10, 90}, {10, 10}, {90, 10}, {90, 90}}};
    symbol.length = strlen(text);
    memcpy(symbol.bytes, text, symbol.length);
    return symbol;
}

static void refuses_symbols(const struct reader_symbol *symbols, size_t count, const char *says)
{
    static const uint8_t white[100 * 100] = {200};
    const struct grey grey = {white, 100, 100, 100};
    struct calibration_measure measured;
    struct fault fault = {0};
    assert_true(calibration_measure_wanted(symbols, count));
    assert_false(calibration_measure_make(&grey, symbols, count, &measured, &fault));
    if (!strstr(fault.text, says))
        fail_msg("'%s' does not say '%s'", fault.text, says);
}

static void symbols_that_do_not_make_one_label_are_a_sentence(void **state)
{
    (void)state;
    struct reader_symbol symbols[2] = {said("X203D3"), said("X203D4")};
    refuses_symbols(symbols, 2, "none of the symbols that were read says how large the label is");
    symbols[1] = said("X300D4S5025");
    refuses_symbols(symbols, 2, "more than one");
    symbols[0] = said("X300D3S5025");
    symbols[0].rows = symbols[0].columns = symbols[1].rows = symbols[1].columns = 14;
    refuses_symbols(symbols, 2, "do not lie as on one flat calibration label");
    symbols[0].mirrored = true;
    refuses_symbols(symbols, 2, "from behind or in a mirror");
    symbols[0] = said("X300D3S5025");
    refuses_symbols(symbols, 2, "not those of this program's calibration label");
    symbols[0] = said("X300D4S1005");
    refuses_symbols(symbols, 1, "put in another roll");
    symbols[0] = said("SV0001236");
    assert_false(calibration_measure_wanted(symbols, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_what_a_printer_of_203_dpi_did),
        cmocka_unit_test(finds_what_a_printer_of_300_dpi_did),
        cmocka_unit_test(finds_what_a_printer_of_600_dpi_did),
        cmocka_unit_test(finds_it_on_the_smallest_label_and_on_a_larger_one),
        cmocka_unit_test(a_label_that_the_picture_cuts_off_is_a_sentence),
        cmocka_unit_test(a_ground_as_bright_as_the_label_is_a_sentence),
        cmocka_unit_test(two_labels_are_a_sentence),
        cmocka_unit_test(a_label_of_another_size_is_a_sentence),
        cmocka_unit_test(a_picture_too_coarse_for_the_rulers_is_a_sentence),
        cmocka_unit_test(symbols_that_do_not_make_one_label_are_a_sentence),
    };
    return cmocka_run_group_tests_name("quality/calibration_measure", tests, create_drawer, destroy_drawer);
}

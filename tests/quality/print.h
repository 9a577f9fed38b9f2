#ifndef TESTS_QUALITY_PRINT_H
#define TESTS_QUALITY_PRINT_H

#include "labels/quality/quality.h"
#include "tests/reading/scene.h"
#include "tests/reading/zint_modules.h"

/* A label printed with defects of a known size, drawn dot by dot; blur, noise and shade come from scene.h. Nothing in
 * it comes from the room under test. */
struct print {
    struct zint_modules symbol;
    double pitch_x, pitch_y; /* pixels a module */
    double growth;           /* a dark bar of one module is 1 + growth wide */
    double shear, bow;       /* modules: rows shift to the right evenly, up to `shear` at the bottom; columns bend down
                                by `bow` in the middle of the symbol */
    double degrees;          /* clockwise as seen */
    int dark, light;         /* grey of ink and paper */
    double blur, noise;      /* standard deviations: pixels, grey levels */
    bool mirrored;
    double streak_at, streak_wide; /* modules: a line without ink from top to bottom, its left edge from the symbol's;
                                      wide 0: none */
};

/* A 22x22 symbol of 10 pixels a module, ink 40 on paper 210, a little blur and noise. Fails the test when zint refuses
 * (zint_size as its option_2: 7 is 22x22). */
struct print print_fair(int zint_size);

/* Turns a module of the print over. */
void print_turn(struct print *print, int row, int column);

/* Draws and blurs; the caller clears the scene. */
void print_draw(const struct print *print, struct scene *scene);

/* Draws, reads with the project's own reader and measures. Fails the test when it is not read. */
struct quality print_measure(const struct print *print);

#endif

#ifndef TESTS_READING_SCENE_H
#define TESTS_READING_SCENE_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/picture/grey.h"
#include "labels/reading/symbol_size.h"

/* A small renderer for test pictures: white labels with a symbol and lines of made-up letters on a grey ground,
 * turned by any angle, then blurred, given noise and uneven light. Nothing in it comes from the reader under test;
 * the same seed gives the same picture. */

struct scene {
    uint8_t *pixels; /* owned; width * height */
    int width, height;
    uint64_t seed;
};

struct scene_label {
    const struct symbol_size *size;
    const uint8_t *modules; /* 1 dark */
    double pixels_a_module;
    double x, y;     /* the label's centre in pixels */
    double degrees;  /* clockwise as seen */
    double tilt;     /* 0 flat; 0.3: the far edge is 0.3 times shorter than the near one */
    int dark, light; /* grey of ink and of label */
    double quiet;    /* modules of white around the symbol; 0: three */
    bool text;       /* letters beside the symbol, on a wider label */
    bool mirrored;
};

bool scene_init(struct scene *scene, int width, int height, int ground, uint64_t seed);
void scene_clear(struct scene *scene);
struct grey scene_grey(const struct scene *scene);

/* Draws a label with anti-aliasing. corners: those of the symbol, as labels/reading/reader.h orders them. */
void scene_draw(struct scene *scene, const struct scene_label *label, double corners[4][2]);
/* Lines of letters over the whole picture: much edge, no symbol. */
void scene_fill_text(struct scene *scene, int letter_height, int dark, int light);

/* A straight line across the picture: a scratch, a strip the print head left out. */
void scene_scratch(struct scene *scene, double x, double y, double degrees, double width, int grey);

void scene_blur(struct scene *scene, double sigma);
void scene_noise(struct scene *scene, double sigma);
/* Multiplies by 1 on the left down to `factor` on the right. */
void scene_shade(struct scene *scene, double factor);
void scene_threshold(struct scene *scene, int level);

#endif

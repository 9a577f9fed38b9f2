#ifndef TESTS_PICTURES_PRINTED_LABEL_H
#define TESTS_PICTURES_PRINTED_LABEL_H

#include <stdbool.h>
#include <stdint.h>

#include "tests/pictures/camera.h"
#include "tests/pictures/panel.h"

/* A die-cut label on dark ground, with a print on it by a printer that has its faults: what a person photographs to
 * calibrate it. Nothing of it comes from what measures it. */

enum { PRINTED_TEXELS = 40 /* a millimetre */ };

struct printed_label {
    const uint8_t *black; /* a byte a dot, not 0: ink; row 0 on top */
    int columns, rows, dpi;
    double width_mm, height_mm, radius_mm; /* of the label as it is cut */
    double right_mm, down_mm;              /* where the raster's upper left corner came out, from the label's own */
    double size_across, size_down;         /* how long 1 came out */
    double turn_degrees;                   /* of the print on the label, clockwise */
    int ground, paper, ink;                /* greys */
    double around_mm;                      /* ground on all sides of the label */
};

/* The label with its ground. What is printed beyond the label is not there. */
bool printed_label_panel(const struct printed_label *label, struct panel *panel);

/* A photograph of the panel by a hand-held camera: `pixels_a_mm` in the middle; turned, tilted, lit,
 * blurred and noisy as the shot says. The caller closes the camera. */
struct printed_shot {
    double pixels_a_mm;
    double degrees, tilt, tilt_towards;
    double blur; /* standard deviation, pixels */
    double noise;
    double light;      /* share by which the right edge is lighter than the middle; the lower one by half of it */
    int jpeg;          /* quality; 0: as it comes from the sensor */
    int width, height; /* of the picture; 0: as the panel needs */
    double right_px, down_px; /* the panel's middle beside the picture's */
    uint64_t seed;
};
bool printed_label_shoot(const struct panel *panel, const struct printed_shot *shot, int ground, struct camera *camera);

#endif

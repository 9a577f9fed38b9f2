#ifndef TESTS_PICTURES_CAMERA_H
#define TESTS_PICTURES_CAMERA_H

#include <stdbool.h>
#include <stdint.h>

#include "tests/pictures/panel.h"

/* A camera by its parts, each of which can be left out: a pinhole (panels anywhere in front of it, turned and tilted),
 * the light on the room, the lens (Gaussian blur and defocus), the sensor (noise that grows with light) and JPEG.
 * Nothing of it comes from the reader under test. The same calls with the same seed give the same pixels on every
 * machine: no libm function but sqrt, which IEEE 754 fixes, is used (exact.h); JPEG is libjpeg-turbo's accurate
 * integer transform, the same since its version 1.0 as far as its authors say. */

struct camera {
    uint8_t *pixels; /* owned; width * height, row 0 on top, pixel centres at whole coordinates */
    int width, height;
    double focal; /* pixels; the optical axis meets the middle of the picture */
    uint64_t random;
};

bool camera_open(struct camera *camera, int width, int height, double focal, int grey, uint64_t seed);
void camera_close(struct camera *camera);

/* Where a panel is: its middle shows at (x, y), a module there is `module` pixels were it not tilted. */
struct camera_pose {
    double x, y, module;
    double degrees;      /* turned in its plane, clockwise as seen */
    double tilt;         /* degrees its plane is tilted from the sensor's */
    double tilt_towards; /* degrees clockwise from the right: the side that is farthest away */
};

/* Texels to pixels: pixel = map * (texel x, texel y, 1), divided by its third part. */
struct camera_map {
    double at[3][3];
};
struct camera_map camera_aim(const struct camera *camera, const struct panel *panel, const struct camera_pose *pose);
void camera_point(const struct camera_map *map, double x, double y, double point[2]);

/* `samples` a pixel each way. */
void camera_draw(struct camera *camera, const struct panel *panel, const struct camera_map *map, int samples);
/* A thick line: a cable, a scratch. */
void camera_stroke(struct camera *camera, const double from[2], const double to[2], double width, int grey);

/* The light's share that arrives at the picture's left, right, top and bottom edge beyond that of the middle (1 adds
 * as much again, -0.5 takes half), and a soft-edged shadow: a line through a point with an angle, dark on its right. */
struct camera_light {
    double right, down, corner; /* corner: falls off with the square of the distance from the middle */
    double shadow;              /* share taken away; 0: none */
    double shadow_x, shadow_y, shadow_degrees, shadow_width;
};
bool camera_light(struct camera *camera, const struct camera_light *light);

/* gaussian: standard deviation in pixels; defocus: radius of the disc in pixels; together at most 6 pixels. */
bool camera_lens(struct camera *camera, double gaussian, double defocus);
/* read: standard deviation of noise in the dark, grey levels; shot: what each grey level adds to the variance. */
void camera_sensor(struct camera *camera, double read, double shot);
bool camera_jpeg(struct camera *camera, int quality);

#endif

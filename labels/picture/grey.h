#ifndef LABELS_PICTURE_GREY_H
#define LABELS_PICTURE_GREY_H

#include <stddef.h>
#include <stdint.h>

/* An 8-bit grey picture, borrowed: 0 black, 255 white; row 0 on top; pixel (x, y) is pixels[y * stride + x].
 * stride >= width, in bytes. Pixel centres lie at whole coordinates. */
struct grey {
    const uint8_t *pixels;
    int width, height;
    size_t stride;
};

#endif

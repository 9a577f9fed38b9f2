#ifndef LABELS_READING_GREY_AT_H
#define LABELS_READING_GREY_AT_H

#include "labels/picture/grey.h"

/* Grey between pixels, bilinear; beyond the edge the nearest pixel. */
static inline double grey_at(const struct grey *picture, double x, double y)
{
    const double right = picture->width - 1, bottom = picture->height - 1;
    x = x > 0 ? (x < right ? x : right) : 0; /* this order sends NaN to 0 */
    y = y > 0 ? (y < bottom ? y : bottom) : 0;
    const int ix = (int)x, iy = (int)y, jx = ix < right ? ix + 1 : ix, jy = iy < bottom ? iy + 1 : iy;
    const double fx = x - ix, fy = y - iy;
    const uint8_t *above = picture->pixels + (size_t)iy * picture->stride;
    const uint8_t *below = picture->pixels + (size_t)jy * picture->stride;
    return (above[ix] * (1 - fx) + above[jx] * fx) * (1 - fy) + (below[ix] * (1 - fx) + below[jx] * fx) * fy;
}

#endif

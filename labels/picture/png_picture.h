#ifndef LABELS_PICTURE_PNG_PICTURE_H
#define LABELS_PICTURE_PNG_PICTURE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/picture/picture.h"

/* PNG of any depth, palette, interlaced, to grey; alpha is laid on white. libpng's simplified interface is used: it
 * catches its own errors, so that no longjmp crosses our code. Wrong check sums (CRC) are refused. */
bool png_picture_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
                      struct fault *fault);

#endif

#ifndef LABELS_PICTURE_PGM_H
#define LABELS_PICTURE_PGM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/picture/picture.h"

/* Portable grey maps: P2 (text) and P5 (binary), greatest value 1 to 65535 (two bytes a pixel, high byte first,
 * above 255), comments from '#' to the end of the line in the header. Source: netpbm's pgm(5). Bytes after the
 * first picture are ignored. */
bool pgm_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
              struct fault *fault);

#endif

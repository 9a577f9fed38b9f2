#ifndef LABELS_PICTURE_PICTURE_H
#define LABELS_PICTURE_PICTURE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"

/* Picture files to grey: JPEG, PNG (any depth, alpha on white), PGM (P2 and P5, 8 and 16 bit). The format is told
 * from the first bytes, never from a name. Limits are checked on the header, before a pixel is decoded, so that a
 * small file cannot ask for much memory. JPEG orientation in EXIF is ignored: a symbol reads in any rotation, and
 * corners are in the picture's own coordinates. */

struct picture_limits {
    size_t file_bytes; /* longest file taken */
    int side;          /* longest width or height */
    int64_t pixels;    /* largest width * height */
};

/* 32 MiB, 16 384, 64 million: more than any phone's picture of a shelf needs. */
extern const struct picture_limits picture_default_limits;

struct picture {
    struct grey grey; /* points into `memory` */
    uint8_t *memory;  /* owned; freed by picture_clear */
};

/* False: `*picture` untouched, FAULT_INPUT with what is wrong and what to do. The caller clears what it got. */
bool picture_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
                  struct fault *fault);
void picture_clear(struct picture *picture); /* accepts a zeroed one, and twice */

#endif

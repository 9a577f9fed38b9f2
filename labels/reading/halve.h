#ifndef LABELS_READING_HALVE_H
#define LABELS_READING_HALVE_H

#include "labels/reading/mask.h"

/* The picture in half its width and height: each pixel the mean of four, rounded up twice, as the vector instructions
 * round. `memory`: (width / 2) * (height / 2) bytes of the caller's. `way` must run here; all give the same bytes. */
struct grey halve(const struct grey *picture, enum mask_way way, uint8_t *memory);

#endif

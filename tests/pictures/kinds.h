#ifndef TESTS_PICTURES_KINDS_H
#define TESTS_PICTURES_KINDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "tests/pictures/stage.h"

/* Kinds of pictures, each from a seed: what the reader meets in the print room (shelf, frame), what it must keep
 * silent about (empty, text, page, noise), and one difficulty at a time. What each kind varies is said at its maker. */

enum { KINDS = 17 };
const char *kinds_name(int kind); /* "shelf", ...; NULL beyond the last */

/* What else than the kind's own, 0 each: as the kind has it. */
struct kinds_shelf {
    int width, height; /* of any kind */
    int labels;        /* of shelf (12 to 60 by the seed) and many (200); as many as find a place; -1: none */
};

/* The caller closes the stage, also after a failure. False: no such kind, or no memory. */
bool kinds_make(const char *name, uint64_t seed, const struct kinds_shelf *shelf, struct stage *stage);

#endif

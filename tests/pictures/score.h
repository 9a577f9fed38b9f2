#ifndef TESTS_PICTURES_SCORE_H
#define TESTS_PICTURES_SCORE_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/reading/reader.h"
#include "tests/pictures/stage.h"

/* What the reader found, against the truth. */

struct score {
    int pictures, symbols;
    int found; /* symbols of the truth read with their bytes and size, every corner within a module */
    int wrong; /* symbols reported that are not there, or say something else */
    int off;   /* read, but a corner is farther away, or mirrored or inverted is not so: not among the found */
};

/* Adds one picture. missed: NULL, or a byte a symbol of the stage, set to 1 where it was not found. */
void score_add(struct score *score, const struct stage *stage, const struct reader_result *result,
               unsigned char *missed);

#endif

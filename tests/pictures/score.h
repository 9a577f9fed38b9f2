#ifndef TESTS_PICTURES_SCORE_H
#define TESTS_PICTURES_SCORE_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/reading/reader.h"
#include "tests/pictures/stage.h"

/* What the reader found, against the truth. */

struct score {
    int pictures, symbols;
    int found; /* symbols of the truth whose bytes and size were read where they are */
    int wrong; /* symbols reported that are not there, or say something else */
    int off;   /* found with a corner more than a module away, a wrong mirrored or inverted */
};

/* Adds one picture. missed: NULL, or a byte a symbol of the stage, set to 1 where it was not found. */
void score_add(struct score *score, const struct stage *stage, const struct reader_result *result,
               unsigned char *missed);

#endif

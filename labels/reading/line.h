#ifndef LABELS_READING_LINE_H
#define LABELS_READING_LINE_H

#include <stdbool.h>

/* A straight line in pixels. */
struct line {
    double at[2], along[2]; /* a point of it; its direction, of length 1 */
};

/* Where two lines cross. False: at less than some 17 degrees, where a small error of theirs is a large one of it. */
bool line_meet(const struct line *a, const struct line *b, double out[2]);

#endif

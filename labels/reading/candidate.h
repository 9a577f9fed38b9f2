#ifndef LABELS_READING_CANDIDATE_H
#define LABELS_READING_CANDIDATE_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/picture/grey.h"
#include "labels/reading/explain.h"
#include "labels/reading/reader.h"
#include "labels/reading/track.h"

/* A place that looks like a symbol, tried until it reads or does not: sizes that fit its clock tracks, the grid fitted
 * to the grey picture, upright and mirrored, three ways to tell dark from light. What is taken for
 * a symbol is module_matrix_accept's to say. */

/* What a picture has cost so far, and the chance of a false read that it may still be run (reed_solomon.h). */
struct effort {
    int64_t steps;
    double risk;
    const struct explain *explain; /* told of each size and grid; NULL: nobody */
};

/* The place of a symbol that was read, as its corners and `mirrored` tell; false when they make no figure. */
bool candidate_place(const struct reader_symbol *symbol, struct quad *quad);

/* `picture` in full size; `track` in its pixels. True: every field of `symbol` is set. */
bool candidate_read(const struct grey *picture, const struct track *track, struct reader_symbol *symbol,
                    struct effort *effort);

#endif

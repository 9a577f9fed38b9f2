#ifndef LABELS_DRAWING_HAZARD_SIZE_H
#define LABELS_DRAWING_HAZARD_SIZE_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* How large a hazard label, its pictograms and its letters must be, by the package's capacity. Sources: Regulation
 * (EC) No 1272/2008 (CLP), Annex I, 1.2.1, table 1.3 (label, pictogram; 1/15 of the least label's area and 1 cm2 at
 * least), and Regulation (EU) 2024/2865 (least height of a small x; lines at 120 % of the letters' size or more).
 * Pure. Micrometres. */

struct hazard_size {
    const char *words;   /* "over 3 to 50 l" */
    int64_t capacity_ml; /* up to and including; INT64_MAX: any */
    bool if_possible;    /* the table lets a label be smaller where this one cannot be stuck on */
    int width, height;   /* of the label, either way round */
    int side;            /* of a pictogram, measured on the diamond */
    int side_least;      /* where the label is smaller */
    int x_height;        /* of the letters */
};

enum { HAZARD_SIZES = 5, HAZARD_PITCH_PERCENT = 120 };
extern const struct hazard_size hazard_sizes[HAZARD_SIZES];

/* The table's line for a package. */
const struct hazard_size *hazard_size_of(int64_t capacity_ml);

/* Is a label of width x height large enough? `small`: the shop has said that the table's label does not fit the
 * container. FAULT_INPUT says which line of the table asks for more. */
bool hazard_size_check_label(const struct hazard_size *size, int width, int height, bool small, struct fault *fault);

/* The least side of a pictogram on such a label: the table's, and never under 1/15 of the area. */
int hazard_size_side(const struct hazard_size *size, int width, int height);

#endif

#ifndef LABELS_QUALITY_CALIBRATION_MEASURE_H
#define LABELS_QUALITY_CALIBRATION_MEASURE_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"
#include "labels/reading/reader.h"

/* A photograph of a calibration label -> where its print came out on the label, and how large. The label is the
 * measure: its symbols say its size, its four edges in the picture are that size apart. Rulers and corner marks are
 * then found in its millimetres, and one straight map is drawn through all of them. What a bent lens, a label that is
 * not cut to its size, or a label that is not flat do to it is only seen as far as lines and map then disagree. */

struct calibration_measure {
    int dpi, width_um, height_um;  /* as the label's symbols say */
    double left_mm, top_mm;        /* from the label's edge to line 5 of the upper and of the left ruler */
    double size_across, size_down; /* how long 1 came out, across and down */
    double turn_degrees;           /* of the print on the label, clockwise */
    /* Standard errors from the scatter of this picture's lines and edges; nothing else is in them. */
    double left_error_mm, top_error_mm, size_across_error, size_down_error, turn_error_degrees;
    double scatter_mm;               /* standard deviation of the lines about the map */
    int lines;                       /* that it goes by */
    int stretch_mm, stretch_down_mm; /* of the rulers: from line 5 to the other long line; 0: there is none */
};

/* Is one of them a symbol of a calibration label? */
bool calibration_measure_wanted(const struct reader_symbol *symbols, size_t count);

/* `symbols` as they were read from `picture`. Bounded: about a million looks at the picture, whatever its size. False:
 * `*measured` untouched, and FAULT_INPUT says what hides the label or the print from the camera; FAULT_STORAGE. */
bool calibration_measure_make(const struct grey *picture, const struct reader_symbol *symbols, size_t count,
                              struct calibration_measure *measured, struct fault *fault);

#endif

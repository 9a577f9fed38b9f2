#ifndef LABELS_DRAWING_CALIBRATION_PLAN_H
#define LABELS_DRAWING_CALIBRATION_PLAN_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/drawing/layout.h"

/* Where everything stands on the calibration label: what a label printer is measured by (docs/calibration.md). Rulers
 * in millimetres along the top and the left edge, counted from the label's own edges; a mark in each corner; an arrow
 * to the edge that should come out first; and symbols of 2 dots a module and more, each with its size beside it. Pure.
 * The same label always has the same plan: whoever knows its size and resolution knows where each line of it is.
 */

enum {
    CALIBRATION_MARGIN_UM = 1000, /* what every printer can print: nothing stands nearer to an edge */
    CALIBRATION_FROM_MM = 5,      /* the first line of both rulers */
    CALIBRATION_STRETCH_MM = 40,  /* from that line to the other long line, at most */
    CALIBRATION_BOXES = 256,
    CALIBRATION_TEXTS = 48,
    CALIBRATION_SYMBOLS = 16,
    CALIBRATION_WIDTH_UM_MIN = 25000,
    CALIBRATION_HEIGHT_UM_MIN = 13000,
    CALIBRATION_RULER_MM_MAX = 100, /* longer labels have a ruler on their first part only */
    CALIBRATION_MODULE_UM_MAX = 760 /* larger symbols tell nothing more */
};

struct calibration_text {
    int x, y; /* dots; left end of the baseline */
    char text[16];
};

struct calibration_module {
    struct layout_box ink; /* modules only; LAYOUT_QUIET modules of white around it */
    int dots;              /* a module */
    bool says_size;        /* of the label; where there is no room for the larger symbol, it does not */
    struct matrix matrix;
};

/* About 50 KiB; plain data, all lengths in dots unless said. */
struct calibration_plan {
    int width, height, dpi;
    int width_um, height_um; /* of the label */
    int stretch_mm;          /* between line 5 and the other long line of the upper ruler */
    int stretch_down_mm;     /* likewise of the left one; 0: it is too short to have another */
    int letters;             /* height of capitals */
    struct layout_box arrow;
    size_t box_count, text_count, symbol_count;
    struct layout_box boxes[CALIBRATION_BOXES]; /* the lines of both rulers, then the arms of the corner marks */
    struct calibration_text texts[CALIBRATION_TEXTS];
    struct calibration_module symbols[CALIBRATION_SYMBOLS]; /* smallest module first */
};

/* FAULT_INPUT: a label too small for it, or a resolution outside the limits; `*plan` then holds nothing of use. */
bool calibration_plan_make(int width_um, int height_um, int dpi, struct calibration_plan *plan, struct fault *fault);

#endif

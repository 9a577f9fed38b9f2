#ifndef LABELS_DRAWING_HAZARD_LAYOUT_H
#define LABELS_DRAWING_HAZARD_LAYOUT_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/drawing/hazard_parts.h"
#include "labels/drawing/hazard_size.h"
#include "labels/drawing/layout_box.h"
#include "labels/drawing/letters.h"
#include "labels/drawing/pitch.h"

/* A hazard part in whole dots: the pictograms, as large as the size table asks, and the text in lines beside or below
 * them. Every rounding goes upwards, so that no size falls under the table's. */

enum { HAZARD_LINES = 96, HAZARD_TOKENS = 640 };

struct hazard_mark {
    int pictogram; /* 1 for GHS01 to 9 */
    int x, y;      /* centre */
};

struct hazard_line {
    struct span text; /* points into the parts */
    bool bold;
    int x, baseline; /* where it starts */
    struct layout_box ink;
};

struct hazard_layout {
    bool made;                     /* holds a layout, */
    struct hazard_element element; /* … made for this, */
    struct layout_box room;
    int label_width, label_height;
    struct pitch dots;
    struct hazard_parts parts;      /* … and these words */
    const struct hazard_size *size; /* the table's line */
    bool frames;                    /* to be drawn: not pre-printed */
    int half;                       /* half a diamond's diagonal */
    struct hazard_mark marks[HAZARD_PICTOGRAMS];
    size_t mark_count;
    int letters, x_height, pitch; /* capitals, the small x, from line to line */
    struct hazard_line lines[HAZARD_LINES];
    size_t line_count;
};

/* What a hazard part has: its template's say, its room, the label and the printer. */
struct hazard_place {
    const struct hazard_element *element;
    struct layout_box room;        /* dots */
    int label_width, label_height; /* micrometres */
    struct pitch pitch;
};

/* A delivery's labels all say the same: what `layout` holds already (zeroed: nothing) is left as it is when words, room
 * and template are those it was made for.
 * False: FAULT_INPUT as hazard_parts_read, and: the label, the pre-printed diamonds or the room are too small, with the
 * line of the table that asks for more; more or fewer pictograms than pre-printed diamonds; a character no font has. */
bool hazard_layout_make(struct letters *letters, const struct hazard_place *place, const struct label_values *values,
                        struct hazard_layout *layout, struct fault *fault);

#endif

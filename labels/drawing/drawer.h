#ifndef LABELS_DRAWING_DRAWER_H
#define LABELS_DRAWING_DRAWER_H

#include "labels/drawing/layout.h"
#include "labels/drawing/letters.h"
#include "labels/drawing/stamps.h"

/* What a drawer holds. Inside this room; others see it as opaque (labels/drawing/label.h). */
struct drawer {
    struct letters letters;
    struct stamps stamps;
    struct layout layout; /* of the label in hand */
};

#endif

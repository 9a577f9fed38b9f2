#ifndef LABELS_DRAWING_LAYOUT_BOX_H
#define LABELS_DRAWING_LAYOUT_BOX_H

/* A rectangle of whole dots. */
struct layout_box {
    int x, y, width, height; /* dots, from the upper left corner */
};

#endif

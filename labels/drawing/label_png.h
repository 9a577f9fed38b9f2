#ifndef LABELS_DRAWING_LABEL_PNG_H
#define LABELS_DRAWING_LABEL_PNG_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/drawing/dots.h"

/* Dots as a PNG: 1-bit grey, black 0, with the resolution in its pHYs chunk so that it prints at its true size.
 * `file` is an open descriptor (a memfd will do), written from where it stands and left open. FAULT_STORAGE: it cannot
 * be written; a part may have been. A pipe whose reader has gone raises SIGPIPE unless the program ignores it. */
bool label_png_write(int file, const struct dots *dots, struct fault *fault);

#endif

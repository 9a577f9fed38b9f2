#ifndef LABELS_DRAWING_LABEL_PWG_H
#define LABELS_DRAWING_LABEL_PWG_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/drawing/dots.h"

/* Dots as PWG raster, black_1, for a label printer or its CUPS queue (PWG 5102.4). No scaling anywhere. */

enum { LABEL_PWG_NAME_SIZE = 64, LABEL_PWG_COPIES = 100 };

struct label_pwg_media {
    const char *name;        /* PWG 5101.1 self-describing, "oe_shelf-label_50x25mm"; under LABEL_PWG_NAME_SIZE bytes */
    int width_um, height_um; /* exact size, micrometres */
};

/* `copies` pages, each the same. `file` is an open descriptor, written from where it stands and left open.
 * False: FAULT_INPUT when the dots are not the media's size to within a dot (the printer would cut or scale), the name
 * or the copies make no sense; FAULT_STORAGE when it cannot be written; a part may have been.
 * A printer prints a document that breaks off: prove a label by scanning it, not by having sent it. */
bool label_pwg_write(int file, const struct dots *dots, const struct label_pwg_media *media, int copies,
                     struct fault *fault);

#endif

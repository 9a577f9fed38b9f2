#ifndef LABELS_DRAWING_LABEL_PDF_H
#define LABELS_DRAWING_LABEL_PDF_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/drawing/label.h"

/* A label or sheet as a one-page PDF of its exact millimetres, in outlines, fonts embedded; for office printers and
 * for the eye. Never for a label printer: drivers turn a PDF's modules into a dither. The layout is that of `dpi`
 * dots, so what is seen here is what label_draw makes at that resolution.
 * `file` is an open descriptor, written from where it stands and left open. Faults as label_draw, and FAULT_STORAGE
 * when it cannot be written; a part may have been. */
bool label_pdf_write(int file, struct drawer *drawer, const struct template *template, const struct label_field *fields,
                     size_t field_count, int dpi, struct fault *fault);

#endif

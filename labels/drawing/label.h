#ifndef LABELS_DRAWING_LABEL_H
#define LABELS_DRAWING_LABEL_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/drawing/dots.h"
#include "labels/drawing/label_field.h"
#include "labels/drawing/layout.h"
#include "labels/drawing/pitch.h"
#include "labels/drawing/template.h"

/* A template and fields -> a label. Modules are whole dots, never scaled; text shrinks to the template's floor and is
 * then refused by its field's name, never clipped.
 *
 * A drawer holds fonts and working memory (some 50 MB with the large scripts loaded): one a thread, kept for many
 * labels. The first label takes tens of milliseconds for the fonts, the next ones a fraction of one. */

struct drawer;

/* NULL with `fault` set: FAULT_MISSING when the fonts are not installed, FAULT_STORAGE without memory. */
struct drawer *drawer_create(struct fault *fault);
void drawer_destroy(struct drawer *drawer); /* accepts NULL */

/* Draws `template` at its own size: width and height are the millimetres times dpi / 25.4, to the nearest dot. Known
 * fields that the template does not use are ignored, but for `sample`, which must appear. The caller clears `*dots`.
 * False: FAULT_INPUT names the field or the template's line (see layout_make); `*dots` untouched. */
bool label_draw(struct drawer *drawer, const struct template *template, const struct label_field *fields,
                size_t field_count, int dpi, struct dots *dots, struct fault *fault);

/* The same for a printer whose dots are not as far apart as its resolution says: with the dots of `pitch` on paper, the
 * template's millimetres come out. `*dots` has as many as the label has on paper, which may be more or fewer than the
 * raster of its media: dots_place puts it there. */
bool label_draw_for(struct drawer *drawer, const struct template *template, const struct label_field *fields,
                    size_t field_count, const struct pitch *pitch, struct dots *dots, struct fault *fault);

/* Where everything stands, without drawing. Borrowed from the drawer until its next use; NULL with `fault` set. */
const struct layout *label_layout(struct drawer *drawer, const struct template *template,
                                  const struct label_field *fields, size_t field_count, int dpi, struct fault *fault);

#endif

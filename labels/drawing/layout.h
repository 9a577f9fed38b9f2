#ifndef LABELS_DRAWING_LAYOUT_H
#define LABELS_DRAWING_LAYOUT_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/drawing/hazard_layout.h"
#include "labels/drawing/label_field.h"
#include "labels/drawing/layout_box.h"
#include "labels/drawing/letters.h"
#include "labels/drawing/matrix.h"
#include "labels/drawing/pitch.h"
#include "labels/drawing/template.h"

/* A template with its fields filled, in whole dots: where each thing stands, before anything is drawn. What follows
 * (dots, PDF) only paints it, so all of them agree. */

enum { LAYOUT_QUIET = 2 }; /* modules of white kept on all sides; ISO/IEC 16022 asks for 1 */

struct layout_piece {
    const struct template_element *element; /* borrowed from the template */
    struct layout_box room;                 /* what the piece has to itself; a line, a frame: its outline */
    struct layout_box ink;                  /* what it blackens (text: in either colour), inside the room */
    char text[LABEL_FIELD_TEXT_SIZE];       /* text: filled */
    int letters;                            /* text: height of capitals, dots */
    int baseline_x, baseline_y;             /* text */
    int module;                             /* symbol: dots a module; ink is modules only, quiet zone outside it */
    const struct matrix *matrix;            /* symbol: points into the layout */
    int thick;                              /* frame: dots */
    const struct hazard_layout *hazard;     /* hazard: points into the layout */
};

/* About 140 KiB: keep it off the stack. */
struct layout {
    int width, height; /* dots; of the label as it is on paper */
    struct pitch pitch;
    size_t piece_count, matrix_count;
    struct layout_piece pieces[TEMPLATE_ELEMENTS];
    struct matrix matrices[TEMPLATE_SYMBOLS];
    struct hazard_layout hazard;
};

/* Lays out. The template must outlive the layout. False: FAULT_INPUT names the field that is missing, does not fit at
 * the template's smallest letters, holds a character that no font has, or makes the symbol larger than its room;
 * `*layout` then holds nothing of use. */
bool layout_make(struct letters *letters, const struct template *template, const struct label_values *values,
                 const struct pitch *pitch, struct layout *layout, struct fault *fault);

/* Where a symbol of so many modules stands in its element's room, by the rule that layout_make follows: its ink, and
 * dots a module. False: it does not fit. */
bool layout_symbol_place(const struct template_element *element, int modules, const struct pitch *pitch,
                         struct layout_box *ink, int *module);

#endif

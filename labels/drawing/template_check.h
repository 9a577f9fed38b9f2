#ifndef LABELS_DRAWING_TEMPLATE_CHECK_H
#define LABELS_DRAWING_TEMPLATE_CHECK_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/drawing/template.h"
#include "labels/drawing/words.h"

/* What must hold of a template while it is read, line by line. Inside this room. */

/* UTF-8 without control characters but tab and a closing CR, and without characters that nobody sees?
 * Places are counted in characters from 1. */
bool template_check_bytes(const struct words *words, struct fault *fault);

/* The stock's pre-printed diamonds of a hazard part lie inside its room. */
bool template_check_diamonds(const struct template_element *element, const struct words *words, struct fault *fault);

/* The newest element lies inside the margin, has room for the least it must hold, and overlaps none before it that can
 * be there at the same time. */
bool template_check_element(const struct template *template, const struct words *words, struct fault *fault);

#endif

#ifndef LABELS_DRAWING_TEMPLATE_FIELDS_H
#define LABELS_DRAWING_TEMPLATE_FIELDS_H

#include "labels/drawing/template.h"

/* Which fields a template asks for, in its texts, its cards and its symbols: for whoever fills in a label. A bit an
 * enum label_field_id. Pure. */

struct template_fields {
    unsigned needs; /* without it no label can be drawn */
    unsigned takes; /* besides: there is a place for it when it is given */
};

struct template_fields template_fields_of(const struct template *template);

#endif

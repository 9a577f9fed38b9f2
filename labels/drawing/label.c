#include "labels/drawing/label.h"

#include <stdlib.h>
#include <string.h>

#include "labels/drawing/drawer.h"
#include "labels/drawing/paint.h"

struct drawer *drawer_create(struct fault *fault)
{
    struct drawer *drawer = calloc(1, sizeof *drawer);
    if (!drawer) {
        fault_set(fault, FAULT_STORAGE, "no memory for a drawer of labels");
        return NULL;
    }
    if (!letters_init(&drawer->letters, fault) || !stamps_init(&drawer->stamps, fault)) {
        drawer_destroy(drawer);
        return NULL;
    }
    return drawer;
}

void drawer_destroy(struct drawer *drawer)
{
    if (!drawer)
        return;
    stamps_clear(&drawer->stamps);
    letters_clear(&drawer->letters);
    free(drawer);
}

static const struct layout *lay_out(struct drawer *drawer, const struct template *template,
                                    const struct label_field *fields, size_t field_count, const struct pitch *pitch,
                                    struct fault *fault)
{
    struct label_values values;
    if (!label_field_read(fields, field_count, &values, fault) ||
        !layout_make(&drawer->letters, template, &values, pitch, &drawer->layout, fault))
        return NULL;
    return &drawer->layout;
}

const struct layout *label_layout(struct drawer *drawer, const struct template *template,
                                  const struct label_field *fields, size_t field_count, int dpi, struct fault *fault)
{
    const struct pitch pitch = pitch_nominal(dpi);
    return lay_out(drawer, template, fields, field_count, &pitch, fault);
}

bool label_draw_for(struct drawer *drawer, const struct template *template, const struct label_field *fields,
                    size_t field_count, const struct pitch *pitch, struct dots *dots, struct fault *fault)
{
    const struct layout *layout = lay_out(drawer, template, fields, field_count, pitch, fault);
    struct dots drawn = {0};
    if (!layout || !dots_init(layout->width, layout->height, pitch->dpi, &drawn, fault))
        return false;
    struct canvas canvas = {.dots = &drawn, .stamps = &drawer->stamps};
    paint_layout(&canvas, &drawer->letters, layout);
    if (canvas.failed) {
        dots_clear(&drawn);
        return fault_set(fault, FAULT_STORAGE, "no memory to draw a label: end other programs");
    }
    *dots = drawn;
    return true;
}

bool label_draw(struct drawer *drawer, const struct template *template, const struct label_field *fields,
                size_t field_count, int dpi, struct dots *dots, struct fault *fault)
{
    const struct pitch pitch = pitch_nominal(dpi);
    return label_draw_for(drawer, template, fields, field_count, &pitch, dots, fault);
}

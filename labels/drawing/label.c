#include "labels/drawing/label.h"

#include <stdlib.h>
#include <string.h>

#include <cairo.h>

#include "labels/drawing/drawer.h"
#include "labels/drawing/paint.h"

struct drawer *drawer_create(struct fault *fault)
{
    struct drawer *drawer = calloc(1, sizeof *drawer);
    if (!drawer) {
        fault_set(fault, FAULT_STORAGE, "no memory for a drawer of labels");
        return NULL;
    }
    if (!letters_init(&drawer->letters, fault)) {
        free(drawer);
        return NULL;
    }
    return drawer;
}

void drawer_destroy(struct drawer *drawer)
{
    if (!drawer)
        return;
    letters_clear(&drawer->letters);
    free(drawer);
}

const struct layout *label_layout(struct drawer *drawer, const struct template *template,
                                  const struct label_field *fields, size_t field_count, int dpi, struct fault *fault)
{
    struct label_values values;
    if (!label_field_read(fields, field_count, &values, fault) ||
        !layout_make(&drawer->letters, template, &values, dpi, &drawer->layout, fault))
        return NULL;
    return &drawer->layout;
}

static uint8_t reversed(uint8_t byte)
{
    byte = (uint8_t)((byte & 0x0F) << 4 | byte >> 4);
    byte = (uint8_t)((byte & 0x33) << 2 | (byte >> 2 & 0x33));
    return (uint8_t)((byte & 0x55) << 1 | (byte >> 1 & 0x55));
}

/* Into the order of our rows. cairo's A1 is native words, least significant bit left on little-endian machines, most
 * significant on big-endian ones. */
static void copy_rows(cairo_surface_t *surface, struct dots *dots)
{
    const unsigned char *from = cairo_image_surface_get_data(surface);
    const size_t stride = (size_t)cairo_image_surface_get_stride(surface);
    const bool turn = __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__;
    const uint8_t last = (uint8_t)(0xFF << (7 - (dots->width - 1) % 8)); /* bits past the width are 0 */
    for (int y = 0; y < dots->height; y++) {
        const unsigned char *row = from + (size_t)y * stride;
        uint8_t *to = dots->rows + (size_t)y * dots->stride;
        for (size_t i = 0; i < dots->stride; i++)
            to[i] = turn ? reversed(row[i]) : row[i];
        to[dots->stride - 1] &= last;
    }
}

static bool paint_dots(struct drawer *drawer, const struct layout *layout, struct dots *dots, struct fault *fault)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A1, layout->width, layout->height);
    cairo_t *cairo = cairo_create(surface);
    cairo_set_antialias(cairo, CAIRO_ANTIALIAS_NONE);
    paint_layout(cairo, &drawer->letters, layout);
    cairo_surface_flush(surface);
    const cairo_status_t status = cairo_status(cairo);
    if (status == CAIRO_STATUS_SUCCESS)
        copy_rows(surface, dots);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return status == CAIRO_STATUS_SUCCESS ||
           fault_set(fault, FAULT_STORAGE, "the label cannot be drawn: %s", cairo_status_to_string(status));
}

bool label_draw(struct drawer *drawer, const struct template *template, const struct label_field *fields,
                size_t field_count, int dpi, struct dots *dots, struct fault *fault)
{
    const struct layout *layout = label_layout(drawer, template, fields, field_count, dpi, fault);
    struct dots drawn = {0};
    if (!layout || !dots_init(layout->width, layout->height, dpi, &drawn, fault))
        return false;
    if (!paint_dots(drawer, layout, &drawn, fault)) {
        dots_clear(&drawn);
        return false;
    }
    *dots = drawn;
    return true;
}

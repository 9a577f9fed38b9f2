#include "labels/drawing/one_bit.h"

#include "labels/drawing/ink.h"

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

bool one_bit_paint(paint_function *paint, void *context, struct dots *dots, struct fault *fault)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A1, dots->width, dots->height);
    cairo_t *cairo = cairo_create(surface);
    cairo_set_antialias(cairo, CAIRO_ANTIALIAS_NONE);
    ink_use_black(cairo);
    paint(cairo, context);
    cairo_surface_flush(surface);
    const cairo_status_t status = cairo_status(cairo);
    if (status == CAIRO_STATUS_SUCCESS)
        copy_rows(surface, dots);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return status == CAIRO_STATUS_SUCCESS ||
           fault_set(fault, FAULT_STORAGE, "the label cannot be drawn: %s", cairo_status_to_string(status));
}

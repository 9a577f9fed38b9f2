#include "labels/drawing/paint.h"

#include "labels/drawing/hazard_paint.h"
#include "labels/drawing/ink.h"

static void fill_box(cairo_t *cairo, const struct layout_box *box)
{
    cairo_rectangle(cairo, box->x, box->y, box->width, box->height);
    cairo_fill(cairo);
}

/* All dark modules in one path, runs joined: viewers of a PDF then show no seams between them. */
void paint_matrix(cairo_t *cairo, const struct matrix *matrix, int x, int y, int module)
{
    for (int row = 0; row < matrix->rows; row++) {
        for (int column = 0; column < matrix->columns; column++) {
            const int start = column;
            while (column < matrix->columns && matrix_get(matrix, row, column))
                column++;
            if (column > start)
                cairo_rectangle(cairo, x + start * module, y + row * module, (column - start) * module, module);
        }
    }
    cairo_fill(cairo);
}

static void paint_text(cairo_t *cairo, struct letters *letters, const struct layout_piece *piece)
{
    struct letters_extent extent;
    letters_set(letters, piece->text, piece->letters, piece->element->bold, &extent);
    if (piece->element->inverse) {
        fill_box(cairo, &piece->room);
        ink_use_paper(cairo);
    }
    letters_show(letters, cairo, piece->baseline_x, piece->baseline_y);
    ink_use_black(cairo);
}

static void paint_frame(cairo_t *cairo, const struct layout_piece *piece)
{
    const struct layout_box *box = &piece->room;
    const int thick = piece->thick;
    cairo_rectangle(cairo, box->x, box->y, box->width, thick);
    cairo_rectangle(cairo, box->x, box->y + box->height - thick, box->width, thick);
    cairo_rectangle(cairo, box->x, box->y, thick, box->height);
    cairo_rectangle(cairo, box->x + box->width - thick, box->y, thick, box->height);
    cairo_fill(cairo);
}

void paint_layout(cairo_t *cairo, struct letters *letters, const struct layout *layout)
{
    ink_use_black(cairo);
    for (size_t i = 0; i < layout->piece_count; i++) {
        const struct layout_piece *piece = &layout->pieces[i];
        switch (piece->element->kind) {
        case TEMPLATE_SYMBOL:
            paint_matrix(cairo, piece->matrix, piece->ink.x, piece->ink.y, piece->module);
            break;
        case TEMPLATE_TEXT:
            paint_text(cairo, letters, piece);
            break;
        case TEMPLATE_LINE_ELEMENT:
            fill_box(cairo, &piece->room);
            break;
        case TEMPLATE_FRAME:
            paint_frame(cairo, piece);
            break;
        case TEMPLATE_HAZARD:
            hazard_paint(cairo, letters, piece->hazard);
            break;
        }
    }
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

bool paint_dots(paint_function *paint, void *context, struct dots *dots, struct fault *fault)
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

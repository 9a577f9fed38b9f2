#include "labels/drawing/paint.h"

#include "labels/drawing/hazard_paint.h"
#include "labels/drawing/ink.h"

static void fill_box(cairo_t *cairo, const struct layout_box *box)
{
    cairo_rectangle(cairo, box->x, box->y, box->width, box->height);
    cairo_fill(cairo);
}

/* All dark modules in one path, runs joined: viewers of a PDF then show no seams between them. */
static void paint_symbol(cairo_t *cairo, const struct layout_piece *piece)
{
    const struct matrix *matrix = piece->matrix;
    const int module = piece->module;
    for (int row = 0; row < matrix->rows; row++) {
        for (int column = 0; column < matrix->columns; column++) {
            const int start = column;
            while (column < matrix->columns && matrix_get(matrix, row, column))
                column++;
            if (column > start)
                cairo_rectangle(cairo, piece->ink.x + start * module, piece->ink.y + row * module,
                                (column - start) * module, module);
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
            paint_symbol(cairo, piece);
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

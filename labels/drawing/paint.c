#include "labels/drawing/paint.h"

#include "labels/drawing/hazard_paint.h"

static void fill_box(struct canvas *canvas, const struct layout_box *box)
{
    canvas_add(canvas, box);
    canvas_fill(canvas);
}

/* All dark modules at once, runs joined. */
void paint_matrix(struct canvas *canvas, const struct matrix *matrix, int x, int y, int module)
{
    for (int row = 0; row < matrix->rows; row++) {
        for (int column = 0; column < matrix->columns; column++) {
            const int start = column;
            while (column < matrix->columns && matrix_get(matrix, row, column))
                column++;
            if (column > start)
                canvas_add(canvas, &(struct layout_box){x + start * module, y + row * module, (column - start) * module,
                                                        module});
        }
    }
    canvas_fill(canvas);
}

static void paint_text(struct canvas *canvas, struct letters *letters, const struct layout_piece *piece)
{
    struct letters_extent extent;
    letters_set(letters, piece->text, piece->letters, piece->element->bold, &extent);
    if (piece->element->inverse) {
        fill_box(canvas, &piece->room);
        canvas_use(canvas, true);
    }
    canvas_letters(canvas, letters, piece->baseline_x, piece->baseline_y);
    canvas_use(canvas, false);
}

static void paint_frame(struct canvas *canvas, const struct layout_piece *piece)
{
    const struct layout_box *box = &piece->room;
    const int thick = piece->thick;
    canvas_add(canvas, &(struct layout_box){box->x, box->y, box->width, thick});
    canvas_add(canvas, &(struct layout_box){box->x, box->y + box->height - thick, box->width, thick});
    canvas_add(canvas, &(struct layout_box){box->x, box->y, thick, box->height});
    canvas_add(canvas, &(struct layout_box){box->x + box->width - thick, box->y, thick, box->height});
    canvas_fill(canvas);
}

void paint_layout(struct canvas *canvas, struct letters *letters, const struct layout *layout)
{
    canvas_use(canvas, false);
    for (size_t i = 0; i < layout->piece_count; i++) {
        const struct layout_piece *piece = &layout->pieces[i];
        switch (piece->element->kind) {
        case TEMPLATE_SYMBOL:
            paint_matrix(canvas, piece->matrix, piece->ink.x, piece->ink.y, piece->module);
            break;
        case TEMPLATE_TEXT:
            paint_text(canvas, letters, piece);
            break;
        case TEMPLATE_LINE_ELEMENT:
            fill_box(canvas, &piece->room);
            break;
        case TEMPLATE_FRAME:
            paint_frame(canvas, piece);
            break;
        case TEMPLATE_HAZARD:
            hazard_paint(canvas, letters, piece->hazard);
            break;
        }
    }
}

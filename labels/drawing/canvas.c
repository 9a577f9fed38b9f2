#include "labels/drawing/canvas.h"

#include <stddef.h>

#include "labels/drawing/ink.h"
#include "labels/drawing/pictogram.h"

void canvas_use(struct canvas *canvas, bool paper)
{
    canvas->paper = paper;
    if (canvas->cairo && paper)
        ink_use_paper(canvas->cairo);
    else if (canvas->cairo)
        ink_use_black(canvas->cairo);
}

void canvas_add(struct canvas *canvas, const struct layout_box *box)
{
    if (canvas->dots)
        dots_fill(canvas->dots, box->x, box->y, box->width, box->height, !canvas->paper);
    else
        cairo_rectangle(canvas->cairo, box->x, box->y, box->width, box->height);
}

void canvas_fill(struct canvas *canvas)
{
    if (canvas->cairo)
        cairo_fill(canvas->cairo);
}

static void put(struct canvas *canvas, const struct stamp *stamp, int x, int y)
{
    if (!stamp)
        canvas->failed = true;
    else if (stamp->dots.rows)
        dots_put(canvas->dots, &stamp->dots, x + stamp->left, y + stamp->top, !canvas->paper);
}

struct writing {
    struct canvas *canvas;
    int x, y;
};

static void put_glyph(void *context, PangoFont *font, unsigned glyph, int x, int y)
{
    const struct writing *writing = context;
    put(writing->canvas, stamps_glyph(writing->canvas->stamps, font, glyph), writing->x + x, writing->y + y);
}

void canvas_letters(struct canvas *canvas, const struct letters *letters, int x, int y)
{
    struct writing writing = {canvas, x, y};
    if (canvas->dots)
        letters_visit(letters, put_glyph, &writing);
    else
        letters_show(letters, canvas->cairo, x, y);
}

void canvas_pictogram(struct canvas *canvas, int number, bool framed, int x, int y, int half)
{
    if (canvas->dots) {
        put(canvas, stamps_pictogram(canvas->stamps, number, framed, half), x, y);
        return;
    }
    if (framed)
        pictogram_paint_frame(canvas->cairo, x, y, half);
    pictogram_paint(canvas->cairo, number, x, y, half);
    ink_use_black(canvas->cairo);
}

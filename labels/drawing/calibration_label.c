#include "labels/drawing/calibration_label.h"

#include <stdlib.h>

#include "labels/drawing/calibration_plan.h"
#include "labels/drawing/drawer.h"
#include "labels/drawing/one_bit.h"
#include "labels/drawing/paint.h"

struct calibration {
    struct letters *letters;
    const struct calibration_plan *plan;
};

/* A head as wide as the arrow and half as long, on a shaft of a third of its width. */
static void paint_arrow(cairo_t *cairo, const struct layout_box *box)
{
    const int head = box->height / 2, shaft = box->width / 3, beside = (box->width - shaft) / 2;
    cairo_move_to(cairo, box->x + box->width / 2.0, box->y);
    cairo_line_to(cairo, box->x + box->width, box->y + head);
    cairo_line_to(cairo, box->x, box->y + head);
    cairo_close_path(cairo);
    cairo_rectangle(cairo, box->x + beside, box->y + head, shaft, box->height - head);
    cairo_fill(cairo);
}

static void paint(cairo_t *cairo, void *context)
{
    const struct calibration *calibration = context;
    const struct calibration_plan *plan = calibration->plan;
    struct canvas page = {.cairo = cairo};
    struct letters_extent extent;
    for (size_t i = 0; i < plan->box_count; i++)
        cairo_rectangle(cairo, plan->boxes[i].x, plan->boxes[i].y, plan->boxes[i].width, plan->boxes[i].height);
    cairo_fill(cairo);
    paint_arrow(cairo, &plan->arrow);
    for (size_t i = 0; i < plan->symbol_count; i++)
        paint_matrix(&page, &plan->symbols[i].matrix, plan->symbols[i].ink.x, plan->symbols[i].ink.y,
                     plan->symbols[i].dots);
    for (size_t i = 0; i < plan->text_count; i++) {
        letters_set(calibration->letters, plan->texts[i].text, plan->letters, false, &extent);
        letters_show(calibration->letters, cairo, plan->texts[i].x, plan->texts[i].y);
    }
}

bool calibration_label_draw(struct drawer *drawer, int width_um, int height_um, int dpi, struct dots *dots,
                            struct fault *fault)
{
    struct calibration_plan *plan = malloc(sizeof *plan);
    struct dots drawn = {.rows = NULL};
    if (!plan)
        return fault_set(fault, FAULT_STORAGE, "no memory to draw a calibration label");
    struct calibration calibration = {&drawer->letters, plan};
    const bool done = calibration_plan_make(width_um, height_um, dpi, plan, fault) &&
                      dots_init(plan->width, plan->height, dpi, &drawn, fault) &&
                      one_bit_paint(paint, &calibration, &drawn, fault);
    if (done)
        *dots = drawn;
    else
        dots_clear(&drawn);
    free(plan);
    return done;
}

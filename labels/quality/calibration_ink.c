#include "labels/quality/calibration_ink.h"

#include <math.h>
#include <string.h>

struct marking {
    const struct ink_walk *walk;
    double mm, near; /* of a dot */
    bool *marks;
};

/* The steps along one axis that lie from `least` to `most`: [*from, *to) is cut to them. */
static void cut(double start, double step, double least, double most, double *from, double *to)
{
    if (step == 0) {
        if (start < least || start > most)
            *to = *from;
        return;
    }
    const double a = (least - start) / step, b = (most - start) / step;
    *from = fmax(*from, ceil(fmin(a, b)));
    *to = fmin(*to, floor(fmax(a, b)) + 1);
}

static void mark_box(const struct marking *marking, double x, double y, double width, double height)
{
    const struct ink_walk *walk = marking->walk;
    const double mm = marking->mm, near = marking->near;
    double from = 0, to = (double)walk->steps;
    cut(walk->x, walk->dx, x * mm - near, (x + width) * mm + near, &from, &to);
    cut(walk->y, walk->dy, y * mm - near, (y + height) * mm + near, &from, &to);
    if (from < to)
        memset(marking->marks + (size_t)from, true, (size_t)to - (size_t)from);
}

static void mark_layout_box(const struct marking *marking, const struct layout_box *box)
{
    mark_box(marking, box->x, box->y, box->width, box->height);
}

void calibration_ink_mark(const struct calibration_plan *plan, const struct ink_walk *walk, double near, bool *marks)
{
    const struct marking marking = {walk, 25.4 / plan->dpi, near, marks};
    memset(marks, 0, walk->steps * sizeof *marks);
    for (size_t i = 0; i < plan->box_count; i++)
        mark_layout_box(&marking, &plan->boxes[i]);
    for (size_t i = 0; i < plan->symbol_count; i++)
        mark_layout_box(&marking, &plan->symbols[i].ink);
    mark_layout_box(&marking, &plan->arrow);
    for (size_t i = 0; i < plan->text_count; i++) { /* a digit is not as wide as it is high */
        const struct calibration_text *text = &plan->texts[i];
        mark_box(&marking, text->x, text->y - plan->letters, (double)plan->letters * (double)strlen(text->text),
                 plan->letters);
    }
}

#include "labels/drawing/hazard_paint.h"

#include "labels/drawing/hazard_text.h"
#include "labels/drawing/ink.h"
#include "labels/drawing/pictogram.h"

void hazard_paint(cairo_t *cairo, struct letters *letters, const struct hazard_layout *layout)
{
    for (size_t i = 0; i < layout->mark_count; i++) {
        const struct hazard_mark *mark = &layout->marks[i];
        if (layout->frames)
            pictogram_paint_frame(cairo, mark->x, mark->y, layout->half);
        pictogram_paint(cairo, mark->pictogram, mark->x, mark->y, layout->half);
    }
    ink_use_black(cairo);
    for (size_t i = 0; i < layout->line_count; i++) {
        const struct hazard_line *line = &layout->lines[i];
        struct letters_extent extent;
        hazard_text_letters(letters, line, layout->letters, &extent);
        letters_show(letters, cairo, line->x, line->baseline);
    }
}

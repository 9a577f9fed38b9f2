#include "labels/drawing/hazard_paint.h"

#include "labels/drawing/hazard_text.h"

void hazard_paint(struct canvas *canvas, struct letters *letters, const struct hazard_layout *layout)
{
    for (size_t i = 0; i < layout->mark_count; i++) {
        const struct hazard_mark *mark = &layout->marks[i];
        canvas_pictogram(canvas, mark->pictogram, layout->frames, mark->x, mark->y, layout->half);
    }
    for (size_t i = 0; i < layout->line_count; i++) {
        const struct hazard_line *line = &layout->lines[i];
        struct letters_extent extent;
        hazard_text_letters(letters, line, layout->letters, &extent);
        canvas_letters(canvas, letters, line->x, line->baseline);
    }
}

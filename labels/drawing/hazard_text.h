#ifndef LABELS_DRAWING_HAZARD_TEXT_H
#define LABELS_DRAWING_HAZARD_TEXT_H

#include "labels/drawing/hazard_layout.h"

/* The text of a hazard part, broken into lines at spaces and between characters of scripts that have none. Inside
 * this room. */

struct hazard_token {
    struct span text;
    size_t paragraph;
    int width;   /* advance, dots */
    bool joined; /* to the one before, without a space */
};

struct hazard_tokens {
    struct hazard_token list[HAZARD_TOKENS];
    size_t count;
    int space[2]; /* width of a space: regular, bold */
    int height;   /* of capitals, for which the widths were measured */
};

/* Cuts the paragraphs. FAULT_INPUT: too many words, or a character that no installed font has. */
bool hazard_text_cut(struct letters *letters, const struct hazard_parts *parts, struct hazard_tokens *tokens,
                     struct fault *fault);
/* Widths with capitals `height` dots high. */
void hazard_text_measure(struct letters *letters, const struct hazard_parts *parts, int height,
                         struct hazard_tokens *tokens);
/* Lines into `column`, `pitch` from one to the next. False: they do not fit. */
bool hazard_text_set(struct letters *letters, const struct hazard_parts *parts, const struct hazard_tokens *tokens,
                     const struct layout_box *column, struct hazard_layout *layout);
/* Draws one line's text; it must be measured to be placed. */
void hazard_text_letters(struct letters *letters, const struct hazard_line *line, int height,
                         struct letters_extent *extent);

#endif

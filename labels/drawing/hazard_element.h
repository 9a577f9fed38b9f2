#ifndef LABELS_DRAWING_HAZARD_ELEMENT_H
#define LABELS_DRAWING_HAZARD_ELEMENT_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/drawing/words.h"

/* A template's hazard part, behind its room:
 *
 *   hazard at 1 20 room 50 x 53 letters 2 frames black [small] [missing see-sds]
 *   hazard at 1 20 room 50 x 53 letters 2 frames preprinted 16.1 at 13 32 at 37 32 [missing see-sds]
 *
 * letters: wished height of a capital; smaller down to what the size table asks for.
 * frames black: the printer draws black frames: for the workplace only, and the label says so; as a PDF they are red.
 * frames preprinted SIDE at X Y …: the stock has red diamonds of that side, with their centres at X, Y of the label,
 *   all inside the room; the printer puts the symbols in, and the text stands below.
 * small: the table's label does not fit the container (up to 3 l).
 * missing see-sds: what the shop has not entered is printed as "see SDS"; otherwise the label is refused. */

enum { HAZARD_DIAMONDS = 6 };

struct hazard_diamond {
    int x, y; /* centre, micrometres */
};

struct hazard_element {
    int letters_um;
    bool preprinted, small, see_sds;
    int side_um; /* of the pre-printed diamonds, measured on the red's outer edge */
    struct hazard_diamond diamonds[HAZARD_DIAMONDS];
    size_t diamond_count;
};

/* Reads the words behind the room, up to "only if" or the line's end. */
bool hazard_element_read(struct words *words, struct hazard_element *element, struct fault *fault);

/* Half the diagonal of a diamond with this side, rounded up; same unit. */
int hazard_diamond_half(int side);

#endif

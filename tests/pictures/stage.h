#ifndef TESTS_PICTURES_STAGE_H
#define TESTS_PICTURES_STAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "tests/pictures/camera.h"
#include "tests/pictures/content.h"

/* A picture being made, and the truth about it: what is shown is written down where it is drawn. */

struct stage_symbol {
    uint8_t bytes[CONTENT_BYTES];
    size_t length;
    const struct symbol_size *size;
    double corners[4][2]; /* as labels/reading/reader.h has them: from the L's corner, clockwise as seen */
    double module;        /* pixels: the least of the four sides by its modules */
    double degrees, tilt;
    int quiet;
    bool mirrored, inverted;
};

struct stage_outline {
    double corner[4][2];
};

enum { STAGE_SYMBOLS = 256 };

struct stage {
    struct camera camera;
    struct stage_symbol *symbols; /* owned; top to bottom in no order */
    size_t count;
    struct stage_outline *outlines; /* owned; of what stands there already, labels and sheets */
    size_t outline_count;
    uint64_t random;
    bool failed; /* no memory; a maker need not look at it before its end */
};

bool stage_open(struct stage *stage, int width, int height, double focal, int grey, uint64_t random);
void stage_close(struct stage *stage);

double stage_between(struct stage *stage, double least, double most); /* a random number */

struct stage_wish {
    struct panel_label label;
    struct camera_pose pose; /* module: pixels a module */
    int size;                /* zint's number of it */
    bool mirrored;
    double apart; /* pixels to anything else and to the picture's edge at least */
    int tries;    /* 0: it stands where the pose says, smaller when the picture does not hold it; else: so many random
                     places are tried */
};
/* Draws a label of random content and writes its truth down. False when no place was free; nothing is drawn then. */
bool stage_put(struct stage *stage, const struct stage_wish *wish);

/* A panel drawn over what is there, its outline remembered when `solid`. */
void stage_panel(struct stage *stage, const struct panel *panel, const struct camera_map *map, bool solid);
/* Notes a symbol of a panel: its upper left corner in texels. */
void stage_note(struct stage *stage, const struct content *content, const struct camera_map *map, double x, double y,
                const struct stage_wish *wish);

#endif

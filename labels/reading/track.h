#ifndef LABELS_READING_TRACK_H
#define LABELS_READING_TRACK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/reading/mask.h"
#include "labels/reading/outline.h"
#include "labels/reading/quad.h"

/* From the corner of an L to the whole symbol: along the free ends of both legs lie the clock tracks. A line is turned
 * about each leg's end until it crosses the most changes of ink while just outside of it nothing is; the fourth corner
 * is where the two lines meet. */

struct track {
    struct quad quad;
    int across, up; /* modules along the corner's first leg and along its second, as counted: may be off by a few */
};

/* Ways to look for them, tried in this order. `longest_run`: modules of one kind in a row that end a track: few keep it
 * from running on into what stands beside the symbol, more follow one that blur or damage has gaps torn into. `beyond`:
 * modules by which the legs are thought to reach farther than was seen, for their ends are often rounded. */
struct track_way {
    double longest_run, beyond;
};
enum { TRACK_WAYS = 4 };
extern const struct track_way track_ways[TRACK_WAYS];

/* False when there are no tracks; `across` is then 0 when not even the first was there. Grows `*steps` by the places
 * looked at. */
bool track_find(const struct mask *mask, const struct outline_corner *corner, const struct track_way *way,
                struct track *track, int64_t *steps);

#endif

#include "labels/reading/track.h"

#include <math.h>

enum { LEAST_CHANGES = 5 /* a side has 8 modules or more: 7 changes, of which blur may swallow some */ };
static const double WIDEST_TURN = 0.45; /* radians off the parallel: a strongly tilted label */
static const double LONGER = 1.35;      /* than the leg on the other side: likewise */

struct line {
    double at[2], along[2]; /* along: unit length */
};

/* Changes between ink and ground along a line, up to `*length`. A run shorter than 0.4 modules is noise or an edge
 * grazed, and does not count; a gap that no clock track has ends the line earlier, and `*length` then says where. */
static int count_changes(const struct mask *mask, const struct line *line, double module, double step, double *length)
{
    const int count = (int)(*length / step), longest_gap = (int)(2.5 * module / step);
    const int shortest_run = (int)(0.4 * module / step + 0.5);
    int changes = 0, gap = 0, run = 0;
    bool before = true; /* both tracks start with the dark end of a leg */
    for (int i = 0; i < count; i++) {
        const bool now = mask_at(mask, line->at[0] + i * step * line->along[0], line->at[1] + i * step * line->along[1]);
        run = now != before ? run + 1 : 0;
        gap = now ? 0 : gap + 1;
        if (run >= shortest_run && run > 0) {
            changes++;
            before = now;
            run = 0;
        }
        if (gap > longest_gap) {
            *length = (i - gap) * step;
            break;
        }
    }
    return changes;
}

/* The part of a line that is ink. */
static double ink_part(const struct mask *mask, const struct line *line, double step, double length)
{
    const int count = (int)(length / step);
    int ink = 0;
    for (int i = 0; i < count; i++)
        ink += mask_at(mask, line->at[0] + i * step * line->along[0], line->at[1] + i * step * line->along[1]);
    return count > 0 ? (double)ink / count : 0;
}

/* The clock track that starts at `end`, the free end of a leg that comes from `corner`, and runs about parallel to the
 * other leg (`other`, from the corner). Returns the modules counted, 0 for none. */
static int find_track(const struct mask *mask, const double corner[2], const double end[2], const double other[2],
                      double module, struct line *track, int64_t *steps)
{
    const double leg = hypot(end[0] - corner[0], end[1] - corner[1]);
    const double inward[2] = {(corner[0] - end[0]) / leg, (corner[1] - end[1]) / leg};
    const double longest = LONGER * hypot(other[0] - corner[0], other[1] - corner[1]);
    const double base = atan2(other[1] - corner[1], other[0] - corner[0]);
    const double turn = 0.3 * module / longest, step = fmin(1, module / 3); /* a third of a module at the far end */
    const int turns = (int)(WIDEST_TURN / turn);
    double best = 0, angles = 0;
    int modules = 0, ties = 0;
    for (int i = -turns; i <= turns; i++) {
        const double angle = base + i * turn;
        struct line line = {{end[0] + 0.5 * module * inward[0], end[1] + 0.5 * module * inward[1]},
                            {cos(angle), sin(angle)}};
        double length = longest;
        const int changes = count_changes(mask, &line, module, step, &length);
        *steps += (int64_t)(2 * longest / step);
        if (changes < LEAST_CHANGES || changes < 0.6 * best)
            continue;
        line.at[0] = end[0] - 0.6 * module * inward[0];
        line.at[1] = end[1] - 0.6 * module * inward[1];
        const double score = changes * (1 - 2 * ink_part(mask, &line, step, length));
        if (score > best + 1e-9) {
            best = score;
            ties = 0;
            angles = 0;
            modules = changes + 1;
        }
        if (score > best - 1e-9 && score > 0) {
            angles += angle;
            ties++;
        }
    }
    if (ties > 0)
        *track = (struct line){{end[0], end[1]}, {cos(angles / ties), sin(angles / ties)}};
    return modules;
}

static bool meet(const struct line *a, const struct line *b, double out[2])
{
    const double below = a->along[0] * b->along[1] - a->along[1] * b->along[0];
    if (fabs(below) < 0.3)
        return false;
    const double t = ((b->at[0] - a->at[0]) * b->along[1] - (b->at[1] - a->at[1]) * b->along[0]) / below;
    out[0] = a->at[0] + t * a->along[0];
    out[1] = a->at[1] + t * a->along[1];
    return true;
}

bool track_find(const struct mask *mask, const struct outline_corner *corner, struct track *track, int64_t *steps)
{
    struct line top, right;
    const int across =
        find_track(mask, corner->corner, corner->after, corner->before, corner->module, &top, steps);
    if (across == 0)
        return false;
    const int up = find_track(mask, corner->corner, corner->before, corner->after, corner->module, &right, steps);
    double corners[4][2] = {{corner->corner[0], corner->corner[1]},
                            {corner->after[0], corner->after[1]},
                            {0, 0},
                            {corner->before[0], corner->before[1]}};
    if (up == 0 || !meet(&top, &right, corners[2]) || !quad_make(corners, &track->quad))
        return false;
    track->across = across;
    track->up = up;
    return true;
}

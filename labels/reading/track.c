#include "labels/reading/track.h"

#include <math.h>

enum { LEAST_CHANGES = 5 /* a side has 8 modules or more: 7 changes, of which blur may swallow some */ };
static const double WIDEST_TURN = 0.45; /* radians off the parallel: a strongly tilted label */
static const double LONGER = 1.35;      /* than the leg on the other side: likewise */

struct line {
    double at[2], along[2]; /* along: unit length */
};

/* How much like a clock track the line is that starts at `at`, half a module inside the symbol; `out` leads from it to
 * the quiet zone beside. Changes between ink and ground count for it, ink in the quiet zone against it. A run shorter
 * than 0.4 modules is noise or an edge grazed and does not count; one longer than `longest_run` ends the track. The
 * best score along the way is returned, with the modules up to there. */
static double follow_track(const struct mask *mask, const double at[2], const double along[2], const double out[2],
                           double module, double length, double longest_run, int *modules, int64_t *steps)
{
    const double step = fmin(1, module / 3);
    const int count = (int)(length / step), longest = (int)(longest_run * module / step);
    const int shortest = (int)fmax(1, 0.4 * module / step + 0.5);
    bool before = true; /* both tracks start with the dark end of a leg */
    int changes = 0, fresh = 0, run = 0, spoiled = 0;
    double best = 0;
    for (int i = 0; i < count && run <= longest; i++) {
        const double x = at[0] + i * step * along[0], y = at[1] + i * step * along[1];
        spoiled += mask_at(mask, x + out[0], y + out[1]);
        *steps += 2;
        run++;
        fresh = mask_at(mask, x, y) != before ? fresh + 1 : 0;
        if (fresh < shortest)
            continue;
        before = !before;
        run = fresh;
        fresh = 0;
        changes++;
        const double score = changes * (1 - 2.0 * spoiled / (i + 1));
        if (score > best) {
            best = score;
            *modules = changes + 1;
        }
    }
    return best;
}

/* The clock track that starts at `end`, the free end of a leg that comes from `corner`, and runs about parallel to the
 * other leg (`other`, from the corner). Returns the modules counted, 0 for none. */
static int find_track(const struct mask *mask, const double corner[2], const double end[2], const double other[2],
                      double module, double longest_run, struct line *track, int64_t *steps)
{
    const double leg = hypot(end[0] - corner[0], end[1] - corner[1]);
    const double inward[2] = {(corner[0] - end[0]) / leg, (corner[1] - end[1]) / leg};
    const double at[2] = {end[0] + 0.5 * module * inward[0], end[1] + 0.5 * module * inward[1]};
    const double out[2] = {-1.1 * module * inward[0], -1.1 * module * inward[1]};
    const double longest = LONGER * hypot(other[0] - corner[0], other[1] - corner[1]);
    const double base = atan2(other[1] - corner[1], other[0] - corner[0]);
    const double turn = 0.3 * module / longest; /* a third of a module at the far end */
    const int turns = (int)(WIDEST_TURN / turn);
    double best = 0, angles = 0;
    int modules = 0, ties = 0;
    for (int i = -turns; i <= turns; i++) {
        const double angle = base + i * turn, along[2] = {cos(angle), sin(angle)};
        int counted = 0;
        const double score = follow_track(mask, at, along, out, module, longest, longest_run, &counted, steps);
        if (counted <= LEAST_CHANGES || score < best - 1e-9)
            continue;
        if (score > best + 1e-9) {
            best = score;
            ties = 0;
            angles = 0;
            modules = counted;
        }
        angles += angle;
        ties++;
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

bool track_find(const struct mask *mask, const struct outline_corner *corner, double longest_run, struct track *track,
                int64_t *steps)
{
    struct line top, right;
    const int across =
        find_track(mask, corner->corner, corner->after, corner->before, corner->module, longest_run, &top, steps);
    if (across == 0)
        return false;
    const int up =
        find_track(mask, corner->corner, corner->before, corner->after, corner->module, longest_run, &right, steps);
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

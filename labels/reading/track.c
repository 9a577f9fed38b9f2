#include "labels/reading/track.h"

#include <math.h>

#include "labels/reading/line.h"

enum {
    LEAST_CHANGES = 5, /* a side has 8 modules or more: 7 changes, of which blur may swallow some */
    STEPS_A_MODULE = 4,
};
static const double COARSE_TURN = 1.0, FINE_TURN = 0.25; /* modules at the far end, between the angles tried */
static const double WIDEST_TURN = 0.45;                  /* radians off the parallel: a strongly tilted label */
static const double LONGER = 1.35;                       /* than the leg on the other side: likewise */

const struct track_way track_ways[TRACK_WAYS] = {{2.2, 0}, {5, 0}, {2.2, 0.5}, {5, 0.5}};

struct spot {
    int32_t x, y; /* on the mask, in 1/65536 pixel */
};

struct search {
    const struct mask *mask;
    bool light;
    const struct track_way *way;
    double module, longest; /* longest: pixels */
    struct spot at, out;
};

static struct spot spot_at(double x, double y)
{
    return (struct spot){(int32_t)(x * 65536), (int32_t)(y * 65536)};
}

/* 1: of the symbol's own kind; outside the picture is light. */
static bool is_ink(const struct search *search, int32_t x, int32_t y)
{
    const int px = (x + 32768) >> 16, py = (y + 32768) >> 16;
    const bool inside = (unsigned)px < (unsigned)search->mask->width && (unsigned)py < (unsigned)search->mask->height;
    return (inside && mask_bit(search->mask, px, py)) != search->light;
}

/* How much like a clock track the line is that starts at `at`, half a module inside the symbol; `out` leads from it to
 * the quiet zone beside. Changes between ink and ground count for it, ink in the quiet zone against it. A run shorter
 * than half a module is noise or an edge grazed and does not count; one longer than the way's longest ends the track.
 * The best score along the way is returned, with the modules up to there. */
static double follow_track(const struct search *search, const double direction[2], int *modules, int64_t *steps)
{
    enum { SHORTEST = (STEPS_A_MODULE + 1) / 2 };
    const double step = search->module / STEPS_A_MODULE;
    const int count = (int)(search->longest / step), longest = (int)(search->way->longest_run * STEPS_A_MODULE);
    const struct spot along = spot_at(step * direction[0], step * direction[1]);
    struct spot at = search->at;
    bool before = true; /* both tracks start with the dark end of a leg */
    int changes = 0, fresh = 0, run = 0, spoiled = 0, i = 0;
    double best = 0;
    for (; i < count && run <= longest; i++, at.x += along.x, at.y += along.y) {
        spoiled += is_ink(search, at.x + search->out.x, at.y + search->out.y);
        run++;
        fresh = is_ink(search, at.x, at.y) != before ? fresh + 1 : 0;
        if (fresh < SHORTEST)
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
    *steps += 2 * i;
    return best;
}

struct turn {
    double score, angle; /* angle: the mean of those with the best score */
    int modules;
};

/* The best of `count` angles on either side of one, `apart` from each other. */
static struct turn try_angles(const struct search *search, double middle, double apart, int count, int64_t *steps)
{
    struct turn best = {0, middle, 0};
    const double turn[2] = {cos(apart), sin(apart)};
    double angles = 0, direction[2] = {cos(middle - count * apart), sin(middle - count * apart)};
    int ties = 0;
    for (int i = -count; i <= count; i++) {
        int counted = 0;
        const double score = follow_track(search, direction, &counted, steps);
        const double next[2] = {direction[0] * turn[0] - direction[1] * turn[1],
                                direction[0] * turn[1] + direction[1] * turn[0]};
        direction[0] = next[0];
        direction[1] = next[1];
        if (counted <= LEAST_CHANGES || score < best.score - 1e-9)
            continue;
        if (score > best.score + 1e-9) {
            best.score = score;
            best.modules = counted;
            angles = 0;
            ties = 0;
        }
        angles += middle + i * apart;
        ties++;
    }
    if (ties > 0)
        best.angle = angles / ties;
    return best;
}

/* The clock track that starts at `end`, the free end of a leg that comes from `corner`, and runs about parallel to the
 * other leg (`other`, from the corner). Returns the modules counted, 0 for none. */
static int find_track(struct search *search, const double corner[2], const double end[2], const double other[2],
                      struct line *track, int64_t *steps)
{
    const double leg = hypot(end[0] - corner[0], end[1] - corner[1]), module = search->module;
    const double inward[2] = {(corner[0] - end[0]) / leg, (corner[1] - end[1]) / leg};
    const double depth = (0.5 - search->way->beyond) * module;
    search->at = spot_at(end[0] + depth * inward[0], end[1] + depth * inward[1]);
    search->out = spot_at(-1.1 * module * inward[0], -1.1 * module * inward[1]);
    search->longest = LONGER * hypot(other[0] - corner[0], other[1] - corner[1]);
    const double base = atan2(other[1] - corner[1], other[0] - corner[0]);
    const double coarse = COARSE_TURN * module / search->longest, fine = FINE_TURN * module / search->longest;
    const struct turn about = try_angles(search, base, coarse, (int)(WIDEST_TURN / coarse), steps);
    if (about.modules == 0)
        return 0;
    const struct turn best = try_angles(search, about.angle, fine, (int)(COARSE_TURN / FINE_TURN + 0.5), steps);
    const double angle = best.modules > 0 ? best.angle : about.angle;
    const double beyond = search->way->beyond * module;
    *track = (struct line){{end[0] - beyond * inward[0], end[1] - beyond * inward[1]}, {cos(angle), sin(angle)}};
    return best.modules > 0 ? best.modules : about.modules;
}

bool track_find(const struct mask *mask, const struct outline_corner *corner, const struct track_way *way,
                struct track *track, int64_t *steps)
{
    struct line top, right;
    struct search search = {.mask = mask, .light = corner->light, .module = corner->module, .way = way};
    const int across = find_track(&search, corner->corner, corner->after, corner->before, &top, steps);
    track->across = across;
    if (across == 0)
        return false;
    const int up = find_track(&search, corner->corner, corner->before, corner->after, &right, steps);
    double corners[4][2] = {{corner->corner[0], corner->corner[1]},
                            {corner->after[0], corner->after[1]},
                            {0, 0},
                            {corner->before[0], corner->before[1]}};
    if (up == 0 || !line_meet(&top, &right, corners[2]) || !quad_make(corners, &track->quad))
        return false;
    track->up = up;
    return true;
}

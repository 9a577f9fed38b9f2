#include "labels/reading/outline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "labels/basics/steady_sort.h"
#include "labels/reading/explain.h"

enum {
    /* thicknesses along a leg: there are 8 modules or more, but where most of the data beside a leg is dark, it looks
     * twice as thick */
    LEAST_THICK = 4,
    MOST_THICK = 200,
    HULL = 4096,      /* most hull vertices (a picture's hull has far fewer) */
    SIDES = 32,       /* most sides after straightening */
    SIDE_POINTS = 48, /* about so many are looked at */
    PROBES = 12,      /* thickness measurements along a leg */
};
static const double TOLERANCE = 1.3;    /* pixels off a straight side that still count as on it */
static const double LEAST_SOLID = 0.72; /* part of a leg that must lie on the straight side */
static const double LEAST_SINE = 0.64;  /* legs meet at 40 to 140 degrees */

static int64_t cross(const struct border_point *p, int a, int b, int c)
{
    return (int64_t)(p[b].x - p[a].x) * (p[c].y - p[b].y) - (int64_t)(p[b].y - p[a].y) * (p[c].x - p[b].x);
}

/* A point's x and its index in one number, so that the outermost of a row is a minimum or a maximum, without a branch:
 * rows turn up in any order. Of equal places the first counts. */
enum { INDEX_BITS = 18, INDEX = (1 << INDEX_BITS) - 1 };
_Static_assert(BORDER_POINTS <= INDEX + 1, "an index fits");

static uint32_t key_of(int x, int index)
{
    return (uint32_t)x << INDEX_BITS | (uint32_t)index;
}

/* Per row of the outline its leftmost point in `left`, its rightmost in `right`; every row has one. */
static void find_outermost(const struct border *outline, int height, uint32_t *restrict left, uint32_t *restrict right)
{
    for (int i = 0; i < height; i++) {
        left[i] = UINT32_MAX;
        right[i] = 0;
    }
    for (int i = 0; i < outline->count; i++) {
        const int x = outline->points[i].x, row = outline->points[i].y - outline->top;
        const uint32_t low = key_of(x, i), high = key_of(x, INDEX - i);
        left[row] = low < left[row] ? low : left[row];
        right[row] = high > right[row] ? high : right[row];
    }
    for (int i = 0; i < height; i++) {
        left[i] &= INDEX;
        right[i] = INDEX - (right[i] & INDEX);
    }
}

/* One chain of the hull, from top to bottom, over each row's outermost point. sign 1: right side, -1: left side. */
static int hull_chain(const struct border_point *points, int height, const uint32_t *outermost, int sign, int32_t *hull)
{
    int count = 0;
    for (int row = 0; row < height; row++) {
        const int32_t here = (int32_t)outermost[row];
        while (count >= 2 && sign * cross(points, hull[count - 2], hull[count - 1], here) <= 0)
            count--;
        if (count < HULL / 2)
            hull[count++] = here;
    }
    return count;
}

/* Indices of the hull's points, clockwise as the outline is. */
static int find_hull(const struct border *outline, uint32_t *rows, int32_t *hull)
{
    const int height = outline->bottom - outline->top + 1;
    uint32_t *left = rows, *right = rows + height;
    find_outermost(outline, height, left, right);
    const int down = hull_chain(outline->points, height, right, 1, hull);
    const int up = hull_chain(outline->points, height, left, -1, hull + down);
    for (int i = 0; i < up / 2; i++) { /* the left side is walked upwards */
        const int32_t kept = hull[down + i];
        hull[down + i] = hull[down + up - 1 - i];
        hull[down + up - 1 - i] = kept;
    }
    int unique = 0;
    for (int i = 0; i < down + up; i++)
        if (unique == 0 || hull[i] != hull[unique - 1])
            hull[unique++] = hull[i];
    return unique > 1 && hull[unique - 1] == hull[0] ? unique - 1 : unique;
}

static double distance(const struct border_point *a, const struct border_point *b)
{
    const double x = a->x - b->x, y = a->y - b->y;
    return sqrt(x * x + y * y);
}

/* Keeps of hull[first..last] (last may wrap) only what is more than `tolerance` off a straight line (Douglas, Peucker).
 * Appends kept vertices after `first`, up to and without `last`. */
static void straighten(const struct border *outline, const int32_t *hull, int count, int first, int last,
                       double tolerance, int32_t *kept, int *kept_count)
{
    const struct border_point *a = &outline->points[hull[first % count]], *b = &outline->points[hull[last % count]];
    const double length = fmax(distance(a, b), 1e-9);
    double worst = tolerance;
    int where = -1;
    for (int i = first + 1; i < last; i++) {
        const struct border_point *p = &outline->points[hull[i % count]];
        const double off = fabs((double)(b->x - a->x) * (p->y - a->y) - (double)(b->y - a->y) * (p->x - a->x)) / length;
        if (off > worst) {
            worst = off;
            where = i;
        }
    }
    if (where < 0)
        return;
    straighten(outline, hull, count, first, where, tolerance, kept, kept_count);
    if (*kept_count < SIDES)
        kept[(*kept_count)++] = hull[where % count];
    straighten(outline, hull, count, where, last, tolerance, kept, kept_count);
}

/* The vertex of the hull that is farthest from a point. */
static int farthest(const struct border *outline, const int32_t *hull, int count, double x, double y)
{
    int best = 0;
    double most = -1;
    for (int i = 0; i < count; i++) {
        const struct border_point *p = &outline->points[hull[i]];
        const double d = (p->x - x) * (p->x - x) + (p->y - y) * (p->y - y);
        if (d > most) {
            most = d;
            best = i;
        }
    }
    return best;
}

/* A straight side: the line through its points, moved out by half a pixel onto the ink's edge. */
struct side {
    int first, last;        /* indices of the outline, last may be smaller: it wraps */
    double length, solid;   /* pixels; part of it that lies on the line */
    double at[2], along[2]; /* a point, and the direction in which the outline runs */
    bool measured;          /* else only its ends are known */
};

static void fit_line(struct side *side, const double *sums, int count)
{
    const double mx = sums[0] / count, my = sums[1] / count;
    const double xx = sums[2] / count - mx * mx, yy = sums[3] / count - my * my, xy = sums[4] / count - mx * my;
    const double angle = 0.5 * atan2(2 * xy, xx - yy);
    double along[2] = {cos(angle), sin(angle)};
    if (along[0] * side->along[0] + along[1] * side->along[1] < 0) {
        along[0] = -along[0];
        along[1] = -along[1];
    }
    side->along[0] = along[0];
    side->along[1] = along[1];
    side->at[0] = mx;
    side->at[1] = my;
}

/* Fits the line to the outline's points within `tolerance` of it, of long sides every few, and says how many there are.
 */
static int refine_side(const struct border *outline, struct side *side, double tolerance)
{
    const int points = (side->last - side->first + outline->count) % outline->count, every = 1 + points / SIDE_POINTS;
    const struct border_point *origin = &outline->points[side->first];
    double sums[5] = {0};
    int count = 0;
    for (int k = 0; k < points; k += every) {
        const int i = side->first + k < outline->count ? side->first + k : side->first + k - outline->count;
        const double x = outline->points[i].x - side->at[0], y = outline->points[i].y - side->at[1];
        if (fabs(x * side->along[1] - y * side->along[0]) > tolerance)
            continue;
        const double px = outline->points[i].x - origin->x, py = outline->points[i].y - origin->y;
        const double terms[5] = {px, py, px * px, py * py, px * py};
        for (int term = 0; term < 5; term++)
            sums[term] += terms[term];
        count++;
    }
    if (count >= 3) {
        fit_line(side, sums, count);
        side->at[0] += origin->x;
        side->at[1] += origin->y;
    }
    return count * every;
}

static struct side side_between(const struct border *outline, int32_t first, int32_t last)
{
    const struct border_point *a = &outline->points[first], *b = &outline->points[last];
    struct side side = {.first = first, .last = last, .length = distance(a, b), .at = {a->x, a->y}};
    side.along[0] = (b->x - a->x) / fmax(side.length, 1);
    side.along[1] = (b->y - a->y) / fmax(side.length, 1);
    return side;
}

static void measure_side(const struct border *outline, struct side *side)
{
    const struct border_point *a = &outline->points[side->first], *b = &outline->points[side->last];
    const int dx = b->x - a->x, dy = b->y - a->y, span = abs(dx) > abs(dy) ? abs(dx) : abs(dy);
    side->measured = true;
    if (span < 3)
        return;
    (void)refine_side(outline, side, TOLERANCE + 0.01 * side->length); /* the ends may lie a little off */
    side->solid = fmin(1, (double)refine_side(outline, side, TOLERANCE) / span);
    const double out = outline->hole ? -0.5 : 0.5; /* the points are dark: inside of a dark edge, outside of a light */
    side->at[0] += out * side->along[1];           /* clockwise with y down: the outside is on the left */
    side->at[1] -= out * side->along[0];
}

static bool is_solid(const struct border *outline, struct side *side)
{
    if (!side->measured)
        measure_side(outline, side);
    return side->solid >= LEAST_SOLID;
}

/* Neighbours, as far as their ends tell: measuring costs more. */
static bool may_be_corner(const struct border *outline, const struct side *one, const struct side *two)
{
    const double gap = distance(&outline->points[one->last], &outline->points[two->first]);
    return gap <= 0.3 * fmin(one->length, two->length) && /* a chipped or rounded corner */
           one->along[0] * two->along[1] - one->along[1] * two->along[0] >= 0.9 * LEAST_SINE;
}

static void project(const struct side *side, const struct border_point *point, double extra, double out[2])
{
    const double t = (point->x - side->at[0]) * side->along[0] + (point->y - side->at[1]) * side->along[1] + extra;
    out[0] = side->at[0] + t * side->along[0];
    out[1] = side->at[1] + t * side->along[1];
}

/* Thickness of a leg in pixels, `most` at most: the lower quarter of its measurements, for data modules hang on it
 * elsewhere. */
static double find_thickness(const struct mask *mask, bool light, const double from[2], const double to[2], double most)
{
    enum { HALF = 1 << 15, KEPT = PROBES / 4 + 1 }; /* places in 1/65536 pixel */
    const double along[2] = {to[0] - from[0], to[1] - from[1]};
    const double length = sqrt(along[0] * along[0] + along[1] * along[1]);
    /* inwards is on the right, with y down; half a pixel a step, from three quarters on */
    const int32_t in[2] = {(int32_t)(-along[1] / length * HALF), (int32_t)(along[0] / length * HALF)};
    const int most_steps = (int)(2 * most);
    int found[KEPT], through = 0; /* as deep as asked for */
    for (int i = 0; i < PROBES; i++) {
        const double t = (i + 1.5) / (PROBES + 2);
        int32_t x = (int32_t)((from[0] + t * along[0]) * 2 * HALF) + HALF + in[0] + in[0] / 2,
                y = (int32_t)((from[1] + t * along[1]) * 2 * HALF) + HALF + in[1] + in[1] / 2;
        int depth = 1, k = i < KEPT ? i : KEPT;
        while (depth < most_steps && (unsigned)(x >> 16) < (unsigned)mask->width &&
               (unsigned)(y >> 16) < (unsigned)mask->height && mask_bit(mask, x >> 16, y >> 16) != light) {
            depth++;
            x += in[0];
            y += in[1];
        }
        through += depth >= most_steps;
        if (through > PROBES - KEPT)
            return most;
        for (; k > 0 && found[k - 1] > depth; k--) /* the least quarter, sorted */
            if (k < KEPT)
                found[k] = found[k - 1];
        if (k < KEPT)
            found[k] = depth;
    }
    return found[KEPT - 1] / 2.0;
}

static int compare_score(const void *a, const void *b)
{
    const double x = ((const struct outline_corner *)a)->score, y = ((const struct outline_corner *)b)->score;
    return (x < y) - (x > y);
}

static void sort_corners(struct outline_store *store)
{
    struct outline_corner spare;
    steady_sort(store->corners, store->count, sizeof spare, compare_score, store->order, &spare);
}

/* When the store is full, its worse half makes room. */
static void keep_corner(struct outline_store *store, const struct outline_corner *corner)
{
    if (store->count == OUTLINE_CORNERS) {
        sort_corners(store);
        store->count = OUTLINE_CORNERS / 2;
        store->full = true;
    }
    store->corners[store->count++] = *corner;
}

static void consider(const struct mask *mask, const struct border *outline, const struct side *one,
                     const struct side *two, struct outline_store *store)
{
    const double sine = one->along[0] * two->along[1] - one->along[1] * two->along[0];
    if (sine < LEAST_SINE)
        return; /* too flat or too sharp; never a turn to the left, for the hull is convex */
    const double shift = ((two->at[0] - one->at[0]) * two->along[1] - (two->at[1] - one->at[1]) * two->along[0]) / sine;
    struct outline_corner corner = {.corner = {one->at[0] + shift * one->along[0], one->at[1] + shift * one->along[1]}};
    project(one, &outline->points[one->first], -0.5, corner.before);
    project(two, &outline->points[two->last], 0.5, corner.after);
    const double first = hypot(corner.before[0] - corner.corner[0], corner.before[1] - corner.corner[1]);
    const double second = hypot(corner.after[0] - corner.corner[0], corner.after[1] - corner.corner[1]);
    if (first < OUTLINE_LEAST_SIDE || second < OUTLINE_LEAST_SIDE)
        return;
    const double longest = fmax(first, second), shortest = fmin(first, second), most = shortest / LEAST_THICK + 1;
    corner.light = outline->hole;
    corner.module = find_thickness(mask, corner.light, corner.before, corner.corner, most);
    if (corner.module >= 1)
        corner.module =
            fmin(corner.module, find_thickness(mask, corner.light, corner.corner, corner.after, corner.module));
    if (corner.module < 1 || corner.module >= most || longest / corner.module > MOST_THICK)
        return;
    corner.score = one->solid * two->solid * shortest;
    keep_corner(store, &corner);
}

static bool is_same(const struct outline_corner *a, const struct outline_corner *b)
{
    return hypot(a->before[0] - b->before[0], a->before[1] - b->before[1]) < 1 &&
           hypot(a->corner[0] - b->corner[0], a->corner[1] - b->corner[1]) < 1 &&
           hypot(a->after[0] - b->after[0], a->after[1] - b->after[1]) < 1;
}

/* Of the corners from `middle` on, drops those that are also among first..middle. */
static void drop_repeats(struct outline_store *store, size_t first, size_t middle)
{
    size_t kept = middle;
    for (size_t i = middle; i < store->count; i++) {
        bool repeat = false;
        for (size_t k = first; k < middle && !repeat; k++)
            repeat = is_same(&store->corners[i], &store->corners[k]);
        if (!repeat)
            store->corners[kept++] = store->corners[i];
    }
    store->count = kept;
}

/* Legs after straightening with one tolerance, and the corners between them. */
static void search_sides(const struct mask *mask, const struct border *outline, const int32_t *hull, int hull_count,
                         const int ends[2], double tolerance, struct outline_store *store)
{
    int32_t kept[SIDES];
    int count = 0;
    kept[count++] = hull[ends[0]];
    straighten(outline, hull, hull_count, ends[0], ends[1], tolerance, kept, &count);
    if (count < SIDES)
        kept[count++] = hull[ends[1] % hull_count];
    straighten(outline, hull, hull_count, ends[1], ends[0] + hull_count, tolerance, kept, &count);

    struct side sides[SIDES];
    int side_count = 0;
    for (int i = 0; i < count; i++) {
        const struct side side = side_between(outline, kept[i], kept[(i + 1) % count]);
        if (side.length >= OUTLINE_LEAST_SIDE - 1)
            sides[side_count++] = side;
    }
    for (int i = 0; i < side_count && side_count > 1; i++) {
        struct side *a = &sides[i], *b = &sides[(i + 1) % side_count];
        if (may_be_corner(outline, a, b) && is_solid(outline, a) && is_solid(outline, b))
            consider(mask, outline, a, b, store);
    }
}

static void search_outline(const struct mask *mask, const struct border *outline, struct outline_store *store)
{
    /* Of the region's diameter. Legs bend a little by blur and uneven light, which asks for a coarse one; the short
     * leg of a long rectangle asks for a fine one. */
    static const double tolerances[] = {0.02, 0.008};
    int32_t hull[HULL];
    const int hull_count = find_hull(outline, store->rows, hull);
    if (hull_count < 3)
        return;
    const struct border_point *start = &outline->points[hull[0]];
    const int one = farthest(outline, hull, hull_count, start->x, start->y);
    const struct border_point *p = &outline->points[hull[one]];
    const int two = farthest(outline, hull, hull_count, p->x, p->y);
    const double diameter = distance(p, &outline->points[hull[two]]);
    const int ends[2] = {one, two > one ? two : two + hull_count};
    const size_t before = store->count;
    for (int i = 0; i < 2 && diameter >= OUTLINE_LEAST_SIDE; i++) {
        const double tolerance = fmax(TOLERANCE, tolerances[i] * diameter);
        if (i > 0 && tolerance == fmax(TOLERANCE, tolerances[0] * diameter))
            break;
        const size_t middle = store->count;
        search_sides(mask, outline, hull, hull_count, ends, tolerance, store);
        if (i > 0 && store->count >= middle && middle >= before)
            drop_repeats(store, before, middle);
    }
}

void outline_find_corners(struct border_walk *walk, struct outline_store *store, int64_t *steps)
{
    struct border border;
    store->count = 0;
    store->full = false;
    while (border_next(walk, &border)) {
        if (border.right - border.left + 1 < OUTLINE_LEAST_SIDE || border.bottom - border.top + 1 < OUTLINE_LEAST_SIDE)
            continue;
        if (store->is_done &&
            store->is_done(store->context, (border.left + border.right) / 2.0, (border.top + border.bottom) / 2.0))
            continue;
        const size_t before = store->count;
        search_outline(walk->mask, &border, store);
        if (store->explain)
            store->explain->border(store->explain->context, &border, store->count > before);
    }
    sort_corners(store);
    *steps += walk->steps + (int64_t)walk->mask->width * walk->mask->height;
}

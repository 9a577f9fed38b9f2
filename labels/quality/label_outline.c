#include "labels/quality/label_outline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "labels/quality/calibration_ink.h"
#include "labels/quality/straight.h"
#include "labels/reading/grey_at.h"

/* Millimetres. */
static const double STEP = 0.04, OUTSIDE = 10, INSIDE = 10, CORNERS = 4, NEAR_INK = 0.3;
static const double SURELY = 3;                     /* beyond where an edge should be: there it would have been seen */
static const double GROUND = 1.0;                   /* so much dark that no speck and no line is taken for it */
static const double BESIDE = 0.25, PAPER_END = 0.8; /* where paper and ground are looked at, from the step on */
static const double SCATTER_MOST = 0.2;             /* a label's cut is straighter */
/* Shares. */
static const double DARK = 0.75; /* of the paper's grey: darker is no paper */
static const double PAPER = 0.9, SEEN_LEAST = 0.6;

enum { STEPS = 520, SEEN_COUNT = 12 };
_Static_assert((int)STRAIGHT_POINTS >= (int)OUTLINE_WALKS, "a line through all walks of a side");

static const char *const edge_words[OUTLINE_EDGES] = {"top", "right", "bottom", "left"};

enum walk_end { WALK_EDGE, WALK_BRIGHT, WALK_CUT, WALK_INK, WALK_ENDS };

struct walk {
    const struct grey *picture;
    const struct plane *print;
    struct ink_walk line;
    size_t inside; /* steps up to where the label would end, had the printer no fault */
    bool cut;      /* the picture ends before the walk does */
    double value[STEPS];
    bool ink[STEPS];
};

static int by_size(const void *a, const void *b)
{
    const double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

static bool is_in(const struct grey *picture, const double place[2])
{
    return place[0] >= 0 && place[1] >= 0 && place[0] <= picture->width - 1 && place[1] <= picture->height - 1;
}

static void place_at(const struct walk *walk, double step, double place[2])
{
    plane_place(walk->print, walk->line.x + step * walk->line.dx, walk->line.y + step * walk->line.dy, place);
}

/* Out over edge `edge`, at `along` of its length from its corner on. */
static void start_walk(struct walk *walk, const struct calibration_plan *plan, int edge, double along)
{
    const double wide = plan->width_um / 1000.0, high = plan->height_um / 1000.0;
    const bool upright = edge % 2 == 0; /* over the top or the bottom */
    const double side = upright ? wide : high, deep = upright ? high : wide;
    const double inside = fmin(INSIDE, deep * 0.45), at = CORNERS + along * (side - 2 * CORNERS);
    const double out = edge == 0 || edge == 3 ? -STEP : STEP, start = out < 0 ? inside : deep - inside;
    walk->inside = (size_t)(inside / STEP);
    walk->line.steps = (size_t)((inside + OUTSIDE) / STEP);
    walk->line.x = upright ? at : start;
    walk->line.y = upright ? start : at;
    walk->line.dx = upright ? 0 : out;
    walk->line.dy = upright ? out : 0;
}

static void take_values(struct walk *walk, const struct calibration_plan *plan)
{
    walk->cut = false;
    for (size_t i = 0; i < walk->line.steps && !walk->cut; i++) {
        double place[2];
        place_at(walk, (double)i, place);
        walk->cut = !is_in(walk->picture, place);
        if (walk->cut)
            walk->line.steps = i;
        else
            walk->value[i] = grey_at(walk->picture, place[0], place[1]);
    }
    calibration_ink_mark(plan, &walk->line, NEAR_INK, walk->ink);
}

/* The paper's grey: the bright places of the walk's part inside; there is some paper even where it crosses a symbol. */
static double paper_of(const struct walk *walk)
{
    double values[STEPS];
    const size_t count = walk->inside < walk->line.steps ? walk->inside : walk->line.steps;
    if (count == 0)
        return 0;
    memcpy(values, walk->value, count * sizeof *values);
    qsort(values, count, sizeof *values, by_size);
    return values[(size_t)((double)count * PAPER)];
}

/* Is everything dark from `from` on that is not ink? Where the walk ends, half will do. */
static bool stays_dark(const struct walk *walk, size_t from, double dark)
{
    const size_t wanted = (size_t)(GROUND / STEP);
    size_t seen = 0;
    for (size_t i = from; i < walk->line.steps && seen < wanted; i++) {
        if (walk->ink[i])
            continue;
        if (walk->value[i] >= dark)
            return false;
        seen++;
    }
    return seen >= wanted / 2;
}

/* Mean grey of the places from `from` to `to` that hold no ink; NaN: there are none. */
static double mean(const struct walk *walk, double from, double to)
{
    double sum = 0;
    int count = 0;
    for (size_t i = (size_t)fmax(ceil(from), 0); (double)i <= to && i < walk->line.steps; i++)
        if (!walk->ink[i]) {
            sum += walk->value[i];
            count++;
        }
    return count > 0 ? sum / count : NAN;
}

/* The place of the step near `at`, in steps; NaN: it is none. */
static double half_height(const struct walk *walk, size_t at)
{
    const double middle = (double)at, beside = BESIDE / STEP, end = PAPER_END / STEP;
    const double paper = mean(walk, middle - end, middle - beside), ground = mean(walk, middle + beside, middle + end);
    const double level = (paper + ground) / 2;
    double best = NAN;
    if (!(ground < DARK * paper))
        return NAN;
    for (size_t i = at > (size_t)end ? at - (size_t)end : 1; i < walk->line.steps && (double)i < middle + end; i++) {
        const double before = walk->value[i - 1] - level, after = walk->value[i] - level;
        if (before <= 0 || after > 0 || walk->ink[i - 1] || walk->ink[i])
            continue;
        const double place = (double)i - 1 + before / (before - after);
        if (isnan(best) || fabs(place - middle) < fabs(best - middle))
            best = place;
    }
    return best;
}

/* From inside out: the first place from which on everything is ground. Where ink lies over the edge, it is not seen. */
static enum walk_end find_edge(const struct walk *walk, double place[2])
{
    const double dark = DARK * paper_of(walk);
    for (size_t i = 1; i < walk->line.steps; i++) {
        if (walk->value[i - 1] < dark || walk->value[i] >= dark || !stays_dark(walk, i, dark))
            continue;
        const double step = half_height(walk, i);
        if (walk->ink[i - 1] || walk->ink[i] || isnan(step))
            return WALK_INK;
        place_at(walk, step, place);
        return WALK_EDGE;
    }
    const bool short_of_it = (double)walk->line.steps < (double)walk->inside + SURELY / STEP;
    return walk->cut && short_of_it ? WALK_CUT : WALK_BRIGHT;
}

static bool refuse(int edge, size_t cut, size_t bright, struct fault *fault)
{
    if (cut > bright)
        return fault_set(fault, FAULT_INPUT,
                         "the label's %s edge lies outside the picture or at its border: step back, so that there is "
                         "dark ground on all four sides",
                         edge_words[edge]);
    return fault_set(fault, FAULT_INPUT,
                     "the label's %s edge is not seen: stick or lay the label on something clearly darker than its "
                     "paper, alone, in even light",
                     edge_words[edge]);
}

static bool find_line(struct walk *walk, const struct calibration_plan *plan, int edge, struct straight *line,
                      struct fault *fault)
{
    double points[OUTLINE_WALKS][2], side[2][2];
    size_t count = 0, ends[WALK_ENDS] = {0};
    for (int i = 0; i < OUTLINE_WALKS; i++) {
        start_walk(walk, plan, edge, (i + 0.5) / OUTLINE_WALKS);
        take_values(walk, plan);
        const enum walk_end end = find_edge(walk, points[count]);
        ends[end]++;
        count += end == WALK_EDGE;
    }
    if (count < SEEN_COUNT || (double)count < SEEN_LEAST * (double)(OUTLINE_WALKS - ends[WALK_INK]))
        return refuse(edge, ends[WALK_CUT], ends[WALK_BRIGHT], fault);
    plane_place(walk->print, walk->line.x, walk->line.y, side[0]);
    plane_place(walk->print, walk->line.x + walk->line.dx / STEP, walk->line.y + walk->line.dy / STEP, side[1]);
    const double mm = hypot(side[1][0] - side[0][0], side[1][1] - side[0][1]);
    if (!straight_fit(points, count, 0.01 * mm, line) || (double)line->kept < SEEN_LEAST * (double)count ||
        line->scatter > SCATTER_MOST * mm)
        return fault_set(fault, FAULT_INPUT,
                         "the label's %s edge is not straight in the picture: lay the label flat, alone, and hold the "
                         "camera square to it, not too near",
                         edge_words[edge]);
    return true;
}

bool label_outline_find(const struct grey *picture, const struct plane *print, const struct calibration_plan *plan,
                        struct label_outline *outline, struct fault *fault)
{
    struct walk walk = {.picture = picture, .print = print};
    struct straight lines[OUTLINE_EDGES];
    for (int edge = 0; edge < OUTLINE_EDGES; edge++) {
        if (!find_line(&walk, plan, edge, &lines[edge], fault))
            return false;
        outline->scatter[edge] = lines[edge].scatter / sqrt((double)lines[edge].kept);
    }
    for (int i = 0; i < OUTLINE_EDGES; i++)
        if (!straight_meet(&lines[i], &lines[(i + 3) % 4], outline->corner[i]))
            return fault_set(fault, FAULT_INPUT,
                             "the label's edges make no rectangle: hold the camera square to the label");
    return true;
}

#include "labels/reading/edge_fit.h"

#include <math.h>

#include "labels/reading/grey_at.h"
#include "labels/reading/line.h"

enum { SIDES = 4, SAMPLES = 15, INSIDE = 5 /* of them, behind the edge */, MOST_EDGES = SYMBOL_SIDE };
static const double SPACING = 0.1;      /* modules between samples: one outside to half a module inside */
static const double LEAST_EDGE = 12;    /* grey levels across an edge */
static const double LEAST_FOUND = 0.5;  /* part of a side's edges */
static const double LEAST_STRAY = 0.06; /* modules off the line that are always allowed */

struct edges {
    double at[MOST_EDGES][2]; /* pixels */
    int count, sought;
};

/* The place of the edge between `outside` and `inside`, as a part of the way from the one to the other. The crossing
 * nearest to where the edge is thought to be counts. */
static bool find_edge(const struct grey *picture, const double outside[2], const double inside[2], double *part)
{
    double grey[SAMPLES], light = 0, dark = 0;
    for (int i = 0; i < SAMPLES; i++) {
        const double t = (double)i / (SAMPLES - 1);
        grey[i] =
            grey_at(picture, outside[0] + t * (inside[0] - outside[0]), outside[1] + t * (inside[1] - outside[1]));
    }
    for (int i = 0; i < 3; i++) {
        light += grey[i + 2] / 3;
        dark += grey[SAMPLES - 1 - i] / 3;
    }
    if (fabs(light - dark) < LEAST_EDGE)
        return false;
    const double level = (light + dark) / 2, sign = light > dark ? 1 : -1;
    const double thought = SAMPLES - 1 - INSIDE;
    double best = SAMPLES;
    for (int i = 1; i < SAMPLES; i++) {
        const double before = sign * (grey[i - 1] - level), after = sign * (grey[i] - level);
        if (before <= 0 || after > 0)
            continue;
        const double place = i - 1 + before / (before - after);
        if (fabs(place - thought) < fabs(best - thought))
            best = place;
    }
    *part = best / (SAMPLES - 1);
    return best < SAMPLES;
}

/* Sides: 0 left, 1 bottom, 2 right, 3 top. Edge number i lies across the side's module i. */
static void place_of(const struct symbol_size *size, int side, double along, double depth, double *row, double *column)
{
    *row = side == 0 || side == 2 ? along : side == 1 ? size->rows - depth : depth;
    *column = side == 1 || side == 3 ? along : side == 0 ? depth : size->columns - depth;
}

static bool is_dark(const struct symbol_size *size, int side, int i)
{
    double row = 0, column = 0;
    place_of(size, side, i + 0.5, 0.5, &row, &column);
    return symbol_size_finder_at(size, (int)row, (int)column) == 1;
}

static void find_edges(const struct grey *picture, const struct symbol_size *size, const struct quad *quad, int side,
                       struct edges *edges, int64_t *steps)
{
    const int length = side % 2 ? size->columns : size->rows;
    edges->count = edges->sought = 0;
    for (int i = 0; i < length; i++) {
        double row = 0, column = 0, outside[2], inside[2], part = 0;
        if (!is_dark(size, side, i))
            continue;
        place_of(size, side, i + 0.5, -(SAMPLES - 1 - INSIDE) * SPACING, &row, &column);
        quad_at(quad, column / size->columns, 1 - row / size->rows, &outside[0], &outside[1]);
        place_of(size, side, i + 0.5, INSIDE * SPACING, &row, &column);
        quad_at(quad, column / size->columns, 1 - row / size->rows, &inside[0], &inside[1]);
        edges->sought++;
        *steps += SAMPLES;
        if (!find_edge(picture, outside, inside, &part))
            continue;
        for (int k = 0; k < 2; k++)
            edges->at[edges->count][k] = outside[k] + part * (inside[k] - outside[k]);
        edges->count++;
    }
}

static bool fit(const struct edges *edges, struct line *line)
{
    double mean[2] = {0}, xx = 0, yy = 0, xy = 0;
    if (edges->count < 3)
        return false;
    for (int i = 0; i < edges->count; i++)
        for (int k = 0; k < 2; k++)
            mean[k] += edges->at[i][k] / edges->count;
    for (int i = 0; i < edges->count; i++) {
        const double x = edges->at[i][0] - mean[0], y = edges->at[i][1] - mean[1];
        xx += x * x;
        yy += y * y;
        xy += x * y;
    }
    const double angle = 0.5 * atan2(2 * xy, xx - yy);
    *line = (struct line){{mean[0], mean[1]}, {cos(angle), sin(angle)}};
    return true;
}

static double off_line(const struct line *line, const double at[2])
{
    return fabs((at[0] - line->at[0]) * line->along[1] - (at[1] - line->at[1]) * line->along[0]);
}

/* The line, without the third of the edges that is farthest from it, unless that is near too. */
static bool fit_well(struct edges *edges, double module, struct line *line)
{
    if (edges->count < LEAST_FOUND * edges->sought || !fit(edges, line))
        return false;
    double sum = 0;
    for (int i = 0; i < edges->count; i++)
        sum += off_line(line, edges->at[i]);
    const double allowed = fmax(LEAST_STRAY * module, 1.2 * sum / edges->count);
    int kept = 0;
    for (int i = 0; i < edges->count; i++)
        if (off_line(line, edges->at[i]) <= allowed) {
            edges->at[kept][0] = edges->at[i][0];
            edges->at[kept][1] = edges->at[i][1];
            kept++;
        }
    if (kept == edges->count || kept < 3)
        return true;
    edges->count = kept;
    return fit(edges, line);
}

bool edge_fit(const struct grey *picture, const struct symbol_size *size, struct quad *quad, int64_t *steps)
{
    const double module = quad_longest(quad) / (size->rows > size->columns ? size->rows : size->columns);
    struct line lines[SIDES];
    struct edges edges;
    for (int side = 0; side < SIDES; side++) {
        find_edges(picture, size, quad, side, &edges, steps);
        if (!fit_well(&edges, module, &lines[side]))
            return false;
    }
    double corners[4][2]; /* of (0,0), (0,1), (1,1), (1,0): left-bottom, left-top, right-top, right-bottom */
    if (!line_meet(&lines[0], &lines[1], corners[0]) || !line_meet(&lines[0], &lines[3], corners[1]) ||
        !line_meet(&lines[2], &lines[3], corners[2]) || !line_meet(&lines[2], &lines[1], corners[3]))
        return false;
    for (int i = 0; i < 4; i++) /* a line laid through something else */
        if (!(hypot(corners[i][0] - quad->corners[i][0], corners[i][1] - quad->corners[i][1]) < 2 * module))
            return false;
    return quad_make(corners, quad);
}

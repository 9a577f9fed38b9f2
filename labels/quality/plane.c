#include "labels/quality/plane.h"

#include <math.h>

#include "labels/quality/solve.h"

/* Moved and scaled so that places lie around 0, about as far away as 1. */
struct frame {
    double x, y, scale;
};

static struct frame frame_of(const double (*places)[2], size_t count)
{
    struct frame frame = {0, 0, 0};
    for (size_t i = 0; i < count; i++) {
        frame.x += places[i][0] / (double)count;
        frame.y += places[i][1] / (double)count;
    }
    for (size_t i = 0; i < count; i++)
        frame.scale += hypot(places[i][0] - frame.x, places[i][1] - frame.y) / (double)count;
    return frame;
}

static void add_place(struct equations *equations, double x, double y, double u, double v)
{
    const double right[2] = {u, v};
    const double for_u[8] = {x, y, 1, 0, 0, 0, -u * x, -u * y}, for_v[8] = {0, 0, 0, x, y, 1, -v * x, -v * y};
    solve_add(equations, for_u, &right[0], 1);
    solve_add(equations, for_v, &right[1], 1);
}

/* Into the frame, by the map between frames, and out of the other frame. */
static struct plane unframe(const double map[8], const struct frame *from, const struct frame *to)
{
    const struct plane in = {
        {{1 / from->scale, 0, -from->x / from->scale}, {0, 1 / from->scale, -from->y / from->scale}, {0, 0, 1}}};
    const struct plane between = {{{map[0], map[1], map[2]}, {map[3], map[4], map[5]}, {map[6], map[7], 1}}};
    const struct plane out = {{{to->scale, 0, to->x}, {0, to->scale, to->y}, {0, 0, 1}}};
    const struct plane first = plane_chain(&in, &between);
    return plane_chain(&first, &out);
}

bool plane_fit(const double (*from)[2], const double (*to)[2], size_t count, struct plane *plane)
{
    const struct frame a = frame_of(from, count), b = frame_of(to, count);
    struct equations equations = {.count = 8, .sides = 1};
    double map[8];
    if (count < 4 || !(a.scale > 0) || !(b.scale > 0))
        return false;
    for (size_t i = 0; i < count; i++)
        add_place(&equations, (from[i][0] - a.x) / a.scale, (from[i][1] - a.y) / a.scale, (to[i][0] - b.x) / b.scale,
                  (to[i][1] - b.y) / b.scale);
    if (!solve(&equations))
        return false;
    for (int i = 0; i < 8; i++)
        map[i] = equations.right[i][0];
    *plane = unframe(map, &a, &b);
    return true;
}

void plane_place(const struct plane *plane, double x, double y, double to[2])
{
    const double(*m)[3] = plane->at;
    const double share = m[2][0] * x + m[2][1] * y + m[2][2];
    to[0] = (m[0][0] * x + m[0][1] * y + m[0][2]) / share;
    to[1] = (m[1][0] * x + m[1][1] * y + m[1][2]) / share;
}

struct plane plane_chain(const struct plane *first, const struct plane *second)
{
    struct plane both = {{{0}}};
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            for (int j = 0; j < 3; j++)
                both.at[i][k] += second->at[i][j] * first->at[j][k];
    return both;
}

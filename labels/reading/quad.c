#include "labels/reading/quad.h"

#include <math.h>
#include <string.h>

static double turn(const double a[2], const double b[2], const double c[2])
{
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
}

/* Square to quadrilateral in closed form (Heckbert 1989, "Fundamentals of Texture Mapping", 2.2.3). */
bool quad_make(const double corners[4][2], struct quad *quad)
{
    const double sign = turn(corners[0], corners[1], corners[2]) < 0 ? -1 : 1;
    for (int i = 0; i < 4; i++) /* all turns the same way; NaN fails too */
        if (!(sign * turn(corners[i], corners[(i + 1) % 4], corners[(i + 2) % 4]) > 1e-6))
            return false;
    const double *p00 = corners[0], *p01 = corners[1], *p11 = corners[2], *p10 = corners[3];
    const double sx = p00[0] - p10[0] + p11[0] - p01[0], sy = p00[1] - p10[1] + p11[1] - p01[1];
    const double dx1 = p10[0] - p11[0], dx2 = p01[0] - p11[0], dy1 = p10[1] - p11[1], dy2 = p01[1] - p11[1];
    const double below = dx1 * dy2 - dx2 * dy1;
    if (!(fabs(below) > 1e-9))
        return false;
    const double g = (sx * dy2 - dx2 * sy) / below, h = (dx1 * sy - sx * dy1) / below;
    struct quad fresh = {.map = {{p10[0] - p00[0] + g * p10[0], p01[0] - p00[0] + h * p01[0], p00[0]},
                                 {p10[1] - p00[1] + g * p10[1], p01[1] - p00[1] + h * p01[1], p00[1]},
                                 {g, h, 1}}};
    memcpy(fresh.corners, corners, sizeof fresh.corners);
    *quad = fresh;
    return true;
}

struct quad quad_mirrored(const struct quad *quad)
{
    static const int from[4] = {0, 3, 2, 1};
    struct quad other;
    for (int i = 0; i < 4; i++)
        memcpy(other.corners[i], quad->corners[from[i]], sizeof other.corners[i]);
    for (int i = 0; i < 3; i++) {
        other.map[i][0] = quad->map[i][1];
        other.map[i][1] = quad->map[i][0];
        other.map[i][2] = quad->map[i][2];
    }
    return other;
}

struct quad quad_scaled(const struct quad *quad, int factor)
{
    const double shift = (factor - 1) / 2.0; /* the centre of the pixels that were joined into one */
    struct quad other = *quad;
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++)
            other.corners[i][k] = quad->corners[i][k] * factor + shift;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < 3; i++)
            other.map[k][i] = quad->map[k][i] * factor + shift * quad->map[2][i];
    return other;
}

bool quad_holds(const double corners[4][2], double x, double y)
{
    const double point[2] = {x, y};
    const double sign = turn(corners[0], corners[1], corners[2]) < 0 ? -1 : 1;
    for (int i = 0; i < 4; i++)
        if (sign * turn(corners[i], corners[(i + 1) % 4], point) < 0)
            return false;
    return true;
}

void quad_at(const struct quad *quad, double u, double v, double *x, double *y)
{
    const double w = quad->map[2][0] * u + quad->map[2][1] * v + quad->map[2][2];
    *x = (quad->map[0][0] * u + quad->map[0][1] * v + quad->map[0][2]) / w;
    *y = (quad->map[1][0] * u + quad->map[1][1] * v + quad->map[1][2]) / w;
}

double quad_longest(const struct quad *quad)
{
    double longest = 0;
    for (int i = 0; i < 4; i++) {
        const double *a = quad->corners[i], *b = quad->corners[(i + 1) % 4];
        longest = fmax(longest, hypot(a[0] - b[0], a[1] - b[1]));
    }
    return longest;
}

#include "labels/quality/straight.h"

#include <math.h>
#include <stdlib.h>

enum { LEAST_POINTS = 5 };
static const double SIGMAS = 2.5, SIGMA_OF_MEDIAN = 1.4826; /* of a normal distribution */

static int by_size(const void *a, const void *b)
{
    const double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

static double distance(const struct straight *line, const double point[2])
{
    return (point[0] - line->x) * line->dy - (point[1] - line->y) * line->dx;
}

static double median_distance(const struct straight *line, const double (*points)[2], size_t count)
{
    double distances[STRAIGHT_POINTS];
    for (size_t i = 0; i < count; i++)
        distances[i] = fabs(distance(line, points[i]));
    qsort(distances, count, sizeof *distances, by_size);
    return distances[count / 2];
}

static bool through(const double a[2], const double b[2], struct straight *line)
{
    const double length = hypot(b[0] - a[0], b[1] - a[1]);
    *line = (struct straight){.x = a[0], .y = a[1], .dx = (b[0] - a[0]) / length, .dy = (b[1] - a[1]) / length};
    return length > 0;
}

static double least_median(const double (*points)[2], size_t count, struct straight *best)
{
    double median = HUGE_VAL;
    for (size_t i = 0; i < count; i++)
        for (size_t k = i + 1; k < count; k++) {
            struct straight line;
            if (!through(points[i], points[k], &line))
                continue;
            const double now = median_distance(&line, points, count);
            if (now < median) {
                median = now;
                *best = line;
            }
        }
    return median;
}

/* Through the middle of the points near `rough`, along the longer axis of their scatter. */
static void draw_through(const double (*points)[2], size_t count, double near, const struct straight *rough,
                         struct straight *line)
{
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (fabs(distance(rough, points[i])) <= near) {
            x += points[i][0];
            y += points[i][1];
            kept++;
        }
    x /= (double)kept;
    y /= (double)kept;
    for (size_t i = 0; i < count; i++)
        if (fabs(distance(rough, points[i])) <= near) {
            xx += (points[i][0] - x) * (points[i][0] - x);
            xy += (points[i][0] - x) * (points[i][1] - y);
            yy += (points[i][1] - y) * (points[i][1] - y);
        }
    const double angle = atan2(2 * xy, xx - yy) / 2, c = cos(angle), s = sin(angle);
    const double across = fmax(xx * s * s - 2 * xy * s * c + yy * c * c, 0);
    *line = (struct straight){x, y, c, s, kept, kept > 2 ? sqrt(across / (double)(kept - 2)) : 0};
}

bool straight_fit(const double (*points)[2], size_t count, double least, struct straight *line)
{
    struct straight rough = {.dx = 1};
    if (count < LEAST_POINTS || count > STRAIGHT_POINTS)
        return false;
    const double median = least_median(points, count, &rough);
    if (!isfinite(median))
        return false;
    draw_through(points, count, fmax(least, SIGMAS * SIGMA_OF_MEDIAN * median), &rough, line);
    return true;
}

bool straight_meet(const struct straight *a, const struct straight *b, double place[2])
{
    const double turn = a->dx * b->dy - a->dy * b->dx;
    const double along = ((b->x - a->x) * b->dy - (b->y - a->y) * b->dx) / turn;
    place[0] = a->x + along * a->dx;
    place[1] = a->y + along * a->dy;
    return isfinite(place[0]) && isfinite(place[1]);
}

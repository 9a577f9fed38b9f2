#include "labels/drawing/hazard_size.h"

#include <stddef.h>

enum { ONE_CM = 10000, AREA_PARTS = 15 };

const struct hazard_size hazard_sizes[HAZARD_SIZES] = {
    {"up to 0.5 l", 500, true, 52000, 74000, 16000, 10000, 1200},
    {"over 0.5 to 3 l", 3000, true, 52000, 74000, 16000, 10000, 1400},
    {"over 3 to 50 l", 50000, false, 74000, 105000, 23000, 23000, 1800},
    {"over 50 to 500 l", 500000, false, 105000, 148000, 32000, 32000, 2000},
    {"over 500 l", INT64_MAX, false, 148000, 210000, 46000, 46000, 2000},
};

const struct hazard_size *hazard_size_of(int64_t capacity_ml)
{
    size_t line = 0;
    while (capacity_ml > hazard_sizes[line].capacity_ml)
        line++;
    return &hazard_sizes[line];
}

static bool holds(const struct hazard_size *size, int width, int height)
{
    return (width >= size->width && height >= size->height) || (width >= size->height && height >= size->width);
}

bool hazard_size_check_label(const struct hazard_size *size, int width, int height, bool small, struct fault *fault)
{
    if (holds(size, width, height) || (small && size->if_possible))
        return true;
    return fault_set(fault, FAULT_INPUT,
                     "a package of %s takes a hazard label of %d x %d mm or more (CLP Annex I table 1.3), not %g x %g: "
                     "choose the larger label%s",
                     size->words, size->width / 1000, size->height / 1000, width / 1000.0, height / 1000.0,
                     size->if_possible ? ", or say 'small' in the template where it does not fit the container" : "");
}

static int root_up(int64_t area)
{
    int64_t side = 0;
    for (int64_t step = 1 << 20; step > 0; step /= 2)
        if ((side + step) * (side + step) < area)
            side += step;
    return (int)side + 1;
}

int hazard_size_side(const struct hazard_size *size, int width, int height)
{
    const bool full = holds(size, width, height);
    const int64_t area = full ? (int64_t)size->width * size->height : (int64_t)width * height;
    const int of_area = root_up((area + AREA_PARTS - 1) / AREA_PARTS);
    const int of_table = full ? size->side : size->side_least;
    const int side = of_area > of_table ? of_area : of_table;
    return side > ONE_CM ? side : ONE_CM;
}

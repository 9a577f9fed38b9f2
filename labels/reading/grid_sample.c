#include "labels/reading/grid_sample.h"

#include <math.h>
#include <string.h>

#include "labels/reading/grey_at.h"

static const float UNSURE = 0.1F;       /* of the contrast, on either side of the limit */
static const double LEAST_CONTRAST = 8; /* twice the grey levels between the quiet zone and the L: less is no L */
enum { MOST_AGAIN = 12 /* tries of a corner once more at one step length */ };

/* Grey at a place counted in modules from the upper left corner. */
static double module_grey(const struct grey *picture, const struct quad *quad, const struct symbol_size *size,
                          double row, double column)
{
    double x = 0, y = 0;
    quad_at(quad, column / size->columns, 1 - row / size->rows, &x, &y);
    return grey_at(picture, x, y);
}

void grid_sample(const struct grey *picture, const struct quad *quad, const struct symbol_size *size, int points,
                 struct grid *grid)
{
    static const double places[GRID_POINTS][2] = {{0, 0}, {-0.2, -0.2}, {-0.2, 0.2}, {0.2, -0.2}, {0.2, 0.2}};
    double sums[2] = {0};
    int counts[2] = {0};
    grid->size = size;
    for (int row = 0; row < size->rows; row++)
        for (int column = 0; column < size->columns; column++) {
            double sum = 0;
            for (int i = 0; i < points; i++)
                sum += module_grey(picture, quad, size, row + 0.5 + places[i][0], column + 0.5 + places[i][1]);
            grid->value[row * size->columns + column] = (float)(sum / points);
            const int wanted = symbol_size_finder_at(size, row, column);
            if (wanted >= 0) {
                sums[wanted] += sum / points;
                counts[wanted]++;
            }
        }
    grid->light = (float)(sums[0] / counts[0]);
    grid->dark = (float)(sums[1] / counts[1]);
}

static float clamped(const struct grid *grid, const float *value, int row, int column)
{
    const int rows = grid->size->rows, columns = grid->size->columns;
    row = row < 0 ? 0 : row >= rows ? rows - 1 : row;
    column = column < 0 ? 0 : column >= columns ? columns - 1 : column;
    return value[row * columns + column];
}

static float local_threshold(const struct grid *grid, const float *value, int row, int column)
{
    enum { REACH = 2 };
    const float middle = (grid->dark + grid->light) / 2, contrast = fabsf(grid->light - grid->dark);
    float least = 255, most = 0;
    for (int r = row - REACH; r <= row + REACH; r++)
        for (int c = column - REACH; c <= column + REACH; c++) {
            least = fminf(least, clamped(grid, value, r, c));
            most = fmaxf(most, clamped(grid, value, r, c));
        }
    return most - least > contrast / 2 ? (least + most) / 2 : middle;
}

static void sharpen(const struct grid *grid, float *value)
{
    const float leak = 0.12f; /* of a module's light from each of its four neighbours: a blur of half a module */
    for (int row = 0; row < grid->size->rows; row++)
        for (int column = 0; column < grid->size->columns; column++) {
            const float here = clamped(grid, grid->value, row, column);
            const float around =
                clamped(grid, grid->value, row - 1, column) + clamped(grid, grid->value, row + 1, column) +
                clamped(grid, grid->value, row, column - 1) + clamped(grid, grid->value, row, column + 1);
            value[row * grid->size->columns + column] = here + leak * (4 * here - around);
        }
}

void grid_decide(const struct grid *grid, enum grid_threshold threshold, uint8_t *modules, uint8_t *unsure)
{
    const int count = grid->size->rows * grid->size->columns;
    const bool inverted = grid->dark > grid->light;
    const float near = UNSURE * fabsf(grid->light - grid->dark);
    float value[SYMBOL_MODULES];
    memcpy(value, grid->value, (size_t)count * sizeof *value);
    if (threshold == GRID_SHARPENED)
        sharpen(grid, value);
    for (int i = 0; i < count; i++) {
        const float limit = threshold == GRID_GLOBAL
                                ? (grid->dark + grid->light) / 2
                                : local_threshold(grid, value, i / grid->size->columns, i % grid->size->columns);
        modules[i] = (value[i] < limit) != inverted;
        if (unsure)
            unsure[i] = fabsf(value[i] - limit) < near;
    }
}

/* Light minus dark over the finder's modules and one module of quiet zone around: largest when the grid lies right.
 * Three points across each edge module pin the edges themselves down, not only the modules' centres. */
static double finder_contrast(const struct grey *picture, const struct quad *quad, const struct symbol_size *size,
                              int thin)
{
    static const double across[3] = {0.2, 0.5, 0.8};
    const int rows = size->rows, columns = size->columns;
    double dark = 0, light = 0;
    int darks = 0, lights = 0;
    for (int side = 0; side < 4; side++) {
        const int length = side % 2 ? columns : rows; /* left, bottom, right, top */
        for (int i = 0; i < length; i += thin)
            for (int k = 0; k < 6; k++) {
                const double depth = k < 3 ? across[k] : across[k - 3] - 1; /* from the edge inwards */
                const double row = side == 0 || side == 2 ? i + 0.5 : side == 1 ? rows - depth : depth;
                const double column = side == 1 || side == 3 ? i + 0.5 : side == 0 ? depth : columns - depth;
                const double grey = module_grey(picture, quad, size, row, column);
                if (k < 3 && symbol_size_finder_at(size, (int)row, (int)column) == 1) {
                    dark += grey;
                    darks++;
                } else {
                    light += grey;
                    lights++;
                }
            }
    }
    return light / lights - dark / darks;
}

double grid_clock(const struct grey *picture, const struct quad *quad, const struct symbol_size *size)
{
    const int rows = size->rows, columns = size->columns;
    double clock[2] = {0}, leg = 0, quiet = 0;
    for (int column = 1; column + 1 < columns; column++) {
        clock[column % 2] += module_grey(picture, quad, size, 0.5, column + 0.5) / (columns - 2);
        leg += module_grey(picture, quad, size, rows - 0.5, column + 0.5) / (columns - 2);
        quiet += module_grey(picture, quad, size, rows + 0.5, column + 0.5) / (columns - 2);
    }
    for (int row = 1; row + 1 < rows; row++) {
        clock[1 - row % 2] += module_grey(picture, quad, size, row + 0.5, columns - 0.5) / (rows - 2);
        leg += module_grey(picture, quad, size, row + 0.5, 0.5) / (rows - 2);
        quiet += module_grey(picture, quad, size, row + 0.5, -0.5) / (rows - 2);
    }
    const double contrast = quiet - leg; /* both are sums of two means, as twice the half modules of the clock are */
    return fabs(contrast) < LEAST_CONTRAST ? 0 : 2 * (clock[1] - clock[0]) / contrast;
}

/* Moves one corner after the other as long as it helps, by half as much each round. Looks at every `thin`th module of
 * the sides. */
static void climb(const struct grey *picture, const struct symbol_size *size, double step, int rounds, int thin,
                  struct quad *quad)
{
    static const int8_t sides[8][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}};
    double best = finder_contrast(picture, quad, size, thin);
    const double sign = best < 0 ? -1 : 1;
    best *= sign;
    for (; rounds > 0; rounds--, step /= 2)
        for (int i = 0, again = 0; i < 32; i++) { /* each corner, to eight sides */
            double corners[4][2];
            struct quad moved;
            memcpy(corners, quad->corners, sizeof corners);
            corners[i / 8][0] += step * sides[i % 8][0];
            corners[i / 8][1] += step * sides[i % 8][1];
            if (!quad_make(corners, &moved))
                continue;
            const double contrast = sign * finder_contrast(picture, &moved, size, thin);
            if (contrast <= best)
                continue;
            best = contrast;
            *quad = moved;
            if (again++ < MOST_AGAIN)
                i = i / 8 * 8 - 1; /* the same corner */
        }
}

static double module_length(const struct symbol_size *size, const struct quad *quad)
{
    return quad_longest(quad) / (size->rows > size->columns ? size->rows : size->columns);
}

void grid_fit(const struct grey *picture, const struct symbol_size *size, struct quad *quad, int64_t *steps)
{
    const double module = module_length(size, quad);
    /* odd steps meet the clock track's dark and light modules by turns */
    const int thin = 1 + (size->rows + size->columns) / 24 / 2 * 2;
    climb(picture, size, 0.6 * module, 2, thin + 2, quad);
    climb(picture, size, 0.15 * module, 2, thin, quad);
    *steps += (int64_t)4 * 40 * 12 * (size->rows + size->columns);
}

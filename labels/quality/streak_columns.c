#include "labels/quality/streak_columns.h"

#include <math.h>
#include <stdlib.h>

/* A quarter of a column's modules may be less pale than this and the column still counts: a dead dot of four lightens
 * all of a column's ink by a fifth or so, and by less when it lies at the module's rim. */
static const double LEAST_PALE = 0.05;

enum {
    NEIGHBOURS = 5,    /* 0 to 4 of a module's four are light */
    LEAST_MODULES = 5, /* of ink in a column or in a class of modules, to speak for it */
    BESIDE = 4,        /* columns on each side that a column is compared with */
    BINS_A_GREY = 4,
    BINS = 256 * BINS_A_GREY
};

struct column {
    double low, middle; /* quarter and half of its modules' excess; NaN: too little ink */
};

static int by_size(const void *a, const void *b)
{
    const double one = *(const double *)a, two = *(const double *)b;
    return (one > two) - (one < two);
}

/* The value below which `part` of the list lies; sorts it. NaN when there are too few. */
static double quantile(double *list, size_t count, size_t least, double part)
{
    if (count < least)
        return NAN;
    qsort(list, count, sizeof *list, by_size);
    const double place = part * (double)(count - 1);
    const size_t below = (size_t)place;
    const double next = list[below + 1 < count ? below + 1 : below];
    return list[below] + (place - (double)below) * (next - list[below]);
}

static int light_neighbours(const struct module_values *values, int place)
{
    const int stride = values->size->columns + 2;
    return !values->dark[place - 1] + !values->dark[place + 1] + !values->dark[place - stride] +
           !values->dark[place + stride];
}

/* What ink with so many light neighbours usually looks like in this symbol: the median, counted in quarters of a grey
 * because a sorted list of the largest symbol's modules is too long for a stack. NaN: too little of such ink. */
static void find_usual(const struct module_values *values, double usual[NEIGHBOURS])
{
    const struct symbol_size *size = values->size;
    int bins[NEIGHBOURS][BINS] = {{0}}, counts[NEIGHBOURS] = {0};
    for (int row = 0; row < size->rows; row++)
        for (int column = 0; column < size->columns; column++) {
            const int place = module_values_place(size, row, column);
            const int bin = (int)(values->value[place] * BINS_A_GREY);
            if (!values->dark[place])
                continue;
            bins[light_neighbours(values, place)][bin < 0 ? 0 : bin < BINS ? bin : BINS - 1]++;
            counts[light_neighbours(values, place)]++;
        }
    for (int class = 0; class < NEIGHBOURS; class ++) {
        int bin = 0;
        for (int below = bins[class][0]; 2 * below < counts[class]; below += bins[class][bin])
            bin++;
        usual[class] = counts[class] < LEAST_MODULES ? NAN : (bin + 0.5) / BINS_A_GREY;
    }
}

static struct column look_at(const struct module_values *values, const double usual[NEIGHBOURS], double range,
                             int column)
{
    double excess[SYMBOL_SIDE];
    size_t count = 0;
    for (int row = 0; row < values->size->rows; row++) {
        const int place = module_values_place(values->size, row, column);
        if (!values->dark[place])
            continue;
        const double usual_here = usual[light_neighbours(values, place)];
        if (!isnan(usual_here))
            excess[count++] = (values->value[place] - usual_here) / range;
    }
    return (struct column){quantile(excess, count, LEAST_MODULES, 0.25), quantile(excess, count, LEAST_MODULES, 0.5)};
}

static double paleness(const struct column *all, int count, int column)
{
    double beside[2 * BESIDE];
    size_t found = 0;
    for (int i = column - BESIDE; i <= column + BESIDE; i++)
        if (i >= 0 && i < count && i != column && !isnan(all[i].middle))
            beside[found++] = all[i].middle;
    return all[column].low - quantile(beside, found, BESIDE / 2, 0.5); /* NaN when either is */
}

/* Pale columns that touch are one mark: one dot may lie on the line between two. */
static void mark(struct streak_columns *columns, int first, int last, const double *pale)
{
    double weight = 0, sum = 0, most = 0;
    if (columns->count == STREAK_MARKS)
        return;
    for (int i = first; i <= last; i++) {
        weight += pale[i];
        sum += pale[i] * (i + 0.5);
        most = fmax(most, pale[i]);
    }
    columns->marks[columns->count++] = (struct streak_mark){sum / weight, most};
}

void streak_columns_measure(const struct module_values *values, const struct module_contrast *contrast,
                            struct streak_columns *columns)
{
    struct column all[SYMBOL_SIDE];
    double usual[NEIGHBOURS], pale[SYMBOL_SIDE];
    const double range = contrast->light - contrast->dark;
    const int count = values->size->columns;
    columns->count = 0;
    if (!(range > 0))
        return;
    find_usual(values, usual);
    for (int i = 0; i < count; i++)
        all[i] = look_at(values, usual, range, i);
    for (int i = 0; i < count; i++)
        pale[i] = paleness(all, count, i);
    for (int i = 0; i < count; i++) {
        const int first = i;
        while (i < count && pale[i] >= LEAST_PALE)
            i++;
        if (i > first)
            mark(columns, first, i - 1, pale);
    }
}

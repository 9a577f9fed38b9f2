#include "labels/quality/codeword_quality.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "labels/quality/level.h"
#include "labels/reading/placement.h"

/* One number a codeword, of its poorest module. */
struct poorest {
    const struct symbol_size *size;
    double of[SYMBOL_CODEWORDS];
};

double codeword_unused(const struct symbol_size *size, const uint8_t *bad)
{
    const int check = size->check / size->blocks;
    int most = 0;
    for (int block = 0; block < size->blocks; block++) {
        int count = 0;
        for (int i = block; i < size->data + size->check; i += size->blocks)
            count += bad[i] != 0;
        most = count > most ? count : most;
    }
    return fmax(0, 1 - 2.0 * most / check);
}

static void find_poorest(const struct module_values *values, const struct module_contrast *contrast,
                         double (*number)(const struct module_values *, const struct module_contrast *, int),
                         struct poorest *poorest)
{
    uint16_t order[SYMBOL_MAPPING];
    const struct symbol_size *size = values->size;
    const int rows = symbol_size_mapping_rows(size), columns = symbol_size_mapping_columns(size);
    poorest->size = size;
    placement_order(size, order);
    for (int i = 0; i < size->data + size->check; i++)
        poorest->of[i] = 1;
    for (int i = 0; i < rows * columns; i++) {
        if (order[i] >= PLACEMENT_FIXED_DARK)
            continue;
        const int place = module_values_place(size, symbol_size_symbol_row(size, i / columns),
                                              symbol_size_symbol_column(size, i % columns));
        double *least = &poorest->of[order[i] / 8];
        *least = fmin(*least, number(values, contrast, place));
    }
}

static double rightness(const struct module_values *values, const struct module_contrast *contrast, int place)
{
    return module_values_seen_dark(values, contrast, place) == (values->dark[place] != 0);
}

struct codeword_unused_now codeword_unused_measure(const struct module_values *values,
                                                   const struct module_contrast *contrast)
{
    struct poorest right;
    uint8_t wrong[SYMBOL_CODEWORDS];
    struct codeword_unused_now now = {0};
    find_poorest(values, contrast, rightness, &right);
    for (int i = 0; i < values->size->data + values->size->check; i++) {
        wrong[i] = right.of[i] == 0;
        now.wrong += wrong[i];
    }
    now.unused = codeword_unused(values->size, wrong);
    now.level = level_of(LEVEL_UNUSED, now.unused);
    return now;
}

static int left_of_correction(const void *context, int limit)
{
    const struct poorest *poorest = context;
    uint8_t bad[SYMBOL_CODEWORDS];
    for (int i = 0; i < poorest->size->data + poorest->size->check; i++)
        bad[i] = level_of(LEVEL_MODULATION, poorest->of[i]) < limit;
    return level_of(LEVEL_UNUSED, codeword_unused(poorest->size, bad));
}

static int by_number(const void *one, const void *two)
{
    const double a = *(const double *)one, b = *(const double *)two;
    return (a > b) - (a < b);
}

struct codeword_modulation codeword_modulation_measure(const struct module_values *values,
                                                       const struct module_contrast *contrast, bool margin)
{
    struct poorest poorest;
    find_poorest(values, contrast, margin ? module_values_margin : module_values_modulation, &poorest);
    const int level = level_overlay(left_of_correction, &poorest);
    const int count = values->size->data + values->size->check;
    qsort(poorest.of, (size_t)count, sizeof *poorest.of, by_number);
    return (struct codeword_modulation){poorest.of[0], poorest.of[count / 2], level};
}

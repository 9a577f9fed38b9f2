#include "labels/quality/module_values.h"

#include <math.h>
#include <string.h>

#include "labels/reading/module_matrix.h"
#include "labels/reading/reed_solomon.h"

void module_values_want(const struct symbol_size *size, const uint8_t *data, struct module_values *values)
{
    uint8_t codewords[SYMBOL_CODEWORDS], modules[SYMBOL_MODULES];
    memcpy(codewords, data, (size_t)size->data);
    reed_solomon_extend(size, codewords);
    module_matrix_write(size, codewords, modules);
    values->size = size;
    memset(values->dark, 0, sizeof values->dark);
    for (int row = 0; row < size->rows; row++)
        memcpy(&values->dark[module_values_place(size, row, 0)], &modules[row * size->columns], (size_t)size->columns);
}

struct module_contrast module_values_contrast(const struct module_values *values)
{
    const int count = (values->size->rows + 2) * (values->size->columns + 2);
    struct module_contrast contrast = {values->value[0], values->value[0], 0};
    for (int i = 1; i < count; i++) {
        contrast.dark = fmin(contrast.dark, values->value[i]);
        contrast.light = fmax(contrast.light, values->value[i]);
    }
    contrast.threshold = (contrast.dark + contrast.light) / 2;
    return contrast;
}

bool module_values_seen_dark(const struct module_values *values, const struct module_contrast *contrast, int place)
{
    return values->value[place] < contrast->threshold;
}

double module_values_modulation(const struct module_values *values, const struct module_contrast *contrast, int place)
{
    const double range = contrast->light - contrast->dark;
    return range > 0 ? 2 * fabs(values->value[place] - contrast->threshold) / range : 0;
}

double module_values_margin(const struct module_values *values, const struct module_contrast *contrast, int place)
{
    const bool right = module_values_seen_dark(values, contrast, place) == (values->dark[place] != 0);
    return right ? module_values_modulation(values, contrast, place) : 0;
}

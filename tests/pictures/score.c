#include "tests/pictures/score.h"

#include <math.h>
#include <string.h>

static double farthest_corner(const struct stage_symbol *symbol, const struct reader_symbol *read)
{
    double farthest = 0;
    for (int i = 0; i < 4; i++)
        farthest = fmax(
            farthest, hypot(symbol->corners[i][0] - read->corners[i][0], symbol->corners[i][1] - read->corners[i][1]));
    return farthest / symbol->module;
}

static bool same(const struct stage_symbol *symbol, const struct reader_symbol *read)
{
    return symbol->length == read->length && memcmp(symbol->bytes, read->bytes, read->length) == 0 &&
           symbol->size->rows == read->rows && symbol->size->columns == read->columns;
}

void score_add(struct score *score, const struct stage *stage, const struct reader_result *result,
               unsigned char *missed)
{
    unsigned char seen[STAGE_SYMBOLS] = {0};
    for (size_t i = 0; i < result->count; i++) {
        const struct reader_symbol *read = &result->symbols[i];
        size_t best = stage->count;
        for (size_t k = 0; k < stage->count; k++) /* small symbols may say the same: the nearest counts */
            if (!seen[k] && same(&stage->symbols[k], read) &&
                (best == stage->count ||
                 farthest_corner(&stage->symbols[k], read) < farthest_corner(&stage->symbols[best], read)))
                best = k;
        if (best == stage->count) {
            score->wrong++;
            continue;
        }
        seen[best] = 1;
        const struct stage_symbol *symbol = &stage->symbols[best];
        const bool off = farthest_corner(symbol, read) > 1 || symbol->mirrored != read->mirrored ||
                         symbol->inverted != read->inverted;
        score->found += !off;
        score->off += off;
    }
    for (size_t k = 0; missed && k < stage->count; k++)
        missed[k] = !seen[k];
    score->pictures++;
    score->symbols += (int)stage->count;
}

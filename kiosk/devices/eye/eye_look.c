#include "kiosk/devices/eye/eye_look.h"

#include <math.h>
#include <string.h>

_Static_assert(sizeof(struct eye_look) == 16 + 4 * 4 + 8 * (EYE_LOOK_NUMBERS + 2 * STREAK_MARKS), "no holes");

static const double LARGEST = 1e4; /* pixels a module of the largest picture; all else is far below */

void eye_look_write(const struct quality_brief *brief, uint32_t request, uint32_t index, struct eye_look *look)
{
    const double numbers[EYE_LOOK_NUMBERS] = {brief->pixels_a_module, brief->modulation, brief->margin,
                                              brief->unused,          brief->axial,      brief->grid,
                                              brief->growth[0],       brief->growth[1],  brief->contrast};
    *look =
        (struct eye_look){.index = index, .fixed_level = brief->fixed_level, .marks = (uint32_t)brief->streaks.count};
    eye_header_write(&look->header, EYE_LOOK, request, sizeof *look);
    memcpy(look->numbers, numbers, sizeof numbers);
    for (size_t i = 0; i < brief->streaks.count; i++) {
        look->at[i] = brief->streaks.marks[i].at;
        look->pale[i] = brief->streaks.marks[i].pale;
    }
}

/* NaN is a number that could not be measured. */
static bool numbers_fit(const struct eye_look *look)
{
    for (int i = 0; i < EYE_LOOK_NUMBERS; i++)
        if (!isnan(look->numbers[i]) && !(fabs(look->numbers[i]) <= LARGEST))
            return false;
    return look->numbers[0] > 0 && look->fixed_level >= 0 && look->fixed_level <= LEVEL_BEST && look->reserved == 0;
}

/* From the left, within the largest symbol. */
static bool marks_fit(const struct eye_look *look)
{
    double before = 0;
    if (look->marks > STREAK_MARKS)
        return false;
    for (uint32_t i = 0; i < STREAK_MARKS; i++) {
        const double at = look->at[i], pale = look->pale[i];
        if (i < look->marks ? !(at > before && at < SYMBOL_SIDE && pale > 0 && pale <= 2) : at != 0 || pale != 0)
            return false;
        before = at;
    }
    return true;
}

bool eye_look_read(const uint8_t *packet, uint32_t index, struct quality_brief *brief)
{
    struct eye_look look;
    memcpy(&look, packet, sizeof look);
    if (look.index != index || !numbers_fit(&look) || !marks_fit(&look))
        return false;
    const double *numbers = look.numbers;
    *brief = (struct quality_brief){.pixels_a_module = numbers[0],
                                    .modulation = numbers[1],
                                    .margin = numbers[2],
                                    .unused = numbers[3],
                                    .axial = numbers[4],
                                    .grid = numbers[5],
                                    .growth = {numbers[6], numbers[7]},
                                    .contrast = numbers[8],
                                    .fixed_level = look.fixed_level,
                                    .streaks = {.count = look.marks}};
    for (uint32_t i = 0; i < look.marks; i++)
        brief->streaks.marks[i] = (struct streak_mark){look.at[i], look.pale[i]};
    return true;
}

#include "labels/drawing/pitch.h"

#include <stdint.h>

#include "labels/drawing/dots.h"

static const int64_t UM_AN_INCH = 25400;

struct pitch pitch_nominal(int dpi)
{
    return (struct pitch){dpi, {PITCH_ONE, PITCH_ONE}};
}

bool pitch_check(const struct pitch *pitch, struct fault *fault)
{
    if (pitch->dpi < DOTS_DPI_MIN || pitch->dpi > DOTS_DPI_MAX)
        return fault_set(fault, FAULT_INPUT, "%d dots per inch is outside %d to %d: give the printer's own resolution",
                         pitch->dpi, DOTS_DPI_MIN, DOTS_DPI_MAX);
    for (int i = 0; i < PITCH_AXES; i++)
        if (pitch->size[i] < PITCH_ONE - PITCH_OFF_MOST || pitch->size[i] > PITCH_ONE + PITCH_OFF_MOST)
            return fault_set(fault, FAULT_INPUT,
                             "a printer that is %+g %% off is not one that can be set right: calibrate it anew",
                             (pitch->size[i] - PITCH_ONE) * 100.0 / PITCH_ONE);
    return true;
}

/* Exact: 420 mm at 1200 dpi are 5e13 here. */
static int64_t whole(const struct pitch *pitch, enum pitch_axis axis, int um, int64_t *over)
{
    *over = UM_AN_INCH * pitch->size[axis];
    return (int64_t)um * pitch->dpi * PITCH_ONE;
}

int pitch_dots(const struct pitch *pitch, enum pitch_axis axis, int um)
{
    int64_t over;
    const int64_t dots = whole(pitch, axis, um, &over);
    return (int)((dots + over / 2) / over);
}

int pitch_before(const struct pitch *pitch, enum pitch_axis axis, int um)
{
    int64_t over;
    const int64_t dots = whole(pitch, axis, um, &over);
    return (int)(dots / over);
}

int pitch_after(const struct pitch *pitch, enum pitch_axis axis, int um)
{
    int64_t over;
    const int64_t dots = whole(pitch, axis, um, &over);
    return (int)((dots + over - 1) / over);
}

int pitch_after_both(const struct pitch *pitch, int um)
{
    const int across = pitch_after(pitch, PITCH_ACROSS, um), down = pitch_after(pitch, PITCH_DOWN, um);
    return across > down ? across : down;
}

int pitch_module_um(const struct pitch *pitch, int module)
{
    const int size =
        pitch->size[PITCH_ACROSS] < pitch->size[PITCH_DOWN] ? pitch->size[PITCH_ACROSS] : pitch->size[PITCH_DOWN];
    return (int)(module * UM_AN_INCH * size / ((int64_t)pitch->dpi * PITCH_ONE));
}

double pitch_mm(const struct pitch *pitch, enum pitch_axis axis, double dots)
{
    return dots * 25.4 / pitch->dpi * pitch->size[axis] / PITCH_ONE;
}

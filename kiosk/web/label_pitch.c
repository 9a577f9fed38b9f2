#include "kiosk/web/label_pitch.h"

_Static_assert((int)CALIBRATION_SIZE_ONE == (int)PITCH_ONE, "a calibration's sizes are those of a pitch");
_Static_assert((int)CALIBRATION_SIZE_OFF_MOST == (int)PITCH_OFF_MOST, "and within its limits");

struct pitch label_pitch_of(const struct label_printer *printer)
{
    struct pitch pitch = pitch_nominal((int)printer->dpi);
    if (printer->size_across != MOVEMENT_NULL)
        pitch.size[PITCH_ACROSS] = (int)printer->size_across;
    if (printer->size_down != MOVEMENT_NULL)
        pitch.size[PITCH_DOWN] = (int)printer->size_down;
    return pitch;
}

#ifndef KIOSK_DEVICES_EYE_EYE_LOOK_H
#define KIOSK_DEVICES_EYE_EYE_LOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/devices/eye/eye_message.h"
#include "labels/quality/level.h"
#include "labels/quality/quality_brief.h"

/* How well a symbol is printed, as one packet of the worker's answer (eye_message.h): it follows the eye_symbol it is
 * about, when EYE_LOOKS was wished and the symbol could be judged. Checked as strictly as the rest. Pure. */

enum { EYE_LOOK_NUMBERS = 9 };

struct eye_look {
    struct eye_header header;
    uint32_t index; /* of the symbol before it */
    int32_t fixed_level;
    uint32_t marks;
    uint32_t reserved;                           /* 0 */
    double numbers[EYE_LOOK_NUMBERS];            /* as quality_brief has them from pixels_a_module to contrast */
    double at[STREAK_MARKS], pale[STREAK_MARKS]; /* past `marks`: 0 */
};

void eye_look_write(const struct quality_brief *brief, uint32_t request, uint32_t index, struct eye_look *look);

/* The packet has the length of a look. False: it is not what a healthy worker sends; `*brief` untouched. */
bool eye_look_read(const uint8_t *packet, uint32_t index, struct quality_brief *brief);

#endif

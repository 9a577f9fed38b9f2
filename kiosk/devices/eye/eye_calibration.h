#ifndef KIOSK_DEVICES_EYE_EYE_CALIBRATION_H
#define KIOSK_DEVICES_EYE_EYE_CALIBRATION_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/devices/eye/eye_message.h"

/* What was measured of a calibration label, or why it could not be, as one packet of the worker's answer
 * (eye_message.h): it follows the last symbol when EYE_LOOKS was wished and one of the symbols is a calibration
 * label's. Checked as strictly as the rest. Pure. */

enum { EYE_CALIBRATION_NUMBERS = 11, EYE_CALIBRATION_COUNTS = 6 };

struct eye_calibration_packet {
    struct eye_header header;
    uint32_t fault_code;                     /* FAULT_NONE: it was measured */
    uint32_t reserved;                       /* 0 */
    int32_t counts[EYE_CALIBRATION_COUNTS];  /* as calibration_measure has its whole numbers; with a fault 0 */
    double numbers[EYE_CALIBRATION_NUMBERS]; /* and the others, in its order */
    char fault_text[FAULT_TEXT_SIZE];        /* without a fault all NUL */
};

void eye_calibration_write(const struct eye_calibration *calibration, uint32_t request,
                           struct eye_calibration_packet *packet);

/* The packet has its length. False: it is not what a healthy worker sends; `*calibration` untouched. */
bool eye_calibration_read(const uint8_t *packet, struct eye_calibration *calibration);

#endif

#include "kiosk/devices/eye/eye_calibration.h"

#include <math.h>
#include <string.h>

#include "kiosk/devices/eye/eye_text.h"

_Static_assert(sizeof(struct eye_calibration_packet) ==
                   16 + 2 * 4 + 4 * EYE_CALIBRATION_COUNTS + 8 * EYE_CALIBRATION_NUMBERS + FAULT_TEXT_SIZE,
               "no holes");

static const double LARGEST = 1e4; /* millimetres or degrees: all are far below */

enum { COUNT_LARGEST = 1000000, SIZE_ACROSS = 2, SIZE_DOWN = 3, FIRST_ERROR = 5 };

static void write_measure(const struct calibration_measure *measure, struct eye_calibration_packet *packet)
{
    const int32_t counts[EYE_CALIBRATION_COUNTS] = {measure->dpi,   measure->width_um,   measure->height_um,
                                                    measure->lines, measure->stretch_mm, measure->stretch_down_mm};
    const double numbers[EYE_CALIBRATION_NUMBERS] = {measure->left_mm,         measure->top_mm,
                                                     measure->size_across,     measure->size_down,
                                                     measure->turn_degrees,    measure->left_error_mm,
                                                     measure->top_error_mm,    measure->size_across_error,
                                                     measure->size_down_error, measure->turn_error_degrees,
                                                     measure->scatter_mm};
    memcpy(packet->counts, counts, sizeof counts);
    memcpy(packet->numbers, numbers, sizeof numbers);
}

void eye_calibration_write(const struct eye_calibration *calibration, uint32_t request,
                           struct eye_calibration_packet *packet)
{
    *packet = (struct eye_calibration_packet){.fault_code = FAULT_NONE};
    eye_header_write(&packet->header, EYE_CALIBRATION, request, sizeof *packet);
    if (calibration->measured) {
        write_measure(&calibration->measure, packet);
        return;
    }
    packet->fault_code = (uint32_t)calibration->why.code;
    const size_t length = strnlen(calibration->why.text, sizeof packet->fault_text - 1);
    memcpy(packet->fault_text, calibration->why.text, length);
    eye_text_clean(packet->fault_text, length);
}

static bool is_near_one(double size)
{
    return size > 0.9 && size < 1.1;
}

static bool numbers_fit(const struct eye_calibration_packet *packet)
{
    const double *numbers = packet->numbers;
    for (int i = 0; i < EYE_CALIBRATION_NUMBERS; i++)
        if (!(fabs(numbers[i]) <= LARGEST) || (i >= FIRST_ERROR && numbers[i] < 0))
            return false;
    for (int i = 0; i < EYE_CALIBRATION_COUNTS; i++)
        if (packet->counts[i] < (i < 4) || packet->counts[i] > COUNT_LARGEST) /* only a stretch may be 0 */
            return false;
    return is_near_one(numbers[SIZE_ACROSS]) && is_near_one(numbers[SIZE_DOWN]) && packet->fault_text[0] == '\0';
}

static bool fault_fits(const struct eye_calibration_packet *packet)
{
    for (int i = 0; i < EYE_CALIBRATION_NUMBERS; i++)
        if (packet->numbers[i] != 0)
            return false;
    for (int i = 0; i < EYE_CALIBRATION_COUNTS; i++)
        if (packet->counts[i] != 0)
            return false;
    return (packet->fault_code == FAULT_INPUT || packet->fault_code == FAULT_STORAGE) &&
           eye_text_fits(packet->fault_text);
}

static struct calibration_measure measure_of(const struct eye_calibration_packet *packet)
{
    const int32_t *counts = packet->counts;
    const double *numbers = packet->numbers;
    return (struct calibration_measure){.dpi = counts[0],
                                        .width_um = counts[1],
                                        .height_um = counts[2],
                                        .lines = counts[3],
                                        .stretch_mm = counts[4],
                                        .stretch_down_mm = counts[5],
                                        .left_mm = numbers[0],
                                        .top_mm = numbers[1],
                                        .size_across = numbers[2],
                                        .size_down = numbers[3],
                                        .turn_degrees = numbers[4],
                                        .left_error_mm = numbers[5],
                                        .top_error_mm = numbers[6],
                                        .size_across_error = numbers[7],
                                        .size_down_error = numbers[8],
                                        .turn_error_degrees = numbers[9],
                                        .scatter_mm = numbers[10]};
}

bool eye_calibration_read(const uint8_t *bytes, struct eye_calibration *calibration)
{
    struct eye_calibration_packet packet;
    memcpy(&packet, bytes, sizeof packet);
    if (packet.reserved != 0)
        return false;
    if (packet.fault_code == FAULT_NONE) {
        if (!numbers_fit(&packet))
            return false;
        *calibration = (struct eye_calibration){.measured = true, .measure = measure_of(&packet)};
        return true;
    }
    if (!fault_fits(&packet))
        return false;
    *calibration = (struct eye_calibration){.why = {.code = (enum fault_code)packet.fault_code}};
    memcpy(calibration->why.text, packet.fault_text, sizeof calibration->why.text);
    return true;
}

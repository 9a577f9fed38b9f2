#include "kiosk/devices/printer_raster.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Offsets from the start of the file: its 4 letters, then the page header. */
enum { LETTERS = 4, RESOLUTION_AT = LETTERS + 276, WIDTH_AT = LETTERS + 372, HEIGHT_AT = LETTERS + 376 };
enum { HEADER_END = LETTERS + 1796, UNITS_PER_INCH = 2540 };

static uint32_t number_at(const uint8_t *bytes, size_t at)
{
    return (uint32_t)bytes[at] << 24 | (uint32_t)bytes[at + 1] << 16 | (uint32_t)bytes[at + 2] << 8 | bytes[at + 3];
}

static bool is_about(uint32_t dots, int side, int dpi)
{
    const int64_t wanted = ((int64_t)side * dpi + UNITS_PER_INCH / 2) / UNITS_PER_INCH;
    return llabs((int64_t)dots - wanted) <= 1; /* drawn down or up to a whole dot */
}

static bool header_read(const struct printer_document *document, uint8_t header[HEADER_END])
{
    if (document->length < HEADER_END)
        return false;
    if (document->bytes)
        memcpy(header, document->bytes, HEADER_END);
    else if (pread(document->fd, header, HEADER_END, 0) != HEADER_END)
        return false;
    return memcmp(header, "RaS2", LETTERS) == 0;
}

bool printer_raster_check(const struct printer_document *document, int media_x, int media_y, int resolution_dpi,
                          struct fault *fault)
{
    uint8_t header[HEADER_END];
    if (!header_read(document, header))
        return fault_set(fault, FAULT_INPUT,
                         "the label is not PWG raster: draw it as .pwg, printers dither anything else");
    const uint32_t x_dpi = number_at(header, RESOLUTION_AT), y_dpi = number_at(header, RESOLUTION_AT + 4);
    if (resolution_dpi <= 0 || x_dpi != (uint32_t)resolution_dpi || y_dpi != (uint32_t)resolution_dpi)
        return fault_set(fault, FAULT_INPUT, "the label is drawn at %ux%u dpi and the printer prints %d: draw it again",
                         x_dpi, y_dpi, resolution_dpi);
    const uint32_t width = number_at(header, WIDTH_AT), height = number_at(header, HEIGHT_AT);
    if (!is_about(width, media_x, x_dpi) || !is_about(height, media_y, y_dpi))
        return fault_set(fault, FAULT_INPUT,
                         "the label has %ux%u dots and the roll is %d.%02dx%d.%02d mm at %d dpi: draw it for that roll",
                         width, height, media_x / 100, media_x % 100, media_y / 100, media_y % 100, resolution_dpi);
    return true;
}

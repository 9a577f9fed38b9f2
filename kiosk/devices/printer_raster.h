#ifndef KIOSK_DEVICES_PRINTER_RASTER_H
#define KIOSK_DEVICES_PRINTER_RASTER_H

#include "kiosk/devices/printer_wire.h"

/* The last look at a label before it goes to the printer: PWG raster, its page header saying the size and resolution
 * of the job, to one dot. A PDF, or a label drawn for another roll, would be scaled, dithered or cut by the printer.
 * Source: PWG 5102.4, 4 bytes "RaS2", then a header of 1796 bytes, numbers big-endian. False: `fault` is filled. */
bool printer_raster_check(const struct printer_document *document, int media_x, int media_y, int resolution_dpi,
                          struct fault *fault);

#endif

#ifndef KIOSK_DEVICES_EYE_EYE_TEXT_H
#define KIOSK_DEVICES_EYE_EYE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"

/* A fault's text on its way from the worker to the kiosk: UTF-8, printable, ended with NUL. A library's own words may
 * be part of it, and they may quote the picture. Pure. */

/* Control characters and broken UTF-8 become '?'. */
void eye_text_clean(char *text, size_t length);

/* Is it such a text, and not an empty one? */
bool eye_text_fits(const char text[FAULT_TEXT_SIZE]);

#endif

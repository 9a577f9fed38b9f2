#ifndef KIOSK_DEVICES_PRINTER_MESSAGE_H
#define KIOSK_DEVICES_PRINTER_MESSAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* A look at the bytes of an IPP message before libcups takes them apart (RFC 8010 3.1). libcups reads a collection
 * within a collection by calling itself: an answer of 180 KB that nests 16 000 of them ends the program for want of
 * stack (libcups 2.4.2, measured). Real answers nest two deep. */

enum {
    PRINTER_MESSAGE_DEPTH_MOST = 8,
    PRINTER_MESSAGE_VALUES_MOST = 16384, /* the demo printer's whole answer has 700 */
};

/* False: not an IPP message, cut short, nested too deep or too many values; `fault` says which. */
bool printer_message_check(const uint8_t *bytes, size_t length, struct fault *fault);

#endif

#ifndef LABELS_PICTURE_CANVAS_H
#define LABELS_PICTURE_CANVAS_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/picture/picture.h"

/* The memory of a picture being read. The size is checked before a byte is asked for. */

/* Is a picture of this size within the limits? False: FAULT_INPUT. */
bool canvas_check(const char *format, long long width, long long height, const struct picture_limits *limits,
                  struct fault *fault);

/* Checks too. `format` is the word for people ("PNG"). True: `*picture` holds width * height bytes, stride = width,
 * content not set; the caller clears it. False: untouched, and FAULT_INPUT (size) or FAULT_STORAGE (no memory). */
bool canvas_create(const char *format, long long width, long long height, const struct picture_limits *limits,
                   struct picture *picture, struct fault *fault);

#endif

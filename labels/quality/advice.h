#ifndef LABELS_QUALITY_ADVICE_H
#define LABELS_QUALITY_ADVICE_H

#include <stddef.h>

#include "labels/quality/quality.h"

enum { ADVICE_SIZE = 400 };

/* One or two sentences for the storekeeper: which number is the worst, and what usually helps. What helps is common
 * practice with label printers, no source. Ended with NUL; cut when it does not fit. */
void advice_write(const struct quality *quality, char *text, size_t size);

/* "left leg", "clock track on top", … Never NULL. */
const char *advice_part_name(enum fixed_part part);

#endif

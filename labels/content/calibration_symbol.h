#ifndef LABELS_CONTENT_CALIBRATION_SYMBOL_H
#define LABELS_CONTENT_CALIBRATION_SYMBOL_H

#include <stdbool.h>

#include "labels/basics/text.h"

/* What a symbol of the calibration label says: "X", the resolution, "D", the dots a module: X203D4. It is its own
 * measure, so that whoever reads it knows which size was read. Our own form; a scan of it is SCAN_OTHER and does
 * nothing. Pure. */

enum { CALIBRATION_SYMBOL_SIZE = 16, CALIBRATION_DOTS_MIN = 2, CALIBRATION_DOTS_MAX = 99 };

struct calibration_symbol {
    int dpi;  /* 1 to 9999 */
    int dots; /* a module, CALIBRATION_DOTS_MIN to CALIBRATION_DOTS_MAX */
};

void calibration_symbol_write(struct calibration_symbol symbol, char text[CALIBRATION_SYMBOL_SIZE]);

/* False: it is some other text; `*symbol` untouched. */
bool calibration_symbol_read(struct span text, struct calibration_symbol *symbol);

#endif

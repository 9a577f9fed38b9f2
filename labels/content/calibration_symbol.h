#ifndef LABELS_CONTENT_CALIBRATION_SYMBOL_H
#define LABELS_CONTENT_CALIBRATION_SYMBOL_H

#include <stdbool.h>

#include "labels/basics/text.h"

/* What a symbol of the calibration label says: "X", the resolution, "D", the dots a module, and, where the label has
 * room for the larger symbol, "S" and the label's width and height: X203D4S5025 is 50 x 25 mm. Two digits each are
 * whole millimetres, six each micrometres; what can be said in two is. So the label is its own measure: whoever reads
 * it knows which size was read, and how large the label in the picture is. Our own form; a scan of it is SCAN_OTHER and
 * does nothing. Pure. */

enum {
    CALIBRATION_SYMBOL_SIZE = 24,
    CALIBRATION_DOTS_MIN = 2,
    CALIBRATION_DOTS_MAX = 99,
    CALIBRATION_SIDE_UM_MAX = 999999
};

struct calibration_symbol {
    int dpi;                 /* 1 to 9999 */
    int dots;                /* a module, CALIBRATION_DOTS_MIN to CALIBRATION_DOTS_MAX */
    int width_um, height_um; /* of the label, both 1 to CALIBRATION_SIDE_UM_MAX; both 0: not said */
};

void calibration_symbol_write(const struct calibration_symbol *symbol, char text[CALIBRATION_SYMBOL_SIZE]);

/* False: it is some other text; `*symbol` untouched. */
bool calibration_symbol_read(struct span text, struct calibration_symbol *symbol);

#endif

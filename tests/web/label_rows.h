#ifndef TESTS_WEB_LABEL_ROWS_H
#define TESTS_WEB_LABEL_ROWS_H

#include "kiosk/ledger/ledger.h"

/* Label printers and looks, saved as rows and not booked: "front", calibrated at 203 dpi (8 dots right, no module under
 * 3), has LABEL_ROWS_GOOD looks of a good label, then as many of one that is pale at 31.05 mm with modulation 0.30;
 * "back" has one look. And label 1 of the cartridge LABEL_ROWS_NUMBER (serial_write gives the serial), drawn from the
 * template "cartridge", printed by "front". */

enum { LABEL_ROWS_GOOD = 8, LABEL_ROWS_NUMBER = 17 };

bool label_rows_fill(struct ledger *ledger, struct fault *fault);

#endif

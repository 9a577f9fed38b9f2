#ifndef KIOSK_WEB_LABEL_PITCH_H
#define KIOSK_WEB_LABEL_PITCH_H

#include "kiosk/ledger/print_looks.h"
#include "labels/drawing/pitch.h"

/* How far apart the dots of a calibrated label printer are: for printing its labels, and for finding what stands where
 * on them. `printer->dpi` is known. */
struct pitch label_pitch_of(const struct label_printer *printer);

#endif

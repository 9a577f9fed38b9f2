#ifndef KIOSK_WEB_LABEL_LOOKS_H
#define KIOSK_WEB_LABEL_LOOKS_H

#include <jansson.h>

#include "kiosk/devices/eye/eye.h"
#include "kiosk/ledger/ledger.h"
#include "kiosk/web/template_files.h"
#include "labels/quality/quality_brief.h"
#include "labels/reading/reader.h"

/* What the picture worker measured of a symbol, as JSON for the page and as content of the act "label-look". */

/* {standing, edition, pixels_a_module, modulation, margin, unused, fixed_level, axial, grid, growth: [across, along],
 * contrast, pale: [modules from the left]}; unknown numbers are null. */
json_t *label_looks_quality(const struct quality_brief *brief);

/* A look of this unit's newest label: whole thousandths, and where across the print head it is pale, as far as its
 * template says where the symbol stands. `*look` is new; NULL when the unit has no label from here. False: the ledger
 * cannot be read. */
bool label_looks_make(struct ledger *ledger, const struct template_files *templates, const char *unit,
                      const struct reader_symbol *symbol, const struct quality_brief *brief, json_t **look,
                      struct fault *fault);

/* {dpi, read: [dots a module], smallest: dots, measured, trouble} when symbols of a calibration label are among these,
 * else null. `smallest`: it and all larger ones up to the largest that was read were read. `measured`: the label's
 * size, and what act "calibrate" takes, each with its standard error; null when it was not wished (`calibration` NULL)
 * or not possible, then `trouble` is the sentence. A stretch that this picture does not tell to
 * LABEL_LOOKS_STRETCH_ERROR has null for how long it came out. */
#define LABEL_LOOKS_STRETCH_ERROR 0.0025
json_t *label_looks_calibration(const struct reader_symbol *symbols, size_t count,
                                const struct eye_calibration *calibration);

#endif

#ifndef KIOSK_PROGRAM_GRADE_ANSWER_H
#define KIOSK_PROGRAM_GRADE_ANSWER_H

#include <jansson.h>

#include "labels/quality/quality.h"

/* What `ambershelf grade` says of one symbol. `number` counts them from 1.
 *
 * JSON: {hex, rows, columns, corners, corrected, inverted, mirrored, pixels_a_module, decode, modulation,
 * reflectance_margin, contrast, axial_nonuniformity, grid_nonuniformity, unused_error_correction, fixed_pattern_damage,
 * print_growth, worst, sentence}. Measured values as they are; what has a level has it beside its value, 4 to 0; what
 * could not be measured is null, and so is `worst` when every number is at 4. docs/quality.md says what each means. */
json_t *grade_answer_json(const struct reader_symbol *symbol, const struct quality *quality);

void grade_answer_text(const char *path, int number, const struct reader_symbol *symbol, const struct quality *quality);

#endif

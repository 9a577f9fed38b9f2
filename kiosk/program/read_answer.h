#ifndef KIOSK_PROGRAM_READ_ANSWER_H
#define KIOSK_PROGRAM_READ_ANSWER_H

#include "labels/picture/grey.h"
#include "labels/reading/reader.h"

/* What `ambershelf read` prints of a picture to standard output.
 *
 * JSON, one line: {file, width, height, cpu_ms, symbols: [{hex, text, symbology, eci, rows, columns, corners,
 * corrected, structured?, reader_programming?}]}. `text` is the bytes in the set that the symbol's ECIs say; where they
 * do not fit it, printable ASCII with all others as <GS> or <0x9F>. `eci`: the first assignment number, or null.
 * `structured`: {index, total, file} of a symbol that is one of a series; `reader_programming`: true where the symbol
 * asks to program a reader, which nothing here obeys. */
void read_answer_json(const char *path, const struct grey *grey, const struct reader_result *result, double cpu_ms);

/* One line a symbol: path, symbology identifier, text with control characters shown as <GS>. */
void read_answer_text(const char *path, const struct reader_result *result);

#endif

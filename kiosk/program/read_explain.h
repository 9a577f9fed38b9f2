#ifndef KIOSK_PROGRAM_READ_EXPLAIN_H
#define KIOSK_PROGRAM_READ_EXPLAIN_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"
#include "labels/reading/explain.h"
#include "labels/reading/reader.h"

/* `ambershelf read --explain FOLDER`: the stages of reading one picture (labels/reading/explain.h) as numbered PNGs,
 * and explain.txt, which says of each candidate what it came to, in the order of the PNGs' numbers. docs/reading.md
 * shows how to look at them. */

struct read_explain;

/* Makes the folder; one that is there must be empty, so that nobody's files are written over or mixed up with these.
 * `picture` is borrowed until the end. False: FAULT_INPUT (not empty, not a folder) or FAULT_STORAGE. The caller ends
 * what it got. */
bool read_explain_begin(const char *folder, const struct grey *picture, struct read_explain **explain,
                        struct fault *fault);
/* For reader_set_explain; borrowed until the end. */
const struct explain *read_explain_listener(struct read_explain *explain);
/* Writes the last picture and the last lines. `result` NULL: the picture could not be read at all. False:
 * FAULT_STORAGE, the first thing that could not be written on the way. Frees in either case. Accepts NULL. */
bool read_explain_end(struct read_explain *explain, const struct reader_result *result, struct fault *fault);

#endif

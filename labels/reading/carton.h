#ifndef LABELS_READING_CARTON_H
#define LABELS_READING_CARTON_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"
#include "labels/reading/reader.h"

/* What stands on a supplier's carton beside Data Matrix: linear codes and QR, found and read by libzbar. Reported are
 *
 *   symbology                    identifier (ISO/IEC 15424)   bytes
 *   Code 128                     ]C0; ]C1 GS1-128; ]C2        FNC1 as separator comes as GS, the first one not at all
 *   EAN-13, UPC-A, UPC-E         ]E0                          13 digits
 *   EAN-8                        ]E4                          8 digits
 *   Interleaved 2 of 5           ]I1                          14 digits with their GS1 check digit, all others are none
 *   Code 39                      ]A0                          as printed, without the stars
 *   GS1 DataBar, also expanded   ]e0                          element strings
 *   QR                           ]Q1; ]Q3 GS1; ]Q5            as they are; libzbar does not say which ECI there was
 *
 * These have little of the redundancy of a Data Matrix symbol, most a single check digit and Code 39 none: a code of
 * bars counts only when CARTON_LEAST_LINES scan lines agree. Its corners are those of the upright box around the lines
 * that read it, beginning lower left as the code is read. Codes that say the same come as one, for libzbar does not
 * tell them apart. Bars must lie within some ten degrees of the picture's sides, and be 2 pixels wide or more. libzbar
 * prints a line of its own to standard error when a check inside of it fails. */

enum { CARTON_LEAST_LINES = 3 };

struct carton_scanner;

struct carton_scanner *carton_scanner_create(void); /* NULL: no memory */
void carton_scanner_destroy(struct carton_scanner *scanner);

/* Appends to `symbols`, up to `room` of them in all, growing `*count`; `*cut_short` becomes true when there was more,
 * and is left alone otherwise. rows, columns and codeword_count are 0, corrected is -1. False: FAULT_STORAGE. */
bool carton_read(struct carton_scanner *scanner, const struct grey *picture, struct reader_symbol *symbols, size_t room,
                 size_t *count, bool *cut_short, struct fault *fault);

/* Is it one of the identifiers above? */
bool carton_is_symbology(const char symbology[4]);

#endif

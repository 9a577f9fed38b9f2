#ifndef LABELS_READING_DECODATION_H
#define LABELS_READING_DECODATION_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/reading/reader.h"

/* Data codewords to bytes: ISO/IEC 16022:2006, 5.2 (ASCII, C40, Text, X12, EDIFACT, base 256, upper shift, macros,
 * ECI) and 5.6 (structured append). Anything the standard calls illegal or reserved is no read at all.
 *
 * FNC1 as first codeword (fifth in structured append) makes it ]d2, as second behind one letter or two digits ]d3,
 * neither is among the bytes; elsewhere it becomes GS. Macros 05 and 06 are expanded to their whole header and
 * trailer. Each ECI starts a segment, and the bytes are passed on as they are. A macro's trailer, and a separator among
 * characters of two bytes or more, are no part of the ECI's text and get a segment of their own (-1). Nothing is
 * transmitted for pads, and what they
 * hold is not judged: published symbols exist whose pads follow no rule (ANSI MH10.8.17, fig. 4), and the check words
 * cover them anyway. A symbol without a single byte is no read. */

/* True: bytes, length, symbology, eci, segment*, structured_* and reader_programming of `symbol` are set, the rest is
 * left alone. structured_index counts from 1; structured_file is 256 times the first identification codeword plus the
 * second. False: nothing is touched. */
bool decodation_read(const uint8_t *codewords, size_t count, struct reader_symbol *symbol);

#endif

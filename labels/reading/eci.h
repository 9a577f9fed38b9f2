#ifndef LABELS_READING_ECI_H
#define LABELS_READING_ECI_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/text.h"

/* Extended Channel Interpretations: numbers that say which character set bytes are in. The register is AIM's
 * (ITS/04-023, not read); the numbers are as public encoders and readers tabulate them, which agree: `zint --ecinos`
 * (2.11) and zxing-cpp's core/src/ECI.h; 0 and 1, given up long ago, from memory. Known here are 0, 2 code page 437 ·
 * 1, 3 to 13, 15 to 18 ISO/IEC 8859-1 to -11, -13 to -16 · 20 Shift JIS · 21 to 24 Windows 1250, 1251, 1252, 1256 · 25
 * UTF-16BE · 26 UTF-8 · 27 US-ASCII · 28 Big5 · 29 GB 2312 · 30 EUC-KR · 31 GBK · 32 GB 18030 · 33 UTF-16LE · 34
 * UTF-32BE · 35 UTF-32LE. 899 says "eight-bit binary": no text at all. The conversion is the C library's (iconv). */

/* Are its characters two or four bytes whatever they are, so that a single GS does not fit between them? */
bool eci_is_wide(int number);

/* Appends `bytes` in UTF-8. False when the set is not known, is no text, or has no such character, or when the text
 * does not fit; `text` then holds what was there before, and perhaps some more. Reads files of the C library when a set
 * is used for the first time. */
bool eci_add_text(int number, struct span bytes, struct builder *text);

#endif

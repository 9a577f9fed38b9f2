#ifndef KIOSK_WEB_SYMBOL_JSON_H
#define KIOSK_WEB_SYMBOL_JSON_H

#include <jansson.h>

#include "labels/basics/calendar.h"
#include "labels/content/scan.h"
#include "labels/reading/reader.h"

/* A symbol found in a picture as JSON: what `ambershelf read --json` prints of it, and what it means. Pure. */

/* {hex, text, symbology, rows, columns, corners, corrected, kind, sentence}. `kind` is scan_kind_word's, or null when
 * the bytes are no acceptable scan; the sentence says why, or what the symbol is. `*scan` is filled when `*readable`.
 * NULL: no memory. */
json_t *symbol_json_write(const struct reader_symbol *symbol, struct day today, struct scan *scan, bool *readable);

/* May a symbol of this kind be handed to the desk from a photograph? Units, places and makers' codes; never cards and
 * badges, which stand for a person's decision at that moment. */
bool symbol_json_counts(enum scan_kind kind);

#endif

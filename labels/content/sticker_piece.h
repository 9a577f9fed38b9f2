#ifndef LABELS_CONTENT_STICKER_PIECE_H
#define LABELS_CONTENT_STICKER_PIECE_H

#include "labels/content/sticker_pattern.h"

/* The pieces of a pattern and the rules they keep; for sticker_pattern.c, sticker_teach.c and sticker_match.c alone. */

enum { STICKER_LAYOUT_MAX = 24 };

/* Most characters of a part that is no date: what a supplier_label has room for. 0 for texts and dates. */
size_t sticker_part_most(enum sticker_part part);
bool sticker_part_is_date(enum sticker_part part);
/* "the lot", "the expiry date", … */
const char *sticker_part_noun(enum sticker_part part);

void sticker_piece_allow(struct sticker_piece *piece, char c);
bool sticker_piece_allows(const struct sticker_piece *piece, char c);

struct span sticker_piece_bytes(const struct sticker_pattern *pattern, const struct sticker_piece *piece);

/* May it be longer on one sticker than on another? */
bool sticker_piece_is_open(const struct sticker_pattern *pattern, const struct sticker_piece *piece);

/* Adds `piece` with its fixed text or layout; a text after a text becomes one. False: FAULT_INPUT, a rule broken or no
 * room, `*pattern` untouched. */
bool sticker_pattern_append(struct sticker_pattern *pattern, const struct sticker_piece *piece, struct span bytes,
                            struct fault *fault);
/* The rules about the whole. */
bool sticker_pattern_is_whole(const struct sticker_pattern *pattern, struct fault *fault);

#endif
